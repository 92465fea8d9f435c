//! Checking a completed record with nothing but its PDF.

mod beside;
mod drawn;
mod judged;
mod later;
mod outside;
mod pages;
mod people;
pub(super) mod verdict;

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use beside::beside;
pub use outside::head;
pub use verdict::{Holds, Looked, Outcome, Trust, Verdict};
use verdict::{Maker, TOLD};

use chrono::DateTime;
use serde_json::Value as Json;

use super::completed::{Parts, Sealing};
use super::recompute::{Base, Reckoner, shelf_of};
use super::same_job;
use super::seal::Seal;
use super::signature::{self, Known};
use super::whole::{self, Stated};
use super::{freeze, pdf, stored, waivers};
use crate::app::figures;
use crate::app::plan::Shelf;
use crate::record::entry::{SLACK, WITHOUT_BOOK};
use crate::record::fallen::{Fallen, fallen};
use crate::record::frozen::Unread;
use crate::record::identified::by_pin;
use crate::record::log;
use crate::record::moved::{self, Reckon};
use crate::record::received::received;
use crate::record::{Entry, Frozen, State, replay, sha256, state};
use crate::record::{hours, identified, let_be};
use crate::term::counted;
use crate::traveler::document::Document;
use pages::Remade;

/// Checks a file. A file that is no completed record gives a verdict, too.
///
/// The record is the first revision of the file; what was added behind it, the
/// signatures, is judged by itself.
#[must_use]
pub fn verify(whole: &[u8], trust: &Trust) -> Verdict {
    // What stands behind the end is told by itself: nothing before it is another for it.
    let behind = crate::seal::pdf::behind(whole);
    let mut verdict = to_its_end(whole.strip_suffix(behind).unwrap_or(whole), trust);
    outside::behind(&mut verdict, behind, whole.len());
    verdict
}

fn to_its_end(whole: &[u8], trust: &Trust) -> Verdict {
    let mut verdict = Verdict { by_rules: true, unsealed: trust.unsealed, ..Verdict::default() };
    let bytes = whole.get(..crate::seal::pdf::first(whole)).unwrap_or(whole);
    let files = match pdf::attachments(bytes) {
        Ok(files) => files,
        Err(why) => {
            verdict.look(false, "", why);
            return verdict;
        }
    };
    let (parts, seal, missing) = Parts::of(files);
    let read = seal.as_deref().map(Seal::read);
    verdict.record = verdict.look(
        missing.is_empty(),
        "The job, the frozen plan, the figures and the log are inside the file.",
        format!("This is no completed record: {} not inside the file.", missing.join(", ")),
    );
    if !verdict.record {
        return verdict;
    }
    // Most of what is frozen are procedures: they are read beside the rest.
    let (shelves, (chain, stated, plans)) = beside(
        || Shelves::of(&parts),
        || (log::check(&parts.log), whole::read(bytes, &parts.salt()), Plans::of(&parts)),
    );
    if let Some(why) = later::why(&plans, &chain) {
        later::told(&mut verdict, why, &stated, &chain, trust);
        return verdict;
    }
    if let Some(why) = judged::not_unpacked(&parts) {
        verdict.look(false, "", why);
        return verdict;
    }
    let sound = chain.damage.is_none() && chain.torn == 0 && !chain.entries.is_empty();
    let said = match &chain.damage {
        Some((line, why)) => format!("Line {line} of the log was changed: {why}."),
        None => "The log is empty or its last line is torn.".to_owned(),
    };
    let n = chain.entries.len();
    verdict.look(
        sound,
        format!("The log is whole: {}, each bound to the one before.", counted(n, "entry", "entries")),
        said,
    );
    let state = state::fold(&chain.entries);
    verdict.closed = state.closed.is_some();
    frozen(&mut verdict, &parts, &chain.entries);
    let maker = match &stated.maker {
        Some(maker) if *maker != whole::maker() => Maker::Other,
        _ => Maker::This,
    };
    let begun = state::issue(&chain.entries).and_then(|i| i.made_by.clone());
    // A shop may have begun with another version than it closed with: whoever froze the
    // plan can make it again, and nobody else has to.
    let froze = if begun.as_deref() == Some(whole::maker().as_str()) { Maker::This } else { Maker::Other };
    digest(&mut verdict, &stated);
    let holder = read.as_ref().map(Seal::holder);
    let sealing = seal.as_deref().map_or(Sealing::Remade, Sealing::Given);
    judged::of_the_log(&mut verdict, &plans, &chain.entries);
    // Whoever is done with a shelf lets go of it: the typesetter needs the room.
    let kept = Mutex::new(shelves.shelf(&parts.files));
    let make = || {
        let kept = kept.lock().map(|mut kept| kept.take()).unwrap_or_default();
        let shelf = kept.or_else(|| shelf_of(&parts.files).ok());
        let subject =
            pages::Subject { parts: &parts, plan: plans.last.as_ref(), chain: &chain, state: &state };
        pages::make(shelf, &subject, holder.as_ref(), sealing, maker, &stated)
    };
    let known = Known { bytes: whole, seal: read.as_ref(), entries: &chain.entries, trust };
    let (made, (signed, aside)) = beside(make, || {
        let reckoner = reckoner(&parts, &plans, &shelves);
        drop(shelves);
        recomputed(&mut verdict, froze, &parts, plans.last.as_deref(), &reckoner);
        rules(&mut verdict, maker, &plans, &chain.entries, &reckoner);
        judged::readings(&mut verdict, &chain.entries);
        no_longer(&mut verdict, plans.last.as_deref(), &state, &reckoner);
        people::told(&mut verdict, &parts, &chain.entries, &reckoner);
        judged::photos(&mut verdict, &parts, &state);
        let mut aside = Verdict::default();
        let signed = signature::judge(&mut aside, known);
        (signed, aside)
    });
    let remade = Remade {
        parts: &parts,
        plan: plans.last.as_deref(),
        chain: &chain,
        document: made.document.as_ref(),
        stated: &stated,
        sealing,
    };
    pages::pages(&mut verdict, maker, &remade, made.again);
    verdict.join(aside);
    pages::sealed(&mut verdict, maker, &remade, read.as_ref(), signed, trust);
    let edition = plans.last.as_ref().map_or(0, |plan| plan.rules);
    told(&mut verdict, &chain, &state, edition);
    if let Ok(document) = remade.document {
        exceptions(&mut verdict, document);
    }
    signed_before(&mut verdict, plans.last.as_deref(), &state, &chain.entries);
    let_be(&mut verdict, plans.last.as_deref(), &state, &chain.entries, &parts);
    outside::journal(&mut verdict, &chain, trust);
    outside::heads(&mut verdict, &chain, trust);
    outside::sources(&mut verdict, &chain.entries, trust);
    if let (Maker::Other, Some(made)) = (maker, &stated.maker) {
        verdict.remarks.push(format!("Made by version {made}; this is {}.", whole::maker()));
    }
    if froze == Maker::Other && verdict.looked.iter().any(|l| l.outcome == Outcome::NotShown) {
        let by = begun.map_or_else(
            || "an earlier version, which did not write down its name".to_owned(),
            |by| format!("version {by}"),
        );
        verdict.remarks.push(format!("The plan was frozen by {by}; this is {}.", whole::maker()));
    }
    verdict.limits.extend([
        "That what was written down is what was done: a record can't see the work.".to_owned(),
        "That an id was used by its owner; how each person was identified stands with the entry.".to_owned(),
    ]);
    if trust.journal.is_none() {
        verdict.limits.push(
            "That no other record of this traveler exists, and no later entry: the shop's journal shows it (--journal FILE).".to_owned(),
        );
    }
    if !verdict.by_named {
        verdict.limits.push(
            "Who made the file: name the root on the head page of your traveler (--trust FINGERPRINT)."
                .to_owned(),
        );
    }
    verdict
}

/// The digest of the whole file, as it states it.
fn digest(verdict: &mut Verdict, stated: &Stated) {
    verdict.look(
        stated.whole == Some(true),
        format!(
            "The file has the digest it states, so no byte of it was lost or damaged ({}).",
            &stated.digest[..16]
        ),
        if stated.whole.is_none() {
            "The file does not state its digest."
        } else {
            "The file has not the digest it states: a byte of it was changed."
        },
    );
}

/// The shelves among the frozen files, each read once: revisions mostly have the same,
/// and reading one takes longer than planning with it.
struct Shelves<'a>(Vec<(&'a [u8], Option<Arc<Shelf>>)>);

impl<'a> Shelves<'a> {
    fn of(parts: &'a Parts) -> Self {
        let mut read: Vec<(&[u8], Option<Arc<Shelf>>)> = Vec::new();
        let all = parts.earlier.values().map(|r| &r.files).chain([&parts.files]);
        for files in all {
            let Some(bytes) = procedures(files) else { continue };
            if !read.iter().any(|(known, _)| *known == bytes) {
                read.push((bytes, shelf_of(files).ok()));
            }
        }
        Self(read)
    }

    /// The shelf of a revision; none if it can't be read.
    fn shelf(&self, files: &BTreeMap<String, Vec<u8>>) -> Option<Arc<Shelf>> {
        let bytes = procedures(files)?;
        self.0.iter().find(|(known, _)| *known == bytes)?.1.clone()
    }
}

fn procedures(files: &BTreeMap<String, Vec<u8>>) -> Option<&[u8]> {
    files.get("procedures.json").map(Vec::as_slice)
}

/// The frozen plans, each read once.
struct Plans {
    /// Of earlier revisions, in their order, by their letters.
    earlier: Vec<(String, Arc<Frozen>)>,
    /// Of the one in force; none if it can't be read.
    last: Option<Arc<Frozen>>,
    /// Why the first of them that only a later version can read can't be read.
    later: Option<Unread>,
}

impl Plans {
    fn of(parts: &Parts) -> Self {
        let mut later = None;
        let mut read = |files: &BTreeMap<String, Vec<u8>>| {
            let plan = Frozen::read(files.get(stored::PLAN)?);
            let plan =
                plan.map_err(|why| later = later.take().or(matches!(why, Unread::Later(_)).then_some(why)));
            plan.ok().map(Arc::new)
        };
        let earlier = parts.earlier.iter();
        let earlier = earlier.filter_map(|(letter, r)| Some((letter.clone(), read(&r.files)?))).collect();
        let last = read(&parts.files);
        Self { earlier, last, later }
    }
}

/// What plans the revisions again.
fn reckoner(parts: &Parts, plans: &Plans, shelves: &Shelves<'_>) -> Reckoner {
    let earlier =
        plans.earlier.iter().filter_map(|(letter, plan)| Some((&parts.earlier.get(letter)?.files, plan)));
    let last = plans.last.iter().map(|plan| (&parts.files, plan));
    let base = |(files, plan)| Base::on(shelves.shelf(files)?, files, plan).ok();
    Reckoner::of(earlier.chain(last).filter_map(base).collect())
}

/// Every entry once more through the rules, by the frozen plan of its revision.
fn rules(verdict: &mut Verdict, maker: Maker, plans: &Plans, entries: &[Entry], reckoner: &Reckoner) {
    let Some(plan) = plans.last.as_deref() else {
        verdict.look(false, "", "The frozen plan can't be read.");
        return;
    };
    let all: Vec<&Frozen> = plans.earlier.iter().map(|(_, plan)| &**plan).chain([plan]).collect();
    let mut again = replay::replay(&all, entries, reckoner);
    // A shop may have begun with an earlier version: what comes out otherwise in a
    // revision this one does not plan alike proves nothing. Nobody asks where nothing does.
    let asked = reckoner.bases().iter().filter(|_| !again.otherwise.is_empty());
    let strange: Vec<&str> = asked.filter(|b| !b.planned_alike()).map(Base::revision).collect();
    let of = |n: u64| {
        let before = entries.iter().filter(|e| e.n <= n).filter_map(Entry::issue).next_back();
        before.is_some_and(|i| strange.contains(&i.revision.as_str()))
    };
    if maker == Maker::This {
        again.count_otherwise(|n| !of(n));
    }
    for (n, words) in again.told.iter().take(TOLD) {
        verdict.remarks.push(format!("Entry {n}: {words}."));
    }
    verdict.more(again.told.len(), "thing a reader should look at", "things a reader should look at");
    if let Some((n, why)) = again.otherwise.first() {
        let maker = Maker::Other;
        verdict.look_again(
            maker,
            false,
            "",
            format!("Limits come out differently when computed again, first in entry {n}: {why}."),
        );
    }
    verdict.by_rules = again.against.is_empty();
    if verdict.by_rules {
        verdict.look(
            true,
            format!(
                "{} the rules when gone through again by the frozen plan.",
                counted(entries.len() as u64 - again.before, "entry follows", "entries follow")
            ),
            "",
        );
    }
    for (n, why) in again.against.iter().take(5) {
        verdict.remarks.push(format!("Entry {n} is against the rules: {why}."));
    }
    if again.against.len() > 5 {
        let more = counted(again.against.len() - 5, "more entry is", "more entries are");
        verdict.remarks.push(format!("{more} against the rules."));
    }
    if again.before > 0 {
        let words = format!(
            "{} made under an earlier revision, whose plan is not inside, and not gone through again.",
            counted(again.before, "entry was", "entries were")
        );
        match maker {
            Maker::This => _ = verdict.look(false, "", words),
            Maker::Other => verdict.remarks.push(words),
        }
    }
    if !again.moved.is_empty() {
        verdict.remarks.push(format!(
            "{} judged by limits computed from readings before, not by those first printed.",
            counted(again.moved.len(), "reading was", "readings were")
        ));
    }
    let times = hours::remarks(plan, entries);
    for one in times.iter().take(TOLD) {
        verdict.remarks.push(format!("A time that can hardly be true, entry {}: {}.", one.n, one.words));
    }
    verdict.more(times.len(), "time that can hardly be true", "times that can hardly be true");
    for one in again.open.iter().take(TOLD) {
        verdict.remarks.push(format!("Open when it was closed: {one}."));
    }
    verdict.more(
        again.open.len(),
        "place was open when it was closed",
        "places were open when it was closed",
    );
    verdict.open = again.open;
}

/// Points that were signed, and no longer hold by what was read, found or taken back since.
fn no_longer(verdict: &mut Verdict, plan: Option<&Frozen>, state: &State, reckoner: &Reckoner) {
    let Some(plan) = plan else { return };
    let now = moved::moves(plan, state).then(|| reckoner.in_force(plan, state)).flatten();
    let lost = now.map(|now| moved::no_longer(plan, state, &now, reckoner)).unwrap_or_default();
    let lost_words = lost.iter().map(moved::Lost::told);
    let all: Vec<String> = lost_words.chain(fallen(plan, state, &lost).iter().map(Fallen::words)).collect();
    verdict.remarks.extend(all.iter().map(|words| format!("{words}.")));
    verdict.open.extend(all);
}

/// Complete and unaltered is not all conform: what the first page says against it stands
/// first here as well.
fn exceptions(verdict: &mut Verdict, document: &Document) {
    let Some(customer) = document.customer.as_ref().filter(|c| c.summary.doubtful) else { return };
    let summary = &customer.summary;
    // What the pages call open, the first line does not call complete.
    let open = customer.exceptions.rows.iter().filter(|row| row.open);
    verdict.open.extend(open.map(|row| format!("{} ({})", row.kind, row.place)));
    let why =
        if summary.doubts.is_empty() { String::new() } else { format!(" {}.", summary.doubts.join("; ")) };
    verdict.remarks.insert(0, format!("{}{why} Section 4 says more.", summary.status));
}

/// What stands by a decision or on somebody's word: its number goes into the first line.
fn let_be(verdict: &mut Verdict, plan: Option<&Frozen>, state: &State, entries: &[Entry], parts: &Parts) {
    let Some(plan) = plan else { return };
    let mut all = let_be::let_be(plan, state, entries);
    all.extend(waivers::set_aside(parts.files.get("job.toml").map(Vec::as_slice)));
    let told = all.iter().take(TOLD).map(|words| format!("Let be: {words}."));
    verdict.remarks.extend(told);
    verdict.more(all.len(), "matter let be", "matters let be");
    verdict.let_be = all;
}

/// What came after the customer signed that the unit was received: it is no no, and the
/// signature does not speak of it.
fn signed_before(verdict: &mut Verdict, plan: Option<&Frozen>, state: &State, entries: &[Entry]) {
    let all = plan.map(|plan| received(plan, state, entries)).unwrap_or_default();
    verdict.remarks.extend(all.iter().map(|one| format!("{}.", one.words())));
}

/// What a reader should know of how it was entered.
fn told(verdict: &mut Verdict, chain: &log::Chain, state: &State, edition: u32) {
    for n in &chain.set_back {
        verdict.remarks.push(format!(
            "Entry {n} is older than the one before it: entered afterwards, or a clock was set back."
        ));
    }
    let clocks: Vec<_> = chain
        .entries
        .iter()
        .filter_map(|e| Some((e.n, DateTime::parse_from_rfc3339(e.clock.as_deref()?).ok()?)))
        .collect();
    for ((_, before), (n, clock)) in clocks.iter().zip(clocks.iter().skip(1)) {
        if (*before - *clock).num_minutes() >= SLACK {
            verdict.remarks.push(format!(
                "The clock was set back before entry {n} was written: {clock}, after {before}."
            ));
        }
    }
    if state.closed.is_none() {
        let done = state.ticks.len() + state.readings.len();
        let done = counted(done, "step or reading is", "steps and readings are");
        verdict.remarks.push(format!(
            "The traveler was NOT CLOSED when this was made: the work is not finished; {done} entered."
        ));
    }
    let count = |what: &dyn Fn(&Entry) -> bool| chain.entries.iter().filter(|e| what(e)).count();
    let decided = |n: usize| counted(n, "signature or decision rests", "signatures and decisions rest");
    let by_id = count(&|e| e.identified().is_some_and(|how| !by_pin(how)));
    let without = count(&|e| e.book.as_deref() == Some(WITHOUT_BOOK));
    let later = count(&|e| e.entered_later().is_some());
    if by_id > 0 {
        verdict.remarks.push(format!("{} on an id alone: the person had no PIN.", decided(by_id)));
    }
    let mut pins: BTreeMap<&str, usize> = BTreeMap::new();
    for (_, words) in identified::not_borne_out(&chain.entries, edition) {
        *pins.entry(words).or_default() += 1;
    }
    for (words, n) in pins {
        verdict.remarks.push(format!("{} on a PIN that {words}.", decided(n)));
    }
    if without > 0 {
        verdict
            .remarks
            .push(format!("{} made without the shop book.", counted(without, "entry was", "entries were")));
    }
    if later > 0 {
        verdict.remarks.push(format!(
            "{} written down at another time than stated.",
            counted(later, "entry was", "entries were")
        ));
    }
}

/// The frozen files are those the log names.
fn frozen(verdict: &mut Verdict, parts: &Parts, entries: &[Entry]) {
    let issue = state::issue(entries);
    let digest = sha256(&parts.manifest);
    let named = issue.is_some_and(|i| i.content == digest);
    let listed = super::content::listed(&parts.manifest);
    let changed: Vec<&str> = parts
        .files
        .iter()
        .filter(|(name, bytes)| listed.get(*name).is_none_or(|d| *d != sha256(bytes)))
        .map(|(name, _)| name.as_str())
        .collect();
    if let Some(issue) = issue {
        verdict.name = format!("{} rev {}", issue.number, issue.revision);
    }
    let letters: Vec<&str> = parts
        .earlier
        .iter()
        .filter(|(letter, revision)| {
            let issues = entries.iter().filter_map(Entry::issue);
            !issues.filter(|i| i.revision == **letter).any(|i| revision.is(&i.content))
        })
        .map(|(letter, _)| letter.as_str())
        .collect();
    for words in same_job::otherwise(parts) {
        verdict.look(false, "", format!("Another job was made of it by a revision: {words}."));
    }
    if !letters.is_empty() {
        let words = format!("The files of rev {} are not those that were issued.", letters.join(", "));
        verdict.look(false, "", words);
    }
    verdict.look(
        named && changed.is_empty(),
        format!("Job, plan, figures and procedures are those that were issued (digest {}).", &digest[..16]),
        if named {
            format!("Changed after issue: {}.", changed.join(", "))
        } else {
            "The frozen files are not those the log names.".to_owned()
        },
    );
}

/// Figures and plan computed again from the attached job.
fn recomputed(
    verdict: &mut Verdict,
    maker: Maker,
    parts: &Parts,
    stored: Option<&Frozen>,
    reckoner: &Reckoner,
) {
    let get = |name: &str| parts.files.get(name).map(Vec::as_slice).unwrap_or_default();
    let revision = stored.map(|p| p.revision.as_str()).unwrap_or_default();
    // The one in force stands last.
    let base = reckoner.bases().iter().rfind(|b| b.revision() == revision);
    let Some(now) = base.and_then(|base| base.unread().ok()) else {
        verdict.look_again(maker, false, "", "The attached job can't be computed again.");
        return;
    };
    let (fresh, mut replanned) = (figures::json(&now.loaded), freeze::frozen(&now.plan, &now.digest));
    // Records from before sheets were frozen name none.
    if stored.is_some_and(|s| s.sheets.is_empty()) {
        replanned.sheets.clear();
    }
    let listed: Json = serde_json::from_slice(get("figures.json")).unwrap_or_default();
    let rows = |json| Json::as_array(json).map(Vec::as_slice).unwrap_or_default();
    let (old, new): (&[Json], &[Json]) = (rows(&listed["figures"]), rows(&fresh["figures"]));
    let different = old.iter().zip(new).filter(|(a, b)| a != b).count() + old.len().abs_diff(new.len());
    verdict.look_again(
        maker,
        different == 0 && listed == fresh,
        format!(
            "{} the same when computed again.",
            counted(new.len(), "figure comes out", "figures come out")
        ),
        format!(
            "{different} of {} differently when computed again.",
            counted(new.len(), "figure comes out", "figures come out")
        ),
    );
    verdict.look_again(
        maker,
        stored == Some(&replanned),
        format!(
            "The plan comes out the same: {} in order.",
            counted(replanned.operations.len(), "operation", "operations")
        ),
        "The plan comes out differently when made again.",
    );
}
