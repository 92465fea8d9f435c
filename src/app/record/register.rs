//! Who may act that day, with which instruments and lots: the job's people and
//! the shop book as it stands on the day of the entry.

use std::path::{Path, PathBuf};

use chrono::NaiveDate;

use super::files::RecordHost;
use super::{folder, refused, shelf, stored, system};
use crate::app::host::There;
use crate::app::plan::Failure;
use crate::app::shop::book::{ShopBook, book};
use crate::diagnostic::Diagnostic;
use crate::job::{self, JobFile};
use crate::procedure::figures;
use crate::quantity::Kind;
use crate::record::entry::Issue;
use crate::record::people::{Instrument, Lot, Qualified, Register, Signer, Spread};
use crate::shop::model::{self, Book, Person, Role};
use crate::term::{Method, shell};

/// Name of a shop book.
pub const SHOP: &str = "shop.toml";

/// Notes where the book of a traveler stands. It is a signpost for this machine
/// and no part of the record.
///
/// # Errors
/// If the note can't be written.
pub fn note(host: &dyn RecordHost, traveler: &Path, book: &ShopBook) -> Result<(), Failure> {
    if book.demo || book.absent {
        return Ok(());
    }
    let path = folder::note(traveler);
    let place = host.absolute(Path::new(&book.source.name));
    host.write(&path, format!("{}\n", place.display()).as_bytes()).map_err(|e| system(&path, e))
}

/// The book named by the note in a traveler's folder: a whole path, as [`note`]
/// writes it. Anything else somebody put there is not followed.
fn noted(host: &dyn RecordHost, traveler: &Path) -> Option<PathBuf> {
    let text = host.read(&folder::note(traveler)).ok()?;
    let path = PathBuf::from(text.trim());
    (path.is_absolute() && path.extension().is_some_and(|e| e == "toml")).then_some(path)
}

/// Ids of the people with a PIN in the book the traveler was issued with, as far as it
/// is still there and can be read.
#[must_use]
pub(super) fn with_pin(host: &dyn RecordHost, traveler: &Path) -> Vec<String> {
    let Some(shop) = noted(host, traveler).and_then(|path| book(host, Some(&path)).ok()) else {
        return Vec::new();
    };
    shop.book.person.iter().filter(|p| p.pin.is_some()).map(|p| p.id.0.clone()).collect()
}

/// Where the shop book of a traveler stands: the one named, else the one it was
/// issued with, else `shop.toml` beside the folder of travelers.
#[must_use]
pub fn place(host: &dyn RecordHost, traveler: &Path, named: Option<&Path>) -> Option<PathBuf> {
    if let Some(named) = named {
        return Some(named.to_owned());
    }
    if let Some(noted) = noted(host, traveler).filter(|p| host.there(p) == There::File) {
        return Some(noted);
    }
    // travelers/NUMBER: two steps up, also where the path is only a name.
    let beside = match traveler.parent().and_then(Path::parent) {
        Some(place) => place.join(SHOP),
        None => Path::new(SHOP).to_owned(),
    };
    host.exists(&beside).then_some(beside)
}

/// The shop book that is meant: the one named, else `shop.toml` here or in the
/// folder of jobs.
///
/// # Errors
/// If there is none.
pub fn usual(host: &dyn RecordHost, named: Option<&Path>) -> Result<PathBuf, Failure> {
    let usual = [PathBuf::from(SHOP), Path::new("jobs").join(SHOP)];
    let found = named.map(Path::to_owned).or_else(|| usual.into_iter().find(|p| host.exists(p)));
    found.ok_or_else(|| {
        let problem = Diagnostic::error("L165", "there is no shop book here")
            .expected("shop.toml here or in jobs, or one named with --shop FILE");
        let known = of_travelers(host);
        refused(if known.is_empty() {
            problem.help("start one: tackwright new shop --out shop.toml")
        } else {
            let name = |(number, path): &(String, PathBuf)| {
                format!("the book of {number} is another: --shop {}", shell::word(path))
            };
            known.iter().map(name).fold(problem, Diagnostic::help)
        })
    })
}

/// The books of the travelers here, each once, with the number of one that has it.
fn of_travelers(host: &dyn RecordHost) -> Vec<(String, PathBuf)> {
    let mut known: Vec<(String, PathBuf)> = Vec::new();
    for folder in ["travelers", "jobs/travelers"].map(Path::new) {
        for traveler in host.folders(folder).unwrap_or_default() {
            let book = noted(host, &traveler).filter(|path| host.there(path) == There::File);
            if let Some(path) = book.filter(|path| known.iter().all(|(_, other)| other != path)) {
                let number = traveler.file_name().unwrap_or_default().to_string_lossy().into_owned();
                known.push((number, path));
            }
        }
    }
    known
}

/// That another book lies where the traveler lies than the one it is entered by, and says
/// something else; none where it does not.
#[must_use]
pub(super) fn another_beside(host: &dyn RecordHost, traveler: &Path, book: &ShopBook) -> Option<String> {
    let beside = traveler.parent()?.parent()?.join(SHOP);
    let used = Path::new(&book.source.name);
    let same = host.absolute(&beside) == host.absolute(used);
    let other = host.read(&beside).is_ok_and(|text| !same && text != book.source.text);
    other.then(|| format!(
        "{} lies beside the traveler and says something else: this goes by {}, where it was issued with; name the one that counts with --shop FILE",
        beside.display(),
        used.display()
    ))
}

/// The book in force. A job issued without a book of the shop's own has none;
/// one issued with it needs it: PINs, roles, tests and calibrations stand there.
fn in_force(
    host: &dyn RecordHost,
    traveler: &Path,
    issue: &Issue,
    named: Option<&Path>,
) -> Result<Option<ShopBook>, Failure> {
    if let Some(path) = place(host, traveler, named) {
        return book(host, Some(&path)).map(Some);
    }
    let stored = stored::file(host, traveler, issue, "procedures.json")?;
    let noted = noted(host, traveler);
    if noted.is_none() && !shelf::own_book(&stored)? {
        return Ok(None);
    }
    let place = noted.map_or_else(String::new, |p| format!(" at {}", p.display()));
    Err(refused(
        Diagnostic::error("L166", format!("the shop book of {} is not there{place}", issue.number))
            .rule("no book, no entry")
            .expected("the book it was issued with: people, PINs, tests and calibrations stand in it")
            .help("put it back, or name it where it stands now: --shop FILE")
            .help("a lead may go on without it, and the record says so: --without-book"),
    ))
}

/// Who may act, by which book.
#[derive(Debug)]
pub struct InForce {
    /// Whether the job says that it is an invented demonstration.
    pub invented: bool,
    /// People, instruments, lots.
    pub register: Register,
    /// The book; none for a job issued without one.
    pub book: Option<ShopBook>,
    /// True where a lead goes on although the book is gone.
    pub without: bool,
}

/// The register of a traveler on a day. `without` goes on where the book is gone,
/// with the people the paper was issued with.
///
/// # Errors
/// If the book is gone, is another shop's, can't be read or has errors.
pub fn of(
    host: &dyn RecordHost,
    traveler: &Path,
    issue: &Issue,
    named: Option<&Path>,
    without: bool,
    day: NaiveDate,
) -> Result<InForce, Failure> {
    let job = stored::file(host, traveler, issue, "job.toml")?;
    let (job, _) = job::load("job.toml", &String::from_utf8_lossy(&job));
    let invented = job.as_ref().is_some_and(|j| j.job.invented);
    let frozen = shelf::book(&stored::file(host, traveler, issue, "procedures.json")?)?;
    match in_force(host, traveler, issue, named) {
        Ok(Some(_)) if without => {
            Err(refused(Diagnostic::error("L177", "the shop book is there").help("leave out --without-book")))
        }
        Ok(book) => {
            if let Some(book) = &book {
                own(book, &frozen, &issue.number)?;
            }
            let mut register = assemble(job.as_ref(), book.as_ref(), day);
            if book.is_some() && !frozen.demo && !frozen.absent {
                let rows = instruments(&frozen.book);
                as_they_were(&mut register, &rows, day);
                register.frozen = Some(rows);
                register.issued = frozen.book.person.iter().map(book_person).collect();
                // An empty list of lots is a list where there was one.
                register.lots = register.lots.or_else(|| (!frozen.book.lot.is_empty()).then(Vec::new));
            }
            Ok(InForce { invented, register, book, without: false })
        }
        Err(_) if without && named.is_none() => {
            let mut register = assemble(job.as_ref(), Some(&frozen), day);
            // A job file is anybody's to write: it makes nobody a lead.
            register.people.retain(|p| frozen.book.person(&p.id).is_some());
            register.book = "the book as it was at issue".to_owned();
            register.frozen.clone_from(&register.instruments);
            register.issued = frozen.book.person.iter().map(book_person).collect();
            Ok(InForce { invented, register, book: None, without: true })
        }
        Err(failure) => Err(failure),
    }
}

/// What was read before an instrument was calibrated anew rests on the row it had then, as
/// far as the paper was issued with that.
fn as_they_were(register: &mut Register, rows: &[Instrument], day: NaiveDate) {
    for own in register.instruments.iter_mut().flatten() {
        let before = |i: &&Instrument| i.id == own.id && i.calibrated.is_none_or(|then| then <= day);
        if own.calibrated.is_some_and(|then| then > day)
            && let Some(row) = rows.iter().find(before)
        {
            own.clone_from(row);
        }
    }
}

/// A record takes the book it was issued with, as it stands now, and no other.
fn own(book: &ShopBook, frozen: &ShopBook, number: &str) -> Result<(), Failure> {
    let (is, was) = (&book.book.title.value, &frozen.book.title.value);
    if frozen.demo || frozen.absent || **is == **was {
        return Ok(());
    }
    Err(refused(
        Diagnostic::error("L176", format!("{} is not the book {number} was issued with", book.source.name))
            .rule("a record accepts its own book only")
            .expected(format!("the book with the title \"{}\"; this one is \"{}\"", &**was, &**is))
            .help("name the right one: --shop FILE"),
    ))
}

/// The people of a job and of a book, with the book's instruments and lots, on
/// a day. Where both know a person, the book counts.
#[must_use]
pub fn assemble(job: Option<&JobFile>, shop: Option<&ShopBook>, day: NaiveDate) -> Register {
    let own: Vec<Signer> = job.map(job_people).unwrap_or_default();
    let Some(shop) = shop else {
        return Register { book: "the job".to_owned(), people: own, ..Register::default() };
    };
    let book = &shop.book;
    let mut people: Vec<Signer> = book.person.iter().map(book_person).collect();
    people.extend(own.into_iter().filter(|o| book.person(&o.id).is_none()).filter_map(|mut one| {
        // A job file is anybody's to write: beside the shop's own book it names customers only.
        if !shop.demo && !shop.absent {
            one.roles.retain(|role| role == Role::Customer.word());
        }
        (!one.roles.is_empty()).then_some(one)
    }));
    if let Some(job) = job {
        rights(&mut people, job, book, day);
    }
    Register {
        book: shop.source.name.clone(),
        people,
        welding: true,
        instruments: Some(instruments(book)),
        frozen: None,
        issued: Vec::new(),
        lots: (!book.lot.is_empty()).then(|| lots(book)),
    }
}

fn job_people(job: &JobFile) -> Vec<Signer> {
    job.person
        .iter()
        .map(|p| Signer {
            id: p.id.0.clone(),
            name: p.name.0.clone(),
            roles: p.role.iter().map(|r| r.word().to_owned()).collect(),
            ..Signer::default()
        })
        .collect()
}

/// A person of a book, with the certificates the book names.
pub(super) fn book_person(person: &Person) -> Signer {
    let mut qualified = Vec::new();
    // The book's certificate of a person is that of an inspector.
    if let (Some(certificate), true) = (&person.certificate, person.role.contains(&Role::Inspector)) {
        let until = person.certificate_until.as_ref().map(|d| d.0);
        qualified.push(Qualified {
            what: Role::Inspector.word().to_owned(),
            until,
            basis: dated(&certificate.0, until),
            why_not: None,
        });
    }
    if let Some(certificate) = &person.certificate {
        let until = person.certificate_until.as_ref().map(|d| d.0);
        qualified.extend(Method::named_in(&certificate.0).into_iter().map(|method| Qualified {
            what: method.title().to_owned(),
            until,
            basis: dated(&certificate.0, until),
            why_not: None,
        }));
    }
    Signer {
        id: person.id.0.clone(),
        name: person.name.0.clone(),
        roles: person.role.iter().map(|r| r.word().to_owned()).collect(),
        pin: person.pin.as_ref().map(|p| p.0.clone()),
        left: person.until.as_ref().map(|d| d.0),
        qualified,
    }
}

fn dated(what: &str, until: Option<NaiveDate>) -> String {
    until.map_or_else(|| what.to_owned(), |u| format!("{what} until {u}"))
}

/// Which joints each welder may weld that day.
fn rights(people: &mut [Signer], job: &JobFile, book: &Book, day: NaiveDate) {
    let figures = figures::compute(job, Some(book));
    for joint in &job.joint {
        for fit in crate::plan::welders(joint, &figures, job.job.units, book, day) {
            let Some(person) = people.iter_mut().find(|p| p.id == fit.id) else { continue };
            let why: Vec<&str> = fit.findings.iter().filter(|f| f.refuses).map(|f| f.text.as_str()).collect();
            person.qualified.push(Qualified {
                what: joint.id.0.clone(),
                until: fit.until,
                basis: dated(&fit.tests.join(" and "), fit.until),
                why_not: (!why.is_empty()).then(|| why.join("; ")),
            });
        }
    }
}

/// The instruments and torque tools of a book.
pub(super) fn instruments(book: &Book) -> Vec<Instrument> {
    let spread = |s: model::Spread| Spread { fixed: s.fixed, share: s.share };
    let measuring = book.instrument.iter().map(|i| {
        let (least, most) = i.range();
        Instrument {
            id: i.id.0.clone(),
            title: i.kind.0.clone(),
            kind: Some(i.measures.value.kind()),
            until: Some(i.due.0),
            calibrated: i.calibrated.as_ref().map(|d| d.0),
            out_of_service: i.out_of_service.as_ref().map(|o| o.0.clone()),
            least,
            most,
            spread: i.spread().map(spread),
            step: i.step(),
        }
    });
    let tightening = book.torque_tool.iter().map(|t| {
        let (least, most) = t.range();
        Instrument {
            id: t.id.0.clone(),
            title: t.kind.0.clone(),
            kind: Some(Kind::Torque),
            until: Some(t.due.0),
            calibrated: t.calibrated.as_ref().map(|d| d.0),
            out_of_service: t.out_of_service.as_ref().map(|o| o.0.clone()),
            least: Some(least.into()),
            most: Some(most.into()),
            spread: Some(spread(t.spread())),
            step: Some(t.increment.value.value.into()),
        }
    });
    measuring.chain(tightening).collect()
}

fn lots(book: &Book) -> Vec<Lot> {
    book.lot
        .iter()
        .map(|l| Lot {
            id: l.id.0.clone(),
            number: l.number.0.clone(),
            kind: l.kind.word().to_owned(),
            designation: l.designation.0.clone(),
            until: l.until.as_ref().map(|u| u.0),
        })
        .collect()
}
