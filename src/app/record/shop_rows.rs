//! What the shop book said of people, revision by revision: it is the shop's to change while
//! the work goes on, and a record says where it did.

use std::collections::BTreeMap;

use super::shelf;
use crate::record::Entry;
use crate::record::entry::{Action, By};
use crate::shop::model::{Book, Person};

/// Frozen file with the rows of the shop book.
pub(super) const ROWS: &str = "procedures.json";

/// What frozen books and entries say otherwise of people who acted than what was frozen or
/// entered before, in words: who came, in which role, and whose test or certificate ends later
/// than it did. `rows` gives what a revision was frozen with by its letter: [`ROWS`].
pub(super) fn told<'a>(rows: impl Fn(&str) -> Option<&'a [u8]>, entries: &[Entry]) -> Vec<String> {
    let acted = |person: &Person| entries.iter().any(|e| e.by.id == person.id.0 || seen(e, &person.id.0));
    let mut said = Vec::new();
    let mut before: Option<(String, Book)> = None;
    let mut ends = Ends::default();
    for entry in entries {
        let issued =
            entry.issue().and_then(|issue| Some((issue.revision.clone(), book(rows(&issue.revision)?)?)));
        if let Some((letter, book)) = issued {
            for person in book.person.iter().filter(|p| acted(p)) {
                if let Some((was_letter, was)) = &before {
                    let (is, was) = ((letter.as_str(), person), (was_letter.as_str(), was));
                    said.extend(joined(is, was));
                }
                said.extend(ends.of_row(&letter, person));
            }
            before = Some((letter, book));
        }
        said.extend(ends.of_entry(entry));
    }
    said
}

/// Whether an entry says that a person signed on paper.
fn seen(entry: &Entry, id: &str) -> bool {
    matches!(&entry.what, Action::SeenOnPaper { signer, .. } if signer.id == id)
}

/// The rows of the shop's own book a revision was frozen with.
fn book(rows: &[u8]) -> Option<Book> {
    let shop = shelf::book(rows).ok()?;
    (!shop.demo && !shop.absent && !shop.book.person.is_empty()).then_some(shop.book)
}

/// A person, or a role of one, the book before did not have.
fn joined((letter, person): (&str, &Person), (was_letter, was): (&str, &Book)) -> Vec<String> {
    let name = format!("{} ({})", person.name.0, person.id.0);
    let Some(old) = was.person(&person.id) else {
        return vec![format!(
            "{name} stands in the shop book of rev {letter}, and not in that of rev {was_letter}"
        )];
    };
    let fresh = person.role.iter().filter(|role| !old.role.contains(role));
    let role = |role: &crate::term::Role| {
        format!(
            "{name} is {} by the shop book of rev {letter}, and was not by that of rev {was_letter}",
            role.word()
        )
    };
    let mut all: Vec<String> = fresh.map(role).collect();
    if let (None, Some(was)) = (&person.certificate, &old.certificate) {
        all.push(format!(
            "{name} has no certificate by the shop book of rev {letter}, and had \"{}\" by that of rev {was_letter}",
            was.0
        ));
    }
    if let (Some(is), Some(was)) = (&person.certificate, &old.certificate)
        && is.0 != was.0
    {
        all.push(format!(
            "{name} has the certificate \"{}\" by the shop book of rev {letter}, and had \"{}\" by that of rev {was_letter}",
            is.0, was.0
        ));
    }
    all
}

/// Until when tests and certificates are good, by person and what they are called, as it was
/// said last: the day, or none for one without an end, and who says so.
#[derive(Default)]
struct Ends(BTreeMap<(String, String), (Option<String>, String)>);

impl Ends {
    /// Takes what is said of one, and says whether it ends later than was said before.
    fn say(&mut self, by: &By, what: &str, until: Option<&str>, where_said: String) -> Option<String> {
        let place = (by.id.clone(), what.to_owned());
        let now = (until.map(str::to_owned), where_said);
        let (was, said) = self.0.insert(place, now.clone())?;
        let later = was.as_deref().is_some_and(|was| until.is_none_or(|until| until > was));
        let end =
            |until: Option<&str>| until.map_or_else(|| "without an end".to_owned(), |d| format!("until {d}"));
        later.then(|| {
            format!(
                "{} ({}): {what} is good {} by {}, and was {} by {said}: ask for what renewed it",
                by.name,
                by.id,
                end(until),
                now.1,
                end(was.as_deref())
            )
        })
    }

    /// What a frozen row says of the certificate of a person.
    fn of_row(&mut self, letter: &str, person: &Person) -> Option<String> {
        let certificate = person.certificate.as_ref()?;
        let until = person.certificate_until.as_ref().map(|day| day.0.to_string());
        let by = By { id: person.id.0.clone(), name: person.name.0.clone(), role: String::new() };
        self.say(&by, &certificate.0, until.as_deref(), format!("the shop book of rev {letter}"))
    }

    /// What an entry says that it rests on.
    fn of_entry(&mut self, entry: &Entry) -> Vec<String> {
        let (by, rests_on) = match &entry.what {
            Action::Tick { rests_on, .. } | Action::Sign { rests_on, .. } => (&entry.by, rests_on),
            Action::SeenOnPaper { rests_on, signer, .. } => (signer, rests_on),
            Action::Measure { reading } => (&entry.by, &reading.rests_on),
            _ => return Vec::new(),
        };
        let one = |basis: &String| {
            // As the register writes it: `Q-1 until 2026-08-20`.
            let (what, until) = match basis.rsplit_once(" until ") {
                Some((what, until)) => (what, Some(until)),
                None => (basis.as_str(), None),
            };
            self.say(by, what, until, format!("entry {}", entry.n))
        };
        rests_on.iter().filter_map(one).collect()
    }
}
