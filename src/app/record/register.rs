//! Who may act that day, with which instruments and lots: the job's people and
//! the shop book as it stands on the day of the entry.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use chrono::NaiveDate;

use super::files::RecordHost;
use super::{refused, system};
use crate::app::plan::Failure;
use crate::app::shop::book::{ShopBook, book, of_text};
use crate::app::shop::welders;
use crate::diagnostic::Diagnostic;
use crate::job::{self, JobFile};
use crate::procedure::figures;
use crate::quantity::{Dimensioned, Kind};
use crate::record::people::{Instrument, Lot, Qualified, Register, Signer, Spread};
use crate::shop::model::{Book, Person, Role};
use crate::shop::{self};

/// Name of a shop book.
pub const SHOP: &str = "shop.toml";

/// Note in a traveler's folder: where the book it was issued with stands.
const NOTE: &str = "shop-book";

/// Notes where the book of a traveler stands. It is a signpost for this machine
/// and no part of the record.
///
/// # Errors
/// If the note can't be written.
pub fn note(host: &dyn RecordHost, traveler: &Path, book: &ShopBook) -> Result<(), Failure> {
    if book.demo {
        return Ok(());
    }
    let path = traveler.join(NOTE);
    let place = host.absolute(Path::new(&book.source.name));
    host.write(&path, format!("{}\n", place.display()).as_bytes()).map_err(|e| system(&path, e))
}

/// Where the shop book of a traveler stands: the one named, else the one it was
/// issued with, else `shop.toml` beside the folder of travelers.
#[must_use]
pub fn place(host: &dyn RecordHost, traveler: &Path, named: Option<&Path>) -> Option<PathBuf> {
    if let Some(named) = named {
        return Some(named.to_owned());
    }
    let noted = host.read(&traveler.join(NOTE)).ok().map(|t| PathBuf::from(t.trim()));
    if let Some(noted) = noted.filter(|p| host.exists(p)) {
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
        refused(
            Diagnostic::error("L165", "there is no shop book here")
                .expected("shop.toml here or in jobs, or one named with --shop FILE")
                .help("start one: tackwright new shop --out shop.toml"),
        )
    })
}

/// The book in force: the live one, else the one frozen with the revision. A
/// job issued without a book of the shop's own has none.
fn in_force(
    host: &dyn RecordHost,
    traveler: &Path,
    revision: &str,
    named: Option<&Path>,
) -> Result<Option<ShopBook>, Failure> {
    if let Some(path) = place(host, traveler, named) {
        return book(host, Some(&path)).map(Some);
    }
    let path = traveler.join(revision).join("procedures.json");
    let text = host.read(&path).map_err(|e| system(&path, e))?;
    let list: Vec<BTreeMap<String, String>> = serde_json::from_str(&text).map_err(|e| system(&path, e))?;
    let frozen = list.into_iter().next_back().and_then(|mut f| f.remove("name").zip(f.remove("text")));
    match frozen {
        // The demonstration book speaks for no shop.
        Some((name, text)) if text != shop::DEMO && text != shop::EMPTY => of_text(name, text).map(Some),
        _ => Ok(None),
    }
}

/// The register of a traveler on a day.
///
/// # Errors
/// If the book can't be read or has errors.
pub fn of(
    host: &dyn RecordHost,
    traveler: &Path,
    revision: &str,
    named: Option<&Path>,
    day: NaiveDate,
) -> Result<Register, Failure> {
    let path = traveler.join(revision).join("job.toml");
    let text = host.read(&path).map_err(|e| system(&path, e))?;
    let (job, _) = job::load("job.toml", &text);
    let own: Vec<Signer> = job.as_ref().map(job_people).unwrap_or_default();
    let Some(shop) = in_force(host, traveler, revision, named)? else {
        return Ok(Register { book: "the job".to_owned(), people: own, ..Register::default() });
    };
    let book = &shop.book;
    let mut people: Vec<Signer> = book.person.iter().map(book_person).collect();
    people.extend(own.into_iter().filter(|o| book.person(&o.id).is_none()));
    if let Some(job) = &job {
        rights(&mut people, job, book, day);
    }
    Ok(Register {
        book: shop.source.name.clone(),
        people,
        welding: true,
        instruments: Some(instruments(book)),
        lots: (!book.lot.is_empty()).then(|| lots(book)),
    })
}

fn job_people(job: &JobFile) -> Vec<Signer> {
    job.person
        .iter()
        .map(|p| Signer {
            id: p.id.value.0.clone(),
            name: p.name.0.clone(),
            roles: p.role.iter().map(|r| r.word().to_owned()).collect(),
            ..Signer::default()
        })
        .collect()
}

fn book_person(person: &Person) -> Signer {
    let mut qualified = Vec::new();
    // The book's certificate of a person is that of an inspector.
    if let (Some(certificate), true) = (&person.certificate, person.role.contains(&Role::Inspector)) {
        let until = person.certificate_until.as_ref().map(|d| d.value.0);
        qualified.push(Qualified {
            what: Role::Inspector.word().to_owned(),
            until,
            basis: dated(&certificate.0, until),
            why_not: None,
        });
    }
    Signer {
        id: person.id.value.0.clone(),
        name: person.name.0.clone(),
        roles: person.role.iter().map(|r| r.word().to_owned()).collect(),
        pin: person.pin.as_ref().map(|p| p.value.0.clone()),
        left: person.until.as_ref().map(|d| d.value.0),
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
        for fit in welders(joint, &figures, book, day) {
            let Some(person) = people.iter_mut().find(|p| p.id == fit.id) else { continue };
            let why: Vec<&str> = fit.findings.iter().filter(|f| f.refuses).map(|f| f.text.as_str()).collect();
            person.qualified.push(Qualified {
                what: joint.id.value.0.clone(),
                until: fit.until,
                basis: dated(&fit.tests.join(" and "), fit.until),
                why_not: (!why.is_empty()).then(|| why.join("; ")),
            });
        }
    }
}

fn instruments(book: &Book) -> Vec<Instrument> {
    let measuring = book.instrument.iter().map(|i| {
        let (least, most) = i.range();
        // The step is read on top of the certificate (JCGM 100, 4.3.7: r/√12).
        let fixed = i.expanded().zip(i.step()).map(|(expanded, step)| {
            crate::quantity::math::hypot(expanded.si() / 2.0, step.si() / 12.0_f64.sqrt())
        });
        Instrument {
            id: i.id.value.0.clone(),
            title: i.kind.value.0.clone(),
            kind: Some(i.measures.value.kind()),
            until: Some(i.due.value.0),
            out_of_service: i.out_of_service.as_ref().map(|o| o.0.clone()),
            least,
            most,
            spread: fixed.map(|fixed| Spread { fixed, share: 0.0 }),
        }
    });
    let tightening = book.torque_tool.iter().map(|t| {
        let capacity = t.capacity.value.value;
        // Certificates start at 20 % of the capacity unless they say otherwise.
        let least = t.least.as_ref().map_or(capacity * 0.2, |l| l.value.value);
        let step = t.increment.value.value / 12.0_f64.sqrt();
        let share = match (&t.uncertainty, &t.deviation) {
            (Some(u), _) => u.value.value.si() / 2.0,
            // A permissible deviation is a limit: rectangular (JCGM 100, 4.3.7).
            (None, Some(d)) => d.value.value.si() / 3.0_f64.sqrt(),
            (None, None) => 0.04 / 3.0_f64.sqrt(),
        };
        Instrument {
            id: t.id.value.0.clone(),
            title: t.kind.0.clone(),
            kind: Some(Kind::Torque),
            until: Some(t.due.value.0),
            out_of_service: t.out_of_service.as_ref().map(|o| o.0.clone()),
            least: Some(least.into()),
            most: Some(capacity.into()),
            spread: Some(Spread { fixed: step.si(), share }),
        }
    });
    measuring.chain(tightening).collect()
}

fn lots(book: &Book) -> Vec<Lot> {
    book.lot
        .iter()
        .map(|l| Lot {
            id: l.id.value.0.clone(),
            number: l.number.value.0.clone(),
            kind: l.kind.word().to_owned(),
            designation: l.designation.value.0.clone(),
            until: l.until.as_ref().map(|u| u.value.0),
        })
        .collect()
}
