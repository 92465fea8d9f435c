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

/// Below a drawing text beside it may reach so far; above its foot it may end so early.
const LONGER: usize = 100;
const SHORT: usize = 150;

/// Between two blocks of columns.
const GAP: usize = 17;

/// Millimetres by ten that values beside their text may cost: they are found
/// sooner.
const WORTH: usize = 25;

/// The same for values under their text in its column.
const UNDER: usize = 8;

/// Blocks of a piece of work with its values and its drawings, each with the
/// number of its operation.
///
/// A box stands with the words that ask for it: never under those of the operation
/// behind it, where it is forgotten until the next one is done.
pub(super) fn out(work: Vec<Work>, rows: Vec<(u32, Row)>, drawings: Vec<(u32, Captioned)>) -> Vec<Block> {
    let mut work = owned(work, rows);
    let Some((drawn, _)) = drawings.first() else { return plain(&work) };
    // What comes before the operation that is drawn stands before the drawing.
    let with = work.iter().position(|w| w.number == *drawn).unwrap_or_default();
    let mut behind = work.split_off(with);
    let mut blocks = plain(&work);
    let drawings: Vec<Captioned> = drawings.into_iter().map(|(_, one)| one).collect();
    // As much stands beside the drawing as it is high; what follows goes on under it.
    let high = drawn_height(&drawings);
    // An operation that would reach far below it stands by itself: a block is never broken.
    let full = (1..behind.len()).find(|n| {
        let (now, next) = (written(&behind[..*n]), written(&behind[..=*n]));
        now >= high || next > high + LONGER && now + SHORT > high
    });
    let rest = behind.split_off(full.unwrap_or(behind.len()));
    blocks.push(if behind.is_empty() {
        Block::Table(Table { drawings, rows: Vec::new() })
    } else {
        let work = behind.into_iter().map(|w| Work { rows: numbered(w.number, w.rows), ..w }).collect();
        Block::Beside(captioned(Beside { drawings, work, ..Beside::default() }))
    });
    blocks.extend(plain(&rest));
    blocks
}

/// Each operation with the values read in it.
fn owned(mut work: Vec<Work>, rows: Vec<(u32, Row)>) -> Vec<Work> {
    for (of, row) in rows {
        match work.iter_mut().rev().find(|w| w.number == of) {
            Some(one) => one.rows.push(row),
            None => work.push(Work { number: of, rows: vec![row], ..Work::default() }),
        }
    }
    work
}

/// Height of text beside a drawing with the values under it.
fn written(work: &[Work]) -> usize {
    work.iter().map(|w| words_alone(w, WITH_DRAWING) + across(w.rows.iter())).sum()
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
    let (text, drawn) = (written(&beside.work), drawn_height(&beside.drawings));
    if drawn.max(text + said(CAPTION)) < text.max(drawn + said(NARROW)) {
        beside.captions = beside.drawings.iter_mut().map(|d| std::mem::take(&mut d.caption)).collect();
    }
    beside
}

/// Without drawings: blocks one under the other, together as low as they can be.
fn plain(work: &[Work]) -> Vec<Block> {
    // The lowest of what comes behind each operation, from the last one on.
    let mut lowest: Vec<(usize, Vec<Block>)> = vec![(0, Vec::new())];
    for first in (0..work.len()).rev() {
        let with = |end: usize| {
            let (height, way) = lowest_way(&work[first..end])?;
            let (below, _) = &lowest[work.len() - end];
            let gap = if end < work.len() { GAP } else { 0 };
            Some((height + gap + below, end, way))
        };
        let best = (first + 1..=work.len()).rev().filter_map(with).min_by_key(|(height, ..)| *height);
        if let Some((height, end, way)) = best {
            let mut blocks = way.blocks(&work[first..end]);
            blocks.extend(lowest[work.len() - end].1.iter().cloned());
            lowest.push((height, blocks));
        }
    }
    lowest.pop().map(|(_, blocks)| blocks).unwrap_or_default()
}

/// How text and its values stand.
#[derive(Debug, Clone, Copy)]
enum Way {
    /// The values of one operation beside its text.
    Beside,
    /// In two columns, values under their text in its column.
    Flow,
    /// Text in two columns over a table of the values of its last operation.
    Over,
}

/// The lowest way for these operations together, with its height, and what it may cost
/// more than values that are found sooner; `None` where a box would stand under the words
/// of the operation behind it.
fn lowest_way(work: &[Work]) -> Option<(usize, Way)> {
    let (last, before) = work.split_last()?;
    let read = work.iter().any(|w| !w.rows.is_empty());
    let narrow = work.iter().flat_map(|w| &w.rows).all(narrow);
    let mut ways: Vec<(usize, Way)> = Vec::new();
    if read && narrow && before.is_empty() && !last.steps.is_empty() {
        let values = last.rows.iter().map(stacked).sum();
        ways.push((words_alone(last, WITH_VALUES).max(values), Way::Beside));
    }
    if read && narrow {
        ways.push((two_columns(work) + WORTH - UNDER, Way::Flow));
    }
    if before.iter().all(|w| w.rows.is_empty()) {
        let worth = if read { WORTH } else { 0 };
        ways.push((two_columns(&text_of(work)) + across(last.rows.iter()) + worth, Way::Over));
    }
    ways.into_iter().min_by_key(|(height, _)| *height)
}

impl Way {
    fn blocks(self, work: &[Work]) -> Vec<Block> {
        let rows = || work.last().map_or_else(Vec::new, |w| numbered(w.number, w.rows.clone()));
        match self {
            Self::Beside => {
                vec![Block::Beside(Beside { work: text_of(work), rows: rows(), ..Beside::default() })]
            }
            Self::Flow => columns(work).into_iter().map(Block::Work).collect(),
            Self::Over => {
                let text = text_of(work);
                let table = Table { rows: rows(), drawings: Vec::new() };
                let told = text.iter().any(|w| w.title.is_some() || !w.steps.is_empty());
                let said = if told { columns(&text) } else { Vec::new() };
                let values = (!table.rows.is_empty()).then_some(Block::Table(table));
                said.into_iter().map(Block::Work).chain(values).collect()
            }
        }
    }
}

/// Work without its values.
fn text_of(work: &[Work]) -> Vec<Work> {
    work.iter().map(|w| Work { rows: Vec::new(), ..w.clone() }).collect()
}

/// Rows of an operation, its number at the first.
fn numbered(number: u32, rows: Vec<Row>) -> Vec<Row> {
    rows.into_iter().enumerate().map(|(i, row)| Row { number: (i == 0).then_some(number), ..row }).collect()
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
    words_alone(work, line) + work.rows.iter().map(stacked).sum::<usize>()
}

/// Height of the words of work on lines of so many characters.
fn words_alone(work: &Work, line: usize) -> usize {
    let lines: usize = work.steps.iter().map(|s| s.text.text().chars().count().div_ceil(line)).sum();
    TEXT * (head_lines(work, line) + lines)
        + STEP * work.steps.len()
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
