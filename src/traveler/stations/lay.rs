//! Where text and values stand: beside each other, or text in two columns over
//! values that share a line. Whichever is lower; what belongs together first.

use super::{FEW, LINE};
use crate::traveler::document::{Beside, Block, Captioned, Reading, Row, Table, Work};

/// Characters on a line of text with its values beside it.
const WITH_VALUES: usize = 56;

/// Characters of "by the" in its frame.
const BY: usize = 10;

/// Characters on a line of text over the whole width.
const WIDE: usize = 98;

/// Characters on a line of text, and of a caption under it, beside a drawing.
const WITH_DRAWING: usize = 66;
const CAPTION: usize = 76;

/// Characters on a line of a caption under its drawing.
const NARROW: usize = 36;

/// Characters of words to choose from in the column of values.
const CHOICES: usize = 38;

/// Characters a box of a word to choose takes, about.
const CHOICE: usize = 5;

/// Characters the line for the number and date of a paper takes, behind a word.
const PAPER: usize = 24;

/// Characters of a label in the column of values.
const LABEL: usize = 22;

/// Tenths of a millimetre: a line of text, what parts two steps, a title, a box
/// with its words, a line of words to choose from.
const TEXT: usize = 37;
const STEP: usize = 11;
const TITLE: usize = 20;
const BOX: usize = 104;
const WORDS: usize = 66;

/// Between two blocks of columns.
const GAP: usize = 17;

/// Millimetres by ten that values beside their text may cost: they are found
/// sooner.
const WORTH: usize = 25;

/// The same for values under their text in its column.
const UNDER: usize = 8;

/// Blocks of a piece of work with its values and its drawings, each with the
/// number of its operation.
pub(super) fn out(
    mut work: Vec<Work>,
    mut rows: Vec<(u32, Row)>,
    drawings: Vec<(u32, Captioned)>,
) -> Vec<Block> {
    let Some((drawn, _)) = drawings.first() else { return plain(work, rows) };
    let drawn = *drawn;
    // What comes before the operation that is drawn stands before the drawing.
    let with = work.iter().position(|w| w.number == drawn).unwrap_or_default();
    let mut behind = work.split_off(with);
    let mut later: Vec<(u32, Row)> =
        rows.extract_if(.., |(of, _)| !work.iter().any(|w| w.number == *of)).collect();
    let mut blocks = if work.is_empty() { Vec::new() } else { plain(work, std::mem::take(&mut rows)) };
    let drawings: Vec<Captioned> = drawings.into_iter().map(|(_, one)| one).collect();
    // As much stands beside the drawing as it is high; what follows goes on under it.
    let high = drawn_height(&drawings);
    let full = (1..behind.len()).find(|n| {
        let own = later.iter().filter(|(of, _)| behind[..*n].iter().any(|w| w.number == *of));
        written(&behind[..*n], own.map(|(_, row)| row)) >= high
    });
    let rest = behind.split_off(full.unwrap_or(behind.len()));
    let below: Vec<(u32, Row)> =
        later.extract_if(.., |(of, _)| rest.iter().any(|w| w.number == *of)).collect();
    blocks.push(if behind.is_empty() && later.is_empty() {
        Block::Table(Table { drawings, rows: Vec::new() })
    } else {
        Block::Beside(captioned(Beside {
            drawings,
            work: behind,
            rows: numbered(later),
            ..Beside::default()
        }))
    });
    if !rest.is_empty() {
        blocks.extend(plain(rest, below));
    }
    blocks
}

/// Height of text beside a drawing with the values under it.
fn written<'a>(work: &[Work], rows: impl Iterator<Item = &'a Row>) -> usize {
    work.iter().map(|w| tall(w, WITH_DRAWING)).sum::<usize>() + across(rows)
}

/// Height of drawings under each other, without their captions.
fn drawn_height(drawings: &[Captioned]) -> usize {
    // A sheet is a few hundred millimetres at most.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a height of a page at most")]
    let tenths = |d: &Captioned| (10.0 * d.drawing.size.y).ceil() as usize;
    drawings.iter().map(tenths).sum()
}

/// The captions stand under the text where the block is lower with them there.
fn captioned(mut beside: Beside) -> Beside {
    let said = |line: usize| -> usize {
        let lines = |d: &Captioned| d.caption.chars().count().div_ceil(line);
        beside.drawings.iter().map(|d| TEXT * lines(d) + STEP).sum()
    };
    let (text, drawn) = (written(&beside.work, beside.rows.iter()), drawn_height(&beside.drawings));
    if drawn.max(text + said(CAPTION)) < text.max(drawn + said(NARROW)) {
        beside.captions = beside.drawings.iter_mut().map(|d| std::mem::take(&mut d.caption)).collect();
    }
    beside
}

/// Without drawings: values beside their text, under it in its column, or text
/// over values that share lines.
fn plain(work: Vec<Work>, rows: Vec<(u32, Row)>) -> Vec<Block> {
    let together = two_columns(&work) + across(rows.iter().map(|(_, row)| row));
    let parts = parts(&work, &rows);
    let apart = if parts.iter().any(|p| !p.rows.is_empty() && p.fits()) {
        parts.iter().map(Part::height).sum()
    } else {
        usize::MAX
    };
    let flow = flow(&work, &rows);
    let under = flow.as_ref().map_or(usize::MAX, |flow| two_columns(flow));
    match flow {
        _ if apart <= together.saturating_add(WORTH) => parts.into_iter().flat_map(Part::blocks).collect(),
        Some(flow) if under <= together.saturating_add(UNDER) => {
            columns(&flow).into_iter().map(Block::Work).collect()
        }
        _ => Part { work, rows }.over(),
    }
}

/// Work with its values under it; `None` where one has no room in a column.
fn flow(work: &[Work], rows: &[(u32, Row)]) -> Option<Vec<Work>> {
    let mut work = work.to_vec();
    for (of, row) in rows {
        let one = work.iter_mut().rev().find(|w| w.number == *of)?;
        one.rows.push(narrow(row).then(|| Row { number: None, ..row.clone() })?);
    }
    (!rows.is_empty()).then_some(work)
}

/// Work with the values read in it.
#[derive(Debug, Default)]
struct Part {
    work: Vec<Work>,
    rows: Vec<(u32, Row)>,
}

impl Part {
    /// Whether its values have room beside its text.
    fn fits(&self) -> bool {
        !self.work.is_empty() && self.rows.iter().all(|(_, row)| narrow(row))
    }

    fn beside(&self) -> usize {
        let text: usize = self.work.iter().map(|w| tall(w, WITH_VALUES)).sum();
        text.max(self.rows.iter().map(|(_, row)| stacked(row)).sum())
    }

    fn low(&self) -> usize {
        two_columns(&self.work) + across(self.rows.iter().map(|(_, row)| row))
    }

    fn height(&self) -> usize {
        if self.stands_beside() { self.beside() } else { self.low() }
    }

    fn stands_beside(&self) -> bool {
        !self.rows.is_empty() && self.fits() && self.beside() <= self.low() + WORTH
    }

    fn blocks(self) -> Vec<Block> {
        if self.stands_beside() {
            let rows = numbered(self.rows);
            vec![Block::Beside(Beside { work: self.work, rows, ..Beside::default() })]
        } else {
            self.over()
        }
    }

    /// Text in two columns over a table.
    fn over(self) -> Vec<Block> {
        let mut blocks = Vec::new();
        if !self.work.is_empty() {
            blocks.extend(columns(&self.work).into_iter().map(Block::Work));
        }
        if !self.rows.is_empty() {
            blocks.push(Block::Table(Table { rows: numbered(self.rows), drawings: Vec::new() }));
        }
        blocks
    }
}

/// Operations that read something by themselves, those between them together.
fn parts(work: &[Work], rows: &[(u32, Row)]) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    let mut left: Vec<(u32, Row)> = rows.to_vec();
    for one in work {
        let own: Vec<(u32, Row)> = left.extract_if(.., |(of, _)| *of == one.number).collect();
        match parts.last_mut() {
            Some(last) if own.is_empty() && last.rows.is_empty() => last.work.push(one.clone()),
            _ => parts.push(Part { work: vec![one.clone()], rows: own }),
        }
    }
    if !left.is_empty() {
        parts.push(Part { work: Vec::new(), rows: left });
    }
    parts
}

/// Rows with the number of their operation where it changes.
fn numbered(rows: Vec<(u32, Row)>) -> Vec<Row> {
    let mut number = None;
    rows.into_iter()
        .map(|(of, row)| {
            let told = (number != Some(of)).then_some(of);
            number = Some(of);
            Row { number: told, ..row }
        })
        .collect()
}

/// Whether a row has room in the column of values.
fn narrow(row: &Row) -> bool {
    row.boxes.len() <= 2 && row.boxes.iter().all(|b| b.choices.is_empty() || words(b) <= 2 * CHOICES)
}

fn words(reading: &Reading) -> usize {
    let line = if reading.papers.is_empty() { 0 } else { PAPER };
    reading.choices.iter().map(|c| c.chars().count() + CHOICE).sum::<usize>() + line
}

/// Height of a row in the column of values.
fn stacked(row: &Row) -> usize {
    let Some(first) = row.boxes.first() else { return 0 };
    if !first.choices.is_empty() {
        let lines: usize = row.boxes.iter().map(|b| words(b).div_ceil(CHOICES)).sum();
        return TEXT + WORDS * lines;
    }
    if row.boxes.len() > 1 {
        return TEXT * row_lines(row).max(1) + BOX;
    }
    BOX.max(TEXT * row_lines(row) + STEP)
}

/// Lines of what stands beside the box of a row.
fn row_lines(row: &Row) -> usize {
    row.what.chars().count().div_ceil(LABEL) + row.limits.len() + usize::from(row.tool.is_some())
}

/// Height of rows over the whole width, those with one box two to a line.
fn across<'a>(rows: impl Iterator<Item = &'a Row>) -> usize {
    let mut height = 0;
    let mut open = false;
    for row in rows {
        let half = row.boxes.len() == 1 && row.boxes[0].choices.is_empty();
        if half && open {
            open = false;
            continue;
        }
        open = half;
        height += BOX;
    }
    height
}

fn head_lines(work: &Work, line: usize) -> usize {
    // Signs alone go on in the line of the title.
    let told = work.lines.iter().filter(|l| l.0.len() > 1).count();
    let who = work.who.as_ref().map_or(0, |who| who.chars().count() + BY);
    work.title.as_ref().map_or(0, |t| (t.chars().count() + who).div_ceil(line)) + told
}

/// Height of work on lines of so many characters, with the values under it.
fn tall(work: &Work, line: usize) -> usize {
    let lines: usize = work.steps.iter().map(|s| s.text.text().chars().count().div_ceil(line)).sum();
    TEXT * (head_lines(work, line) + lines)
        + STEP * work.steps.len()
        + work.rows.iter().map(stacked).sum::<usize>()
        + if work.title.is_some() { TITLE } else { 0 }
}

/// Blocks of two columns one under the other, together as low as they can be.
///
/// What goes on at the top of a right column is of the first operation of its block:
/// else its steps would stand above their own heading.
fn columns(work: &[Work]) -> Vec<[Vec<Work>; 2]> {
    // The lowest blocks of what comes behind each operation, from the last one on.
    let mut lowest: Vec<(usize, Vec<[Vec<Work>; 2]>)> = vec![(0, Vec::new())];
    for first in (0..work.len()).rev() {
        let with = |end: usize| {
            let block = two(&work[first..end]);
            let (below, blocks) = &lowest[work.len() - end];
            let gap = if blocks.is_empty() { 0 } else { GAP };
            (higher(&block) + gap + below, block, blocks)
        };
        let best = (first + 1..=work.len()).rev().map(with).min_by_key(|(height, ..)| *height);
        if let Some((height, block, blocks)) = best {
            let all = std::iter::once(block).chain(blocks.iter().cloned()).collect();
            lowest.push((height, all));
        }
    }
    lowest.pop().map(|(_, blocks)| blocks).unwrap_or_default()
}

fn side_height(side: &[Work]) -> usize {
    side.iter().map(|w| tall(w, LINE)).sum()
}

fn higher(sides: &[Vec<Work>; 2]) -> usize {
    let [left, right] = sides;
    let one = right.is_empty().then(|| wide(left)).flatten();
    one.unwrap_or_else(|| side_height(left).max(side_height(right)))
}

/// Two columns, cut where the higher one is lowest: between two operations, or between
/// two steps of the first.
fn two(work: &[Work]) -> [Vec<Work>; 2] {
    let whole = || [work.to_vec(), Vec::new()];
    if side_height(work) <= TEXT * FEW {
        return whole();
    }
    let Some((first, rest)) = work.split_first() else { return whole() };
    let between = (1..work.len()).map(|at| [work[..at].to_vec(), work[at..].to_vec()]);
    let within = (1..first.steps.len()).map(|step| {
        let left = Work { steps: first.steps[..step].to_vec(), rows: Vec::new(), ..first.clone() };
        let right = Work {
            number: first.number,
            void: first.void,
            steps: first.steps[step..].to_vec(),
            rows: first.rows.clone(),
            ..Work::default()
        };
        [vec![left], std::iter::once(right).chain(rest.iter().cloned()).collect()]
    });
    let sides = within.chain(between).min_by_key(higher).unwrap_or_else(whole);
    // Over the whole width where that is hardly higher: it is read in one go.
    if wide(work).is_some_and(|height| height <= higher(&sides) + STEP) { whole() } else { sides }
}

/// Height of text over the whole width; values under it have no room beside each other
/// there.
fn wide(work: &[Work]) -> Option<usize> {
    work.iter().map(|w| w.rows.is_empty().then(|| tall(w, WIDE))).sum()
}

/// Height of blocks of two columns.
fn two_columns(work: &[Work]) -> usize {
    let blocks = columns(work);
    blocks.iter().map(higher).sum::<usize>() + GAP * blocks.len().saturating_sub(1)
}
