//! Puts the operations of a document on station pages: everything done at one
//! place between two holds, practice as text, control values as rows of one
//! table, safety steps in frames of their own.
//!
//! Works on worded operations, blank or filled alike, so that the traveler and
//! the completed record lie side by side.

mod cards;
mod lay;
mod merge;
mod rows;

use super::document::{
    Block, Captioned, Caution, Filled, Initials, Level, Operation, Point, PointKind, Reading, Row, Safety,
    Station, Step, WeldCard, Work, WorkStep,
};
use crate::form::BoxName;
use crate::plan::Words;

/// Characters that fit on a line of a text column, about.
const LINE: usize = 46;

/// Lines of text, its boxes counted, above which a station is cut into pieces, each
/// with its own values; and what a piece has at least.
const PIECE: usize = 26;
const LEAST: usize = 6;

/// Lines of text that stand over the whole width, not in two columns.
const FEW: usize = 4;

/// Lines below which a change of place alone does not end a station.
const SMALL: usize = 32;

/// Station pages of these operations, with the cards of the joints welded at
/// each. `first` is the place of the first letter: 0 for A.
#[must_use]
pub fn of(operations: &[Operation], cards: &[WeldCard], first: usize) -> Vec<Station> {
    laid(operations, cards, first, false)
}

/// The same of what is done after hand-over. Its operations are visits, some of them
/// weeks apart: none shares its initials and their date with another.
#[must_use]
pub fn of_visits(operations: &[Operation], cards: &[WeldCard], first: usize) -> Vec<Station> {
    laid(operations, cards, first, true)
}

fn laid(operations: &[Operation], cards: &[WeldCard], first: usize, visits: bool) -> Vec<Station> {
    let mut operations: Vec<Operation> = operations.iter().map(merge::operation).collect();
    let closings = closings(&mut operations);
    runs(&operations)
        .into_iter()
        .map(|run| Run { visits, closings: &closings, ..run })
        .enumerate()
        .map(|(i, run)| station(&run, cards, i == 0, letter(first + i)))
        .collect()
}

/// Takes the boxes of what closes a card off the page they come in the order of the
/// work: they stand on the card, where each shift opens and closes it. Gives those
/// operations as they were; at their own place their text stays and says where.
fn closings(operations: &mut [Operation]) -> Vec<Operation> {
    let opened: Vec<(String, u32)> = operations.iter().map(|o| (o.id.clone(), o.number)).collect();
    let mut found = Vec::new();
    for operation in operations {
        let card = opened.iter().find(|(id, _)| operation.card.as_ref() == Some(id));
        let Some((_, number)) = card else { continue };
        found.push(operation.clone());
        for step in operation.steps.iter_mut().filter(|s| !s.readings.is_empty()) {
            step.readings.clear();
            step.level = Level::Practice;
            step.text = step.text.clone().then(format!(" Written on the card at {number}."));
        }
    }
    found
}

/// Operations done at one place up to a hold, and that hold.
#[derive(Debug, Clone, Default)]
struct Run<'a> {
    operations: Vec<&'a Operation>,
    /// What closes cards that are opened here or elsewhere.
    closings: &'a [Operation],
    /// Holds signed at its end that belong to the operation that follows.
    end: Vec<&'a Point>,
    /// Each operation is a day of its own.
    visits: bool,
}

impl Run<'_> {
    fn ends_with_hold(&self) -> bool {
        let last = self.operations.last().and_then(|o| o.after.iter().rev().find(|p| holds(p)));
        !self.end.is_empty() || last.is_some()
    }

    fn place(&self) -> Option<&str> {
        self.operations.last().map(|o| o.station.as_str())
    }

    fn lines(&self) -> usize {
        self.operations.iter().map(|o| lines(o)).sum()
    }
}

fn holds(point: &Point) -> bool {
    point.kind == PointKind::Hold
}

/// Cuts the work where the place changes and behind each hold. What would fill
/// little of a page goes on to the next, unless it ends with a hold.
fn runs(operations: &[Operation]) -> Vec<Run<'_>> {
    let mut runs: Vec<Run<'_>> = Vec::new();
    for operation in operations {
        let held = operation.before.iter().filter(|p| holds(p));
        if let Some(before) = runs.last_mut() {
            before.end.extend(held);
        }
        match runs.last_mut() {
            Some(run)
                if !run.ends_with_hold()
                    && (run.place() == Some(operation.station.as_str()) || run.lines() < SMALL) =>
            {
                run.operations.push(operation);
            }
            _ => runs.push(Run { operations: vec![operation], ..Run::default() }),
        }
    }
    runs
}

/// Height of an operation in lines of text, about.
fn lines(operation: &Operation) -> usize {
    let steps: usize = operation
        .steps
        .iter()
        .map(|s| s.text.text().chars().count().div_ceil(LINE) + 4 * s.readings.len().div_ceil(2))
        .sum();
    // A hold in front of it closes the page before.
    let before = operation.before.iter().filter(|p| !holds(p)).count();
    2 + steps + 12 * (before + operation.after.len()) + 4 * operation.cautions.len()
}

/// `A` for 0, `Z` for 25, `AA` for 26. No `I` and no `O`: they read as digits.
fn letter(mut place: usize) -> String {
    const LETTERS: &[u8; 24] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(LETTERS[place % LETTERS.len()]));
        match (place / LETTERS.len()).checked_sub(1) {
            Some(next) => place = next,
            None => break,
        }
    }
    letters.iter().rev().collect()
}

fn station(run: &Run<'_>, cards: &[WeldCard], first: bool, letter: String) -> Station {
    let mut verbs: Vec<&str> = Vec::new();
    let mut places: Vec<&str> = Vec::new();
    let mut people: Vec<&str> = Vec::new();
    for operation in &run.operations {
        push_new(&mut verbs, &operation.verb);
        push_new(&mut places, &operation.station);
        if let Some(role) = operation.role.as_deref() {
            push_new(&mut people, plain_role(role));
        }
    }
    let minutes: u32 = run.operations.iter().map(|o| o.minutes).sum();
    let last_held = run.operations.last().and_then(|o| o.after.iter().rev().find(|p| holds(p)));
    Station {
        letter,
        title: title(&verbs),
        place: places.join(", "),
        time: time_words(minutes),
        operations: run.operations.iter().map(|o| o.number).collect(),
        people: people.into_iter().map(str::to_owned).collect(),
        end: run.end.last().copied().or(last_held).map(|p| format!("hold {}", p.number)),
        fresh_page: run.operations.first().is_some_and(|o| o.fresh_page),
        blocks: blocks(run, cards, first),
    }
}

fn push_new<'a>(list: &mut Vec<&'a str>, word: &'a str) {
    if !word.is_empty() && !list.contains(&word) {
        list.push(word);
    }
}

/// A role without the qualification behind it.
fn plain_role(role: &str) -> &str {
    role.split_once(':').map_or(role, |(role, _)| role)
}

/// `Cut, tack, verify`.
fn title(verbs: &[&str]) -> String {
    let mut text = verbs.join(", ");
    if let Some(first) = text.get(..1) {
        let upper = first.to_uppercase();
        text.replace_range(..1, &upper);
    }
    text
}

/// `3 h 30 min`.
fn time_words(minutes: u32) -> String {
    match (minutes / 60, minutes % 60) {
        (0, 0) => String::new(),
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}

/// What is collected until a point, a safety step or the length ends the piece.
#[derive(Default)]
struct Piece<'a> {
    cautions: Vec<&'a Caution>,
    work: Vec<Work>,
    rows: Vec<(u32, &'a Step)>,
    operations: Vec<&'a Operation>,
    lines: usize,
    /// Drawings of these operations with their number, until they find what they
    /// stand beside.
    drawings: Vec<(u32, Captioned)>,
    /// Nothing of this operation comes after it.
    closing: bool,
    /// Joints whose values stand on their cards.
    welded: Vec<&'a str>,
    /// Joints and fasteners this station has told in full.
    told: Vec<&'a Words>,
    /// Who does most of the station.
    usual: Option<&'a Operation>,
}

/// The blocks of a run. Holds before its first operation stand at the end of
/// the page in front of it; only the `first` run of all has no such page.
fn blocks(run: &Run<'_>, cards: &[WeldCard], first: bool) -> Vec<Block> {
    let mut blocks = Vec::new();
    // A joint welded in two operations of the run has one card all the same.
    let mut welded: Vec<&str> = Vec::new();
    run.operations.iter().flat_map(|o| &o.welds).for_each(|joint| push_new(&mut welded, joint));
    let mut piece = Piece { welded: welded.clone(), usual: usual(run), ..Piece::default() };
    let mut said: Vec<&Caution> = Vec::new();
    let last = run.operations.len().saturating_sub(1);
    for (index, operation) in run.operations.iter().enumerate() {
        let before: Vec<&Point> =
            operation.before.iter().filter(|p| !holds(p) || (first && index == 0)).collect();
        if !before.is_empty() {
            piece.end(&mut blocks);
            blocks.extend(before.into_iter().map(|p| Block::Point(Box::new(p.clone()))));
        }
        if piece.lines >= LEAST && piece.lines + lines(operation) > PIECE {
            piece.end(&mut blocks);
        }
        piece.begin(operation, &mut said, &mut blocks);
        let opened = operation.steps.iter().rev().find(|s| !s.readings.is_empty()).map(|s| s.number);
        for step in &operation.steps {
            piece.step(operation, step, &mut said, &mut blocks);
            if opened == Some(step.number) {
                for closing in run.closings.iter().filter(|c| c.card.as_ref() == Some(&operation.id)) {
                    piece.end(&mut blocks);
                    blocks.extend(closed(closing));
                }
            }
        }
        if index == last || !operation.after.is_empty() {
            piece.closing = true;
            piece.end(&mut blocks);
        }
        if index == last {
            blocks.extend(cards::of(&run.operations, cards, &welded));
            let list = initials(run);
            if !list.is_empty() {
                blocks.push(Block::Initials(list));
            }
        }
        blocks.extend(operation.after.iter().map(|p| Block::Point(Box::new(p.clone()))));
    }
    blocks.extend(run.end.iter().map(|p| Block::Point(Box::new((*p).clone()))));
    blocks
}

impl<'a> Piece<'a> {
    fn begin(&mut self, operation: &'a Operation, said: &mut Vec<&'a Caution>, blocks: &mut Vec<Block>) {
        // A caution stands before what it belongs to: what came earlier stands before it.
        if self.has_steps() && operation.cautions.iter().any(|c| !said.contains(&c)) {
            self.end(blocks);
        }
        for caution in &operation.cautions {
            self.caution(caution, said);
        }
        let lines = self.lines_of(operation);
        self.work.push(Work {
            number: operation.number,
            title: Some(format!("{} {}", operation.verb.to_uppercase(), operation.title)),
            notice: operation.notice.clone(),
            void: operation.void,
            component: operation.component.clone(),
            who: self.usual.and_then(|usual| other_hand(operation, usual)),
            lines,
            ..Work::default()
        });
        self.drawings.extend(operation.drawings.iter().map(|d| (operation.number, d.clone())));
        self.operations.push(operation);
        self.lines += 2;
    }

    /// What is welded and tightened: in full once at a station, then by its sign.
    /// What stands on a card of this station is named by its sign only.
    fn lines_of(&mut self, operation: &'a Operation) -> Vec<Words> {
        let mut lines: Vec<Words> = Vec::new();
        let mut signs: Vec<&str> = Vec::new();
        for line in operation.joints.iter().chain(&operation.fasteners) {
            let sign = line.0.first().map_or("", |run| run.text.as_str());
            if !sign.is_empty() && (self.welded.contains(&sign) || self.told.contains(&line)) {
                signs.push(sign);
            } else {
                self.told.push(line);
                lines.push(line.clone());
            }
        }
        let mut lines = merge::lines(lines);
        if !signs.is_empty() {
            lines.insert(0, Words::default().strong(signs.join(", ")));
        }
        lines
    }

    /// A caution is printed once at a station.
    fn caution(&mut self, caution: &'a Caution, said: &mut Vec<&'a Caution>) {
        if !said.contains(&caution) {
            said.push(caution);
            self.cautions.push(caution);
        }
    }

    fn step(
        &mut self,
        operation: &'a Operation,
        step: &'a Step,
        said: &mut Vec<&'a Caution>,
        blocks: &mut Vec<Block>,
    ) {
        let safety = step.level == Level::Safety;
        // A caution stands before what it belongs to, not before what comes
        // earlier in the same piece.
        if !step.cautions.is_empty() && self.has_steps() {
            self.end(blocks);
        }
        for caution in &step.cautions {
            self.caution(caution, said);
        }
        // What a safety step reads at a joint welded here stands on its card.
        if safety && cards::carded(step, &self.welded) {
            self.text(operation, step, true);
        } else if safety {
            // Its title stands in the frame, not alone in front of it.
            let untold = self.work.last().is_some_and(|w| w.number == operation.number && self.waits(w));
            let head = if untold { self.work.pop() } else { None };
            self.end(blocks);
            blocks.push(Block::Safety(Box::new(Safety { head, ..framed(operation, step) })));
        } else {
            if !says_only_its_labels(step) {
                self.text(operation, step, false);
            }
            if step.readings.iter().any(|r| !self.on_card(r)) {
                // Values without words have their place in the order of the work too.
                if self.work.last().is_none_or(|w| w.number != operation.number) {
                    self.work.push(Work { number: operation.number, ..Work::default() });
                }
                self.rows.push((operation.number, step));
            }
        }
        if let Some(table) = &step.table {
            self.end(blocks);
            blocks.push(Block::Lookup(table.clone()));
        }
    }

    fn on_card(&self, reading: &Reading) -> bool {
        reading.joint.as_deref().is_some_and(|joint| self.welded.contains(&joint))
    }

    fn has_steps(&self) -> bool {
        self.work.iter().any(|w| !w.steps.is_empty()) || !self.rows.is_empty()
    }

    /// Whether it is a title with nothing said or read under it yet.
    fn waits(&self, work: &Work) -> bool {
        let read = self.rows.iter().any(|(of, _)| *of == work.number);
        work.title.is_some() && work.steps.is_empty() && !read
    }

    fn text(&mut self, operation: &'a Operation, step: &'a Step, strong: bool) {
        self.lines += step.text.text().chars().count().div_ceil(LINE);
        let mut text = step.text.clone();
        text.0.iter_mut().for_each(|run| run.strong |= strong);
        let work = WorkStep { number: step.number, span: span(step), text };
        match self.work.last_mut() {
            Some(last) if last.number == operation.number => last.steps.push(work),
            _ => self.work.push(Work { number: operation.number, steps: vec![work], ..Work::default() }),
        }
    }

    /// Writes down what was collected: cautions, the worst first, then the text
    /// with its values.
    fn end(&mut self, blocks: &mut Vec<Block>) {
        // A drawing waits for the text or the values it belongs to.
        let waits = !self.has_steps() && !self.closing;
        let drawings = if waits { std::mem::take(&mut self.drawings) } else { Vec::new() };
        let told = std::mem::take(&mut self.told);
        let next =
            Piece { welded: self.welded.clone(), told, drawings, usual: self.usual, ..Piece::default() };
        let mut piece = std::mem::replace(self, next);
        // A title waits for its first step.
        if !piece.closing && piece.work.last().is_some_and(|w| piece.waits(w)) {
            self.work.extend(piece.work.pop());
        }
        piece.cautions.sort_by_key(|c| c.signal);
        blocks.extend(piece.cautions.into_iter().map(|c| Block::Caution(c.clone())));
        let mut list: Vec<(u32, Row)> = Vec::new();
        for (of, step) in piece.rows {
            let read = rows::of(step.readings.iter().filter(|r| !self.on_card(r)));
            list.extend(read.into_iter().map(|row| (of, row)));
        }
        blocks.extend(lay::out(piece.work, list, piece.drawings));
    }
}

/// The first operation of whoever does the most of a station.
fn usual<'a>(run: &Run<'a>) -> Option<&'a Operation> {
    let roles = || run.operations.iter().filter(|o| !o.void && o.role.is_some());
    let count = |one: &Operation| roles().filter(|o| other_hand(o, one).is_none()).count();
    let most = roles().map(|o| count(o)).max()?;
    roles().find(|o| count(o) == most).copied()
}

/// Who does an operation, if that is neither the role nor the only person of another.
fn other_hand(operation: &Operation, usual: &Operation) -> Option<String> {
    let role = plain_role(operation.role.as_deref()?);
    let same = usual.role.as_deref().map(plain_role) == Some(role)
        || operation.person.is_some() && operation.person == usual.person;
    (!same).then(|| role.to_owned())
}

/// Whether the labels of a step's boxes say all that its text says, as in
/// "Camber." beside a box "camber, as found".
fn says_only_its_labels(step: &Step) -> bool {
    let words = |text: &str| -> Vec<String> {
        text.to_lowercase()
            .split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty())
            .map(str::to_owned)
            .collect()
    };
    let labels: Vec<String> = step.readings.iter().flat_map(|r| words(&r.label)).collect();
    let text = words(&step.text.text());
    !step.readings.is_empty() && text.iter().all(|w| labels.contains(w))
}

/// Numbers of steps said as one.
fn span(step: &Step) -> Option<String> {
    step.last.map(|last| format!(".{}–{last}", step.number))
}

/// The boxes of what closes a card, under those that open it.
fn closed(operation: &Operation) -> impl Iterator<Item = Block> {
    let title = format!("{} {}", operation.verb.to_uppercase(), operation.title);
    let head = Work { number: operation.number, title: Some(title), void: operation.void, ..Work::default() };
    let mut head = Some(head);
    operation
        .steps
        .iter()
        .filter(|s| !s.readings.is_empty())
        .map(move |step| Block::Safety(Box::new(Safety { head: head.take(), ..framed(operation, step) })))
}

fn framed(operation: &Operation, step: &Step) -> Safety {
    Safety {
        number: operation.number,
        step: step.number,
        span: span(step),
        last: step.last,
        head: None,
        text: by_whom(step),
        rows: rows::of(step.readings.iter()),
        who: step.who.as_deref().or(operation.role.as_deref()).map_or("initials", plain_role).to_owned(),
        initials: step.readings.is_empty() || step.who.is_some() && !step.by_signature,
        done: step.done.clone(),
        name: (!operation.key.is_empty()).then(|| BoxName::step(&operation.key, step.number)),
    }
}

/// The text of a step; of another person's, with who that is in front of it.
fn by_whom(step: &Step) -> Words {
    let Some(who) = step.who.as_deref() else { return step.text.clone() };
    let role = who.split_once(", ").map_or(who, |(role, _)| role);
    let mut text = Words::default().strong(format!("By the {role}. "));
    text.0.extend(step.text.0.iter().cloned());
    text
}

/// One box of initials for the operations of each person, in the order of the
/// work: of each role, where nobody or several have it. Those done by another
/// hand, or on another visit, keep theirs apart. Where the signature that ends the work is of the same
/// role, it stands for them.
fn initials(run: &Run<'_>) -> Vec<Initials> {
    let mut list: Vec<(Option<&str>, Initials)> = Vec::new();
    for operation in run.operations.iter().filter(|o| !o.void && !o.by_signature) {
        let role = operation.role.as_deref().map_or("done", plain_role);
        let person = operation.person.as_deref();
        let same = |(by, one): &&mut (Option<&str>, Initials)| {
            let one_hand = if person.is_some() { *by == person } else { by.is_none() && one.role == role };
            !run.visits && one_hand && written(&one.done) == written(&operation.initials)
        };
        match list.iter_mut().find(same) {
            Some((_, one)) => {
                one.operations.push(operation.number);
                one.done = one.done.take().map(|done| done.and_days_of(operation.initials.as_ref()));
                if !one.role.split(", ").any(|r| r == role) {
                    one.role = format!("{}, {role}", one.role);
                }
            }
            None => list.push((
                person,
                Initials {
                    role: role.to_owned(),
                    operations: vec![operation.number],
                    done: operation.initials.clone(),
                    name: (!operation.key.is_empty()).then(|| BoxName::initials(&operation.key, role)),
                },
            )),
        }
    }
    list.into_iter().map(|(_, one)| one).collect()
}

fn written(filled: &Option<Filled>) -> Option<&str> {
    filled.as_ref().map(|f| f.value.as_str())
}

/// What a pen has to write on the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Entries {
    /// Values and words.
    pub readings: usize,
    /// Initials of safety steps and of each role at the end of a station.
    pub initials: usize,
    /// Signatures of points.
    pub signatures: usize,
}

impl Entries {
    /// All of them.
    #[must_use]
    pub fn all(&self) -> usize {
        self.readings + self.initials + self.signatures
    }
}

/// Counts what a pen has to write at these stations.
#[must_use]
pub fn entries<'a>(stations: impl IntoIterator<Item = &'a Station>) -> Entries {
    let mut entries = Entries::default();
    for block in stations.into_iter().flat_map(|s| &s.blocks) {
        let boxes = || block.rows().into_iter().flat_map(|r| &r.boxes);
        entries.readings += boxes().count() + boxes().filter(|b| b.rests).count();
        match block {
            Block::Point(point) => {
                entries.signatures += 1 + usize::from(point.second.is_some());
                entries.readings += point.readings.len();
            }
            Block::Safety(safety) => entries.initials += usize::from(safety.initials),
            Block::Initials(list) => entries.initials += list.len(),
            _ => {}
        }
    }
    entries
}

#[cfg(test)]
mod tests;
