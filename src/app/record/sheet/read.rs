//! Reads an entry sheet as it comes back from a spreadsheet.

use std::collections::{BTreeMap, BTreeSet};

use super::super::desk::{Actor, Desk};
use super::super::files::RecordHost;
use super::super::given::{How, says_yes};
use super::super::{refused, when, wrong_file};
use super::pictured::Pictures;
use super::unchanged::{Cells, Words};
use super::write::Separator;
use super::{AT_THE_DESK, COLUMNS, OF_A_PICTURE, PAGE, paper, short};
use crate::app::plan::Failure;
use crate::diagnostic::{Diagnostic, nearest};
use crate::form::{BoxName, Evidence, Part, Proposal, Proposed, Way};
use crate::record::entry::Action;
use crate::record::sha256;

/// Largest sheet, in bytes: a traveler of a thousand operations has a tenth.
const LARGEST: usize = 8 << 20;

/// A sheet that came back.
#[derive(Debug, Clone, Default)]
pub struct Sheet {
    /// Its lines that say something, in their order.
    pub lines: Vec<Line>,
    /// What a person should know about it.
    pub notes: Vec<String>,
    /// SHA-256 of the file.
    pub sha256: String,
}

/// A line that says something.
#[derive(Debug, Clone)]
pub struct Line {
    /// Its number in the file, from 1.
    pub number: u64,
    /// What it proposes, or why it can't be read.
    pub read: Result<(Proposal, How), Diagnostic>,
    /// The box it is for, where that can be read at least.
    pub name: Option<BoxName>,
}

impl Sheet {
    /// What its lines propose.
    #[must_use]
    pub fn proposed(&self) -> Vec<(Proposal, How)> {
        self.lines.iter().filter_map(|line| line.read.as_ref().ok().cloned()).collect()
    }

    /// The boxes of lines that propose nothing, for what stands there can't be read.
    #[must_use]
    pub fn unread(&self) -> Vec<BoxName> {
        self.lines.iter().filter(|line| line.read.is_err()).filter_map(|line| line.name.clone()).collect()
    }
}

/// Where the columns stand.
pub(super) struct Places<'a> {
    at: &'a BTreeMap<&'static str, usize>,
    record: csv::StringRecord,
}

impl Places<'_> {
    /// A cell, without the apostrophe that made it text.
    pub(super) fn cell(&self, column: &str) -> &str {
        let cell = self.at.get(column).and_then(|i| self.record.get(*i)).unwrap_or_default().trim();
        cell.strip_prefix('\'').unwrap_or(cell).trim()
    }
}

/// Reads the bytes of a sheet for an opened traveler. Lines without a value are
/// left out.
///
/// # Errors
/// If the file is no sheet at all.
pub fn read(
    host: &dyn RecordHost,
    desk: &Desk,
    actor: &Actor,
    name: &str,
    bytes: &[u8],
) -> Result<Sheet, Failure> {
    let mut sheet = Sheet { sha256: sha256(bytes), ..Sheet::default() };
    // One kind of line end, so that lines are counted as a person counts them.
    let text = text(&desk.plan.number, name, bytes, &mut sheet.notes)
        .map_err(refused)?
        .replace("\r\n", "\n")
        .replace('\r', "\n");
    let (separator, columns, header) = header(name, &text).map_err(refused)?;
    sheet.notes.extend(unused(&columns));
    sheet.notes.extend(taken_before(desk, &sheet.sha256));
    let at = places_of(&columns);
    let pictures = pictures(host, desk, actor, || {
        let records = reader(&text, separator).into_records().filter_map(Result::ok);
        records.map(|record| Places { at: &at, record })
    });
    let mut taking = Taking {
        host,
        desk,
        actor,
        name,
        pictures,
        sheet,
        words: Words::default(),
        seen: BTreeMap::new(),
        others: BTreeMap::new(),
    };
    let mut papers: BTreeSet<String> = BTreeSet::new();
    for record in reader(&text, separator).records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let number = error.position().map_or(0, csv::Position::line);
                taking.refuse(number, Diagnostic::error("L208", format!("{name}, line {number}: {error}")));
                continue;
            }
        };
        let number = record.position().map_or(0, csv::Position::line);
        let places = Places { at: &at, record };
        if number > header {
            papers.insert(places.cell("traveler").to_owned());
            taking.line(number, &places);
        }
    }
    of_another(desk, name, &taking.sheet, papers).map_err(refused)?;
    Ok(taking.done())
}

/// Columns of a sheet that are not known.
fn unused(columns: &[String]) -> impl Iterator<Item = String> {
    let known = |c: &str| COLUMNS.contains(&c) || OF_A_PICTURE.contains(&c);
    let unknown = columns.iter().filter(move |column| !column.is_empty() && !known(column));
    unknown.map(|column| format!("The column \"{column}\" is not used."))
}

/// Where the columns that are known stand.
fn places_of(columns: &[String]) -> BTreeMap<&'static str, usize> {
    let known = COLUMNS.iter().chain(&OF_A_PICTURE);
    known.filter_map(|c| columns.iter().position(|h| h == c).map(|i| (*c, i))).collect()
}

/// Pictures the lines of a sheet were read off, and who compared them.
fn pictures<'a, I: Iterator<Item = Places<'a>>>(
    host: &dyn RecordHost,
    desk: &Desk,
    actor: &Actor,
    lines: impl Fn() -> I,
) -> Pictures {
    let mut pictures = Pictures::default();
    for places in lines() {
        if page_of(&places).is_some() && says_yes(places.cell("value")) {
            pictures.compared(places.cell("picture"), person(desk, places.cell("by")).as_deref(), actor);
        }
    }
    if lines().any(|places| !places.cell("picture").is_empty()) {
        pictures.load(host, desk);
    }
    pictures
}

/// A line that says something tells by itself whose it is; a sheet that says nothing does not.
fn of_another(
    desk: &Desk,
    name: &str,
    sheet: &Sheet,
    mut papers: BTreeSet<String>,
) -> Result<(), Diagnostic> {
    let own = |paper: &String| paper.split(' ').next() == Some(&*desk.plan.number);
    papers.remove("");
    if !sheet.lines.is_empty() || papers.is_empty() || papers.iter().any(own) {
        return Ok(());
    }
    let whose: Vec<&str> = papers.iter().map(String::as_str).collect();
    Err(Diagnostic::error(
        "L209",
        format!("{name} is a sheet of {}, not of {}", whose.join(", "), desk.plan.number),
    )
    .expected(format!("a sheet as `sheet {}` writes it", desk.plan.number)))
}

/// A sheet while its lines are taken in one after another.
struct Taking<'a> {
    host: &'a dyn RecordHost,
    desk: &'a Desk,
    actor: &'a Actor,
    name: &'a str,
    pictures: Pictures,
    sheet: Sheet,
    words: Words,
    /// The line a box was first seen on, and its value there.
    seen: BTreeMap<BoxName, (u64, String)>,
    /// Lines done by somebody else than who takes them in.
    others: BTreeMap<String, Vec<u64>>,
}

impl Taking<'_> {
    fn refuse(&mut self, number: u64, why: Diagnostic) {
        self.sheet.lines.push(Line { number, read: Err(why), name: None });
    }

    /// Takes in a line below the header.
    fn line(&mut self, number: u64, places: &Places<'_>) {
        self.remark(number, places);
        let value = places.cell("value");
        if value.is_empty() || value == AT_THE_DESK {
            return;
        }
        let place = format!("{}, line {number}", self.name);
        if let Some(page) = page_of(places) {
            if !says_yes(value) {
                let why = Diagnostic::error("L208", format!("\"{value}\" is no x beside page {page}"))
                    .key(format!("{place}, column value"))
                    .expected("x where the page was compared with its lines; nothing where it was not");
                self.refuse(number, why);
            }
            return;
        }
        let read = self.value(number, places).map_err(|p| {
            let key = format!("{place}, column {}", p.key);
            p.key(key)
        });
        let read = read.and_then(|read| self.only_once((number, value), read));
        let name = boxed(self.desk, places.cell("box")).ok();
        self.sheet.lines.push(Line { number, read, name });
    }

    /// A remark is nobody's reading.
    fn remark(&mut self, number: u64, places: &Places<'_>) {
        let remark = places.cell("remark");
        if !remark.is_empty() {
            self.sheet.notes.push(format!(
                "Line {number}: the remark \"{remark}\" is not entered. If it is something found: tackwright found {} {} \"{remark}\" --by ID",
                self.desk.plan.number,
                places.cell("operation"),
            ));
        }
    }

    /// What a line proposes, if the words beside it are those of its box.
    fn value(&mut self, number: u64, places: &Places<'_>) -> Result<(Proposal, How), Diagnostic> {
        let Self { host, desk, actor, .. } = *self;
        let (mut proposal, how) =
            line(host, desk, actor, &self.sheet.sha256, places, number, &self.pictures)?;
        let cells = Cells { what: places.cell("what"), limit: places.cell("limit") };
        self.words.hold(host, desk, actor, cells, &proposal.name)?;
        self.name.clone_into(&mut proposal.from.file);
        Ok((proposal, how))
    }

    /// A box has one value in a sheet. Of two neither counts: only a person knows which is
    /// right.
    fn only_once(
        &mut self,
        (number, value): (u64, &str),
        (proposal, how): (Proposal, How),
    ) -> Result<(Proposal, How), Diagnostic> {
        let before = self.seen.insert(proposal.name.clone(), (number, value.to_owned()));
        if let Some(by) = proposal.by.as_ref().filter(|by| **by != self.actor.id) {
            self.others.entry(by.clone()).or_default().push(number);
        }
        let Some((first, other)) = before.filter(|(_, other)| other != value) else {
            return Ok((proposal, how));
        };
        let place = format!("{}, line {number}", self.name);
        let twice = |elsewhere: u64, with: &str| {
            Diagnostic::error(
                "L208",
                format!("{} stands on line {elsewhere} as well, with \"{with}\"", proposal.name),
            )
            .key(format!("{place}, column box"))
            .help("a box has one value: delete the line that is not right")
        };
        if let Some(before) = self.sheet.lines.iter_mut().find(|l| l.number == first) {
            before.read = Err(twice(number, value));
        }
        Err(twice(first, &other))
    }

    /// The sheet, with whose lines somebody else takes in.
    fn done(mut self) -> Sheet {
        for (by, lines) in &self.others {
            let lines: Vec<String> = lines.iter().map(u64::to_string).collect();
            self.sheet.notes.push(format!(
                "Done by {by}, taken in by {}: lines {}. The record says both.",
                self.actor.id,
                lines.join(", ")
            ));
        }
        self.sheet
    }
}

/// The text of a file; spreadsheets write UTF-8, UTF-16 or one byte a character.
pub(super) fn text(
    number: &str,
    name: &str,
    bytes: &[u8],
    notes: &mut Vec<String>,
) -> Result<String, Diagnostic> {
    if bytes.len() > LARGEST {
        return Err(Diagnostic::error("L209", format!("{name} has {} bytes, no sheet has", bytes.len()))
            .expected("an entry sheet as `sheet NUMBER` writes it, saved as CSV"));
    }
    let other = wrong_file::hint(bytes, number).filter(|_| !wrong_file::is_sheet(bytes));
    if other.is_some() || bytes.starts_with(b"%PDF") {
        let problem = Diagnostic::error("L209", format!("{name} is another kind of file, not a CSV file"))
            .expected("the sheet saved as CSV (text, separated by commas or semicolons)");
        return Err(other.into_iter().fold(problem, Diagnostic::help));
    }
    let pairs = |bytes: &[u8], order: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = bytes.chunks_exact(2).map(|p| order([p[0], p[1]])).collect();
        String::from_utf16_lossy(&units)
    };
    Ok(match bytes {
        [0xFF, 0xFE, rest @ ..] => pairs(rest, u16::from_le_bytes),
        [0xFE, 0xFF, rest @ ..] => pairs(rest, u16::from_be_bytes),
        _ => match std::str::from_utf8(bytes) {
            Ok(text) => text.trim_start_matches('\u{FEFF}').to_owned(),
            Err(_) => {
                notes
                    .push("The file is not UTF-8; it was read one byte a character (ISO 8859-1).".to_owned());
                bytes.iter().map(|b| char::from(*b)).collect()
            }
        },
    })
}

pub(super) fn reader(text: &str, separator: Separator) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new()
        .delimiter(separator.byte())
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes())
}

/// The separator that finds the columns, their names, and the line they stand on.
pub(super) fn header(name: &str, text: &str) -> Result<(Separator, Vec<String>, u64), Diagnostic> {
    let mut nearly: Option<Vec<String>> = None;
    for separator in Separator::ALL {
        // Blank lines above are none of the sheet's.
        let mut records = reader(text, separator).into_records();
        let first = records.find_map(|r| r.ok().filter(|r| r.iter().any(|c| !c.trim().is_empty())));
        let Some(first) = first else { continue };
        let columns: Vec<String> =
            first.iter().map(|c| c.trim_start_matches('\'').trim().to_lowercase()).collect();
        let missing: Vec<&str> =
            ["box", "value", "traveler"].into_iter().filter(|c| !columns.iter().any(|h| h == c)).collect();
        if missing.is_empty() {
            let line = first.position().map_or(1, csv::Position::line);
            return Ok((separator, columns, line));
        }
        if nearly.as_ref().is_none_or(|n| n.len() < columns.len()) {
            nearly = Some(columns);
        }
    }
    let columns = nearly.unwrap_or_default();
    let missing: Vec<&str> =
        ["box", "value", "traveler"].into_iter().filter(|c| !columns.iter().any(|h| h == c)).collect();
    let mut problem = Diagnostic::error(
        "L209",
        format!("{name}, line 1: the first line does not name the column {}", missing.join(", nor ")),
    )
    .expected(format!("the names of the columns: {}", COLUMNS.join(", ")))
    .help("write a new sheet and copy the values over: tackwright sheet NUMBER --out FILE");
    if let Some(near) = missing.first().and_then(|m| nearest(m, columns.iter().map(String::as_str))) {
        problem = problem.help(format!("is \"{near}\" meant?"));
    }
    Err(problem)
}

/// A sheet that was taken in before, in words.
fn taken_before(desk: &Desk, digest: &str) -> Option<String> {
    let of = |e: &&crate::record::Entry| e.taken_in.as_ref().is_some_and(|t| t.sha256 == digest);
    let entries: Vec<_> = desk.entries.iter().filter(of).collect();
    let (first, last) = (entries.first()?, entries.last()?);
    let by = first.taken_in.as_ref().map_or("", |t| t.by.as_str());
    Some(format!(
        "This very file was taken in by {by} (entries {} to {}); what stands there is not entered again.",
        first.n, last.n
    ))
}

/// The page a line is for, if it is none of a box.
fn page_of(places: &Places<'_>) -> Option<u32> {
    places.cell("box").strip_prefix(PAGE)?.trim().parse().ok()
}

/// The id of whoever is named by id or printed name; what stands there if nobody is.
fn person(desk: &Desk, cell: &str) -> Option<String> {
    let same = |p: &&crate::record::people::Signer| {
        p.id.eq_ignore_ascii_case(cell) || p.name.eq_ignore_ascii_case(cell)
    };
    let found = || desk.register.people.iter().find(same).map_or(cell.to_owned(), |p| p.id.clone());
    (!cell.is_empty()).then(found)
}

fn line(
    host: &dyn RecordHost,
    desk: &Desk,
    actor: &Actor,
    digest: &str,
    places: &Places<'_>,
    number: u64,
    pictures: &Pictures,
) -> Result<(Proposal, How), Diagnostic> {
    let name = boxed(desk, places.cell("box"))?;
    of_this_paper(desk, places.cell("traveler"), &name).map_err(|p| p.key("traveler"))?;
    let at = match places.cell("when") {
        "" => None,
        text => Some(when::read(host, text, &actor.at).map_err(|p| p.key("when"))?.to_rfc3339()),
    };
    let said = |column: &str| Some(places.cell(column)).filter(|c| !c.is_empty()).map(str::to_owned);
    let by = person(desk, places.cell("by"));
    let tool = said("tool").filter(|_| matches!(name.part, Part::Reading(_))).map(|tool| {
        let all = desk.register.instruments.iter().flatten();
        all.map(|i| &i.id).find(|id| id.eq_ignore_ascii_case(&tool)).map_or(tool.clone(), Clone::clone)
    });
    let picture = match places.cell("picture") {
        "" => None,
        cell => Some(pictures.of(desk, actor, cell, &name).map_err(|p| p.key("picture"))?),
    };
    let from = Evidence {
        way: Way::Sheet,
        sha256: digest.to_owned(),
        place: format!("line {number}"),
        picture,
        ..Evidence::default()
    };
    if places.cell("value").starts_with('=') {
        return Err(Diagnostic::error("L208", "the value is a formula, not what it comes to")
            .key("value")
            .expected("what was read or seen")
            .help("copy the values over the formulas in the spreadsheet"));
    }
    let value = Proposed::Text(places.cell("value").to_owned());
    let how = How { unit: said("unit"), ..How::default() };
    Ok((Proposal { name, value, by, at, tool, from }, how))
}

/// The box a line is for: by the name the sheet had, or as a person writes its place.
fn boxed(desk: &Desk, cell: &str) -> Result<BoxName, Diagnostic> {
    let name = cell.parse::<BoxName>().ok();
    if let Some(known) = name.as_ref().filter(|name| desk.plan.box_of(name).is_some()) {
        return Ok(known.clone());
    }
    let no = |problem: Diagnostic| {
        problem
            .key("box")
            .help("write a new sheet and copy the values over: tackwright sheet NUMBER --out FILE")
    };
    let place = match (desk.plan.meant(cell), name) {
        (Ok(place), _) => place,
        // A box of another revision: what became of it is said elsewhere.
        (Err(_), Some(name)) => return Ok(name),
        (Err(problem), None) => return Err(no(problem)),
    };
    let asked = place.asked(&desk.plan, &desk.state);
    asked.map(|asked| asked.name).ok_or_else(|| {
        no(Diagnostic::error("L208", format!("nothing is written at {}", place.typed()))
            .expected("the name as the sheet had it")
            .help(place.way(&desk.plan.number)))
    })
}

/// Whether a line belongs to this traveler, and its operation is still the one that
/// was asked.
fn of_this_paper(desk: &Desk, cell: &str, name: &BoxName) -> Result<(), Diagnostic> {
    let plan = &desk.plan;
    let now = paper(plan);
    let wrong = |why: String, help: String| {
        Diagnostic::error("L210", why).rule("a sheet goes with its paper").expected(now.clone()).help(help)
    };
    let fresh = format!("write a new sheet: tackwright sheet {} --out FILE", plan.number);
    let parts: Vec<&str> = cell.split_whitespace().collect();
    let [number, letter, digest] = parts.as_slice() else {
        return Err(wrong(format!("\"{cell}\" does not say whose sheet it is"), fresh));
    };
    if *number != plan.number {
        return Err(wrong(
            format!("the line is of traveler {number}, not of {}", plan.number),
            format!("take it in there: tackwright sheet {number} --take FILE"),
        ));
    }
    let issues = desk.entries.iter().filter_map(|e| match &e.what {
        Action::Issued { issue } | Action::Revised { issue, .. } => Some(issue),
        _ => None,
    });
    let issued: Vec<_> = issues.collect();
    let known = issued.iter().position(|i| i.revision == *letter && short(&i.plan) == digest.to_uppercase());
    let Some(place) = known else {
        return Err(wrong(format!("no revision {letter} with the digits {digest} was issued"), fresh));
    };
    // What a later revision left as it was still holds.
    let later = desk.state.revisions.iter().skip(place + 1);
    let lost = later.into_iter().find(|r| !r.kept.contains(&name.operation));
    match lost {
        None => Ok(()),
        Some(revision) => Err(wrong(
            format!(
                "the sheet is of rev {letter}, and rev {} changed {}: what was read for the old paper is not entered",
                revision.letter, name.operation
            ),
            fresh,
        )),
    }
}
