//! Readings judged again, and photos as they were filed.

use super::Plans;
use super::verdict::Verdict;
use crate::app::record::completed::Parts;
use crate::app::record::photo::within;
use crate::app::record::stands::misjudged;
use crate::record::{Entry, State, sha256};
use crate::term::counted;

/// Every reading judged again by the limits in its entry.
pub(super) fn readings(verdict: &mut Verdict, entries: &[Entry]) {
    let (count, wrong) = misjudged(entries);
    verdict.look(
        wrong.is_empty(),
        format!("{} the same verdict when judged again.", counted(count, "reading gets", "readings get")),
        format!("The verdict does not follow from the reading in entries {wrong:?}."),
    );
}

/// Every photo is the one that was filed, and there is no other.
/// A photo that is not unpacked, and why; the pages that show it are not made.
pub(super) fn not_unpacked(parts: &Parts) -> Option<String> {
    let mut all = parts.photos.iter();
    all.find_map(|(name, bytes)| Some(format!("The photo {name} is not unpacked: {}.", within(bytes).err()?)))
}

pub(super) fn photos(verdict: &mut Verdict, parts: &Parts, state: &State) {
    let named: Vec<_> = state.photos().collect();
    let lost = named.iter().any(|p| parts.photos.get(&p.file).is_none_or(|b| sha256(b) != p.sha256));
    let strange = parts.photos.keys().any(|name| !named.iter().any(|p| p.file == *name));
    if !named.is_empty() || !parts.photos.is_empty() {
        verdict.look(
            !lost && !strange,
            format!("{} as filed.", counted(named.len(), "photo is", "photos are")),
            "A photo is missing, changed or was never filed.",
        );
    }
}

/// The frozen plans are those of the traveler and the revisions the log names.
pub(super) fn of_the_log(verdict: &mut Verdict, plans: &Plans, entries: &[Entry]) {
    let issues = || entries.iter().filter_map(Entry::issue);
    let earlier = plans.earlier.iter();
    let earlier =
        earlier.filter_map(|(letter, plan)| Some((plan, issues().find(|i| i.revision == *letter)?)));
    let last = plans.last.iter().filter_map(|plan| Some((plan, issues().next_back()?)));
    for why in earlier.chain(last).filter_map(|(plan, issue)| plan.another_than(issue)) {
        verdict.look(false, "", format!("Of another traveler or revision: {why}."));
    }
}
