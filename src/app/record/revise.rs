//! The next revision: what is unchanged keeps its entries, what changed starts
//! again, and a page says which is which.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::desk::{Actor, Desk, by};
use super::files::RecordHost;
use super::{folder as places, freeze, key_name, refused, register, same_job, stored, system, waivers};
use crate::app::compose::compose;
use crate::app::plan::{Failure, Shelf, plan};
use crate::app::shop::ShopBook;
use crate::diagnostic::Diagnostic;
use crate::job::JobFile;
use crate::plan::Words;
use crate::record::asked_again;
use crate::record::calibration;
use crate::record::change::{self, Change};
use crate::record::entry::{Action, Issue};
use crate::record::gone_tool;
use crate::record::left_out::left_out;
use crate::record::log::Appended;
use crate::record::people::Signer;
use crate::record::words::say;
use crate::record::{Frozen, State};
use crate::term::{Role, counted};
use crate::traveler::document::{self, Document};

/// A revision that was issued.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revised {
    /// Letter before.
    pub from: String,
    /// Letter now.
    pub revision: String,
    /// Where the new traveler stands.
    pub path: PathBuf,
    /// The page that says what changed, for everybody who had the old paper.
    pub change_path: PathBuf,
    /// How many the new paper for the bench has.
    pub pages: usize,
    /// What changed.
    pub change: Change,
    /// Safety rules that are set aside by it, or no longer are, in words.
    pub waived: Vec<String>,
    /// What each operation is called, for the change page.
    pub names: Vec<(String, String)>,
    /// Place in the log and hash of what says that it was revised.
    pub entry: Appended,
}

/// The letter after: A to Z, then AA.
#[must_use]
pub fn next_letter(letter: &str) -> String {
    let mut bytes: Vec<u8> = letter.bytes().collect();
    for byte in bytes.iter_mut().rev() {
        match *byte {
            b'A'..=b'Y' | b'a'..=b'y' | b'0'..=b'8' => {
                *byte += 1;
                return String::from_utf8_lossy(&bytes).into_owned();
            }
            b'Z' => *byte = b'A',
            _ => break,
        }
    }
    format!("{letter}A")
}

/// Issues the next revision of a job. The desk is that of its traveler.
///
/// # Errors
/// If nothing changed, a rule says no, or the system fails.
pub fn revise(
    host: &dyn RecordHost,
    shelf: &Shelf,
    job: &Path,
    mut desk: Desk,
    reason: &str,
    actor: &Actor,
) -> Result<Revised, Failure> {
    let folder = &desk.folder.clone();
    let from = desk.plan.revision.clone();
    let revision = next_letter(&from);
    let name = job.display().to_string();
    let text = host.read(job).map_err(|e| system(job, e))?;
    let mut loaded = freeze::loaded(shelf, &name, &text, &revision)?;
    job.clone_into(&mut loaded.path);
    let person = lead(&desk, &loaded.job, actor)?;
    say(reason, "a revision needs a reason", "--reason \"old gusset found, F1\"").map_err(refused)?;
    open_and_its_own(&desk, job, &loaded.job).map_err(refused)?;
    of_the_book(&loaded.job, &shelf.shop).map_err(refused)?;
    let planned = plan(&loaded, shelf)?;
    planned.ready()?;
    key_name::agrees(host, &shelf.shop, &loaded)?;
    let mut document = compose(&planned);
    let fresh = freeze::frozen(&planned.resolved, &planned.digest());
    let stored = stored::load(host, folder, &desk.issue)?;
    let change = change::compare_made(&stored.plan, &fresh, &desk.state);
    asked_again::settled(&desk.state, &stored.plan, &fresh).map_err(refused)?;
    let old_text = stored.files.get("job.toml").and_then(|b| std::str::from_utf8(b).ok());
    if let Some(old) = old_text {
        same_job::revises(&desk, old, &loaded.source.text).map_err(refused)?;
    }
    let same_text = old_text.is_some_and(|old| crate::job::same_work(old, &loaded.source.text));
    something_changed(&desk.plan.number, &from, &change, same_text).map_err(refused)?;
    undecided(&desk, &stored.plan, &change)?;
    all_there(&desk, &stored.plan, &fresh).map_err(refused)?;
    let when = actor.at.date_naive().to_string();
    let waived = stored.files.get("job.toml").map(|old| waivers::news(old, &loaded.job)).unwrap_or_default();
    let news = News {
        from: &from,
        revision: &revision,
        old: &stored.plan,
        new: &fresh,
        change: &change,
        reason,
        job: &loaded.job,
        waived: &waived,
        who: &person.name,
        when: &when,
    };
    news.announce(&mut document, &desk.state);
    let page = news.page(&document);
    let (content, pages) = freeze::content(&planned, shelf, &document)?;
    stored::store(host, folder, &content)?;
    let place = places::revision(folder, &revision)?;
    let path = place.join(stored::PAPER);
    let pins = if shelf.shop.demo { BTreeMap::new() } else { super::pin::of_book(&shelf.shop.book) };
    let action = Action::Revised {
        from: from.clone(),
        issue: Issue {
            content: content.digest(),
            made_by: Some(super::whole::maker()),
            number: content.plan.number.clone(),
            pins,
            plan: content.plan.digest.clone(),
            revision: revision.clone(),
        },
        kept: change.kept.clone(),
        reason: reason.to_owned(),
        removed: change.removed.clone(),
        reopened: change.reopened.clone(),
    };
    let issued = desk.scene(actor).issued_on();
    let mut entry = desk.enter(actor, by(&person, "lead"), None, action)?;
    let rows = |shop: &ShopBook| register::instruments(&shop.book);
    let old = stored.files.get("procedures.json").and_then(|kept| super::shelf::book(kept).ok());
    if let Some(old) = old.filter(|old| !old.demo && !old.absent && stored.plan.rules >= calibration::SINCE) {
        let (was, now) = (rows(&old), rows(&shelf.shop));
        let mut grown = calibration::regrown(&was, &now, issued);
        grown.extend(gone_tool::dropped((&was, &now), &desk.plan, &desk.entries));
        entry.warnings.extend(grown.iter().map(|words| format!("{words}. `verify` tells it.")));
    }
    entry.warnings.extend(desk.state.named_in_vain(&fresh).into_iter().map(|found| {
        format!(
            "rev {revision} names {}, and brings in nothing that can put it right: work there (operation {}) that changes what was found does, with its inspection",
            found.number, found.operation
        )
    }));
    supersede(host, folder, &stored, &revision)?;
    register::note(host, folder, &shelf.shop)?;
    let names = news.names();
    let rendered = crate::render::pdf(&page, &[]).map_err(|e| Failure::System(e.to_string()))?;
    let change_path = place.join("change.pdf");
    places::write(host, folder, &change_path, &rendered.bytes)?;
    Ok(Revised { from, revision, path, change_path, pages, change, waived, names, entry })
}

/// The lead who revises. The person may be new in the revised job, where there is no book of
/// the shop: with one, a job that names its own lead would let anybody revise.
fn lead(desk: &Desk, job: &JobFile, actor: &Actor) -> Result<Signer, Failure> {
    let scene = desk.scene(actor);
    let own = || {
        let people = job.person.iter().filter(|_| desk.book.is_none());
        people.into_iter().find(|p| p.id.0 == actor.id).map(|p| Signer {
            id: p.id.value.to_string(),
            name: p.name.to_string(),
            roles: p.role.iter().map(|r| r.word().to_owned()).collect(),
            ..Signer::default()
        })
    };
    let person = match desk.register.person(&actor.id).cloned().or_else(own) {
        Some(person) => person,
        None => scene.person(&actor.id).map_err(refused)?.clone(),
    };
    scene.role(&person, "lead").map_err(refused)?;
    Ok(person)
}

/// A traveler that is not closed is revised by the job it was issued from.
fn open_and_its_own(desk: &Desk, path: &Path, job: &JobFile) -> Result<(), Diagnostic> {
    let number = &desk.plan.number;
    if desk.state.closed.is_some() {
        return Err(Diagnostic::error("L111", format!("{number} is closed"))
            .rule("closed means closed")
            .help("further work needs a new traveler"));
    }
    let own = &job.job.number.value;
    if **own != **number {
        let why = format!("{} is the job {own}, not {number}", path.display());
        return Err(
            Diagnostic::error("L181", why).help("a new number is a new traveler: tackwright issue JOB")
        );
    }
    Ok(())
}

/// A job brings in nobody, and no role of anybody, that the shop's own book does not give: who
/// writes the job would make the people who release it.
fn of_the_book(job: &JobFile, shop: &ShopBook) -> Result<(), Diagnostic> {
    if shop.demo || shop.absent {
        return Ok(());
    }
    for person in &job.person {
        let row = shop.book.person(&person.id);
        let given = |role: &&Role| **role == Role::Customer || row.is_some_and(|row| row.role.contains(role));
        let Some(role) = person.role.iter().find(|role| !given(role)) else { continue };
        let (id, name, book) = (&person.id.0, &person.name.0, &shop.source.name);
        let why = match row {
            Some(_) => format!("{name} ({id}) is {} in the job, and is not by {book}", role.word()),
            None => format!("{name} ({id}) is {} in the job, and {book} has nobody of that id", role.word()),
        };
        return Err(Diagnostic::error("L326", why)
            .rule("who may release work stands in the shop book")
            .expected(format!("people of {book} with the roles it gives them; customers need no row there"))
            .help(format!("take the role out of [[person]] \"{id}\" in the job; or, if it is so, write it into {book} first: tackwright shop")));
    }
    Ok(())
}

/// A row of `[[change]]` alone changes nothing that is done, and says that something was.
fn something_changed(number: &str, from: &str, change: &Change, same_text: bool) -> Result<(), Diagnostic> {
    if same_text && change.reopened.is_empty() && change.added.is_empty() && change.removed.is_empty() {
        return Err(Diagnostic::error("L182", format!("nothing changed since {number} rev {from}")).help(
            "edit the job first: its work, sizes, people or dates; [[change]] then says what was edited",
        ));
    }
    Ok(())
}

/// A reading that does not conform is not lost by starting its operation again:
/// it becomes a found condition first.
fn undecided(desk: &Desk, old: &Frozen, change: &Change) -> Result<(), Failure> {
    let Some((operation, reading, verdict)) = change::undecided(&desk.state, old, change) else {
        return Ok(());
    };
    Err(refused(
        Diagnostic::error(
            "L183",
            format!(
                "reading {}.{reading} is {verdict}, and its operation would start again",
                operation.number
            ),
        )
        .rule("a bad reading is decided, not forgotten")
        .help(format!(
            "file it first: tackwright found {} {}.{reading} \"…\" --by ID, then revise",
            old.number, operation.number
        )),
    ))
}

/// What was welded, cut or heated stays in the plan, with its joints and its acceptance.
fn all_there(desk: &Desk, old: &Frozen, new: &Frozen) -> Result<(), Diagnostic> {
    let Some(words) = left_out(&desk.state, old, new) else { return Ok(()) };
    Err(Diagnostic::error("L354", format!("{} can't be revised into this: {words}", desk.plan.number))
        .rule("what can't be undone leaves no plan")
        .help("put that work, with its joints, back into the job; what is not to stay as it is is found, and a lead decides: tackwright found …, then dispose"))
}

/// What everybody is told of a revision.
struct News<'a> {
    /// Letter before.
    from: &'a str,
    /// Letter now.
    revision: &'a str,
    /// Plan before.
    old: &'a Frozen,
    /// Plan now.
    new: &'a Frozen,
    change: &'a Change,
    reason: &'a str,
    /// The job as it is now: what it says of each change.
    job: &'a JobFile,
    /// Safety rules that are set aside by it, or no longer are.
    waived: &'a [String],
    /// Who revised.
    who: &'a str,
    /// Day.
    when: &'a str,
}

impl News<'_> {
    /// What each operation is called, by its key; the new name last.
    fn names(&self) -> Vec<(String, String)> {
        let all = self.old.operations.iter().chain(&self.new.operations);
        all.map(|o| (o.key.clone(), format!("{} {}", o.number, o.title))).collect()
    }

    /// What the job says changed with a letter, and who asked.
    fn said(&self, letter: &str) -> Option<String> {
        self.job.change.iter().find(|c| *c.revision.0 == *letter).map(crate::job::model::Change::told)
    }

    /// Puts the change log and the notices of reopened operations on the new paper.
    fn announce(&self, document: &mut Document, state: &State) {
        let Self { old, new, change, revision, .. } = *self;
        let name = |key: &String| {
            let of =
                |plan: &Frozen| plan.operations.iter().find(|o| o.key == *key).map(|o| o.number.to_string());
            of(new).or_else(|| of(old)).unwrap_or_else(|| key.clone())
        };
        let list = |keys: Vec<String>| if keys.is_empty() { "none".to_owned() } else { keys.join(", ") };
        let reopened: Vec<String> = change.reopened.iter().map(|r| name(&r.key)).collect();
        let mut rows: Vec<document::Change> = state
            .revisions
            .iter()
            .map(|r| document::Change {
                revision: r.letter.clone(),
                date: r.mark.at.chars().take(10).collect(),
                who: r.mark.by.name.clone(),
                what: if r.reason.is_empty() {
                    "first issue".to_owned()
                } else {
                    self.said(&r.letter).unwrap_or_else(|| "revised".to_owned())
                },
                why: r.reason.clone(),
                effect: String::new(),
            })
            .collect();
        rows.push(document::Change {
            revision: revision.to_owned(),
            date: self.when.to_owned(),
            who: self.who.to_owned(),
            what: format!(
                "{}added: {}; removed: {}{}",
                self.said(revision).map_or_else(String::new, |what| format!("{what}; ")),
                list(change.added.iter().map(name).collect()),
                list(change.removed.iter().map(name).collect()),
                self.waived.iter().map(|one| format!("; {one}")).collect::<String>()
            ),
            why: self.reason.to_owned(),
            effect: format!("starts again: {}; all others keep their entries", list(reopened)),
        });
        document.changes = rows;
        // The pages it touches say what it is.
        let what = self.said(revision).map_or_else(String::new, |what| format!(" Changed: {what}."));
        for (operation, frozen) in document
            .operations
            .iter_mut()
            .chain(&mut document.after_hand_over)
            .filter_map(|o| new.operations.iter().find(|f| f.number == o.number).map(|f| (o, f)))
        {
            if let Some(again) = change.reopened.iter().find(|r| r.key == frozen.key) {
                operation.notice = Some(
                    Words::default()
                        .strong(format!("Starts again by revision {revision}: "))
                        .then(format!("{}.{what}", again.why)),
                );
            } else if change.added.contains(&frozen.key) {
                operation.notice =
                    Some(Words::default().strong(format!("New in revision {revision}.")).then(what.clone()));
            }
        }
        // The pages were laid out before the notices were there.
        document.lay_out();
    }

    /// One page for everybody who had the old paper: what is new, what starts
    /// again and why, what went.
    fn page(&self, document: &Document) -> Document {
        let Self { from, revision, change, reason, who, when, .. } = *self;
        let names = self.names();
        let name = |key: &str| {
            names.iter().rev().find(|(k, _)| k == key).map_or_else(|| key.to_owned(), |(_, n)| n.clone())
        };
        let mut meta = document.meta.clone();
        "Change page".clone_into(&mut meta.kind);
        meta.title = format!("Change page {} rev {from} to {revision}", document.running.number);
        let mut running = document.running.clone();
        running.validity = format!("Goes with rev {revision}. Take rev {from} out of the shop.");
        let mut scope = vec![Words::default().strong("Why: ").then(reason.to_owned())];
        if let Some(what) = self.said(revision) {
            scope.push(Words::default().strong("What: ").then(what));
        }
        for one in self.waived {
            scope.push(Words::default().strong("Safety rule: ").then(format!("{one}.")));
        }
        for key in &change.added {
            scope.push(Words::default().strong("New: ").then(name(key)));
        }
        for one in &change.reopened {
            scope.push(Words::default().strong("Starts again: ").then(format!(
                "{}. {}.",
                name(&one.key),
                one.why
            )));
        }
        for key in &change.removed {
            scope.push(Words::default().strong("Removed, kept in the record: ").then(name(key)));
        }
        scope.push(Words::plain(format!(
            "{} ticks, readings and signatures. Everything else on the new paper stands as printed.",
            counted(change.kept.len(), "operation keeps its", "operations keep their")
        )));
        let facts = vec![
            document::Fact::new("revision", format!("{from} is replaced by {revision}")),
            document::Fact::new("revised by", who),
            document::Fact::new("date", when),
        ];
        Document {
            meta,
            running,
            head: document::Head {
                shop: document.head.shop.clone(),
                facts,
                scope,
                ..document::Head::default()
            },
            ..Document::default()
        }
    }
}

/// Writes the superseded copy of the old paper beside it.
fn supersede(host: &dyn RecordHost, folder: &Path, old: &freeze::Content, by: &str) -> Result<(), Failure> {
    let bytes = stored::need(&old.files, "document.json")?;
    let mut document: Document =
        serde_json::from_slice(bytes).map_err(|e| Failure::System(format!("the stored document: {e}")))?;
    document.running.stamp = Some(format!("SUPERSEDED BY {by}"));
    let rendered = crate::render::pdf(&document, &[]).map_err(|e| Failure::System(e.to_string()))?;
    let path = places::revision(folder, &old.plan.revision)?.join("superseded.pdf");
    places::write(host, folder, &path, &rendered.bytes)
}
