//! A welder against a joint: some test must cover each place it is welded in.

use chrono::NaiveDate;

use super::{Finding, Need, shown};
use crate::shop::model::{Backing, Book, Person, Qualification, Role, WeldKind, Wps};
use crate::shop::position::{Place, Progression};
use crate::shop::process::{self, F_NUMBERS, FM_GROUPS, FillerGroup, SHORT_CIRCUIT};
use crate::shop::qualify::validity::validity;
use crate::shop::qualify::{Thickness, derive};
use crate::source::Source;

const BACKING: Source = Source::standard(
    "AWS D1.1 table 4.12 (2020: 6.12); ASME IX QW-402.4; ISO 9606-1:2012 table 11",
    "a test on backing does not cover an open root",
)
.from_memory();
const MATERIAL: Source =
    Source::standard("ASME IX:2023", "QW-423, P-No. 1 to 15F cover each other").from_memory();

/// Result for one welder.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Reasons of a no, or remarks.
    pub findings: Vec<Finding>,
    /// Tests relied on.
    pub tests: Vec<String>,
    /// Last day the tests relied on hold.
    pub until: Option<NaiveDate>,
    /// Rules used.
    pub sources: Vec<Source>,
}

/// Whether a person may weld the joint with a procedure on a day, and why not.
#[must_use]
pub fn check(book: &Book, person: &Person, wps: Option<&Wps>, need: &Need, on: NaiveDate) -> Outcome {
    let mut outcome = Outcome { findings: Vec::new(), tests: Vec::new(), until: None, sources: Vec::new() };
    if !person.role.contains(&Role::Welder) {
        outcome.findings.push(Finding::no("is not entered as a welder"));
        return outcome;
    }
    if let Some(until) = &person.until
        && until.0 < on
    {
        outcome.findings.push(Finding::no(format!("left the shop on {}", until.value)));
        return outcome;
    }
    let tests: Vec<&Qualification> = book.qualifications(&person.id.value).collect();
    if tests.is_empty() {
        outcome.findings.push(Finding::no("has no qualification in the book"));
        return outcome;
    }
    let progression = wps.map_or(Progression::Up, |w| w.progression);
    let mut places: Vec<Place> = need.positions.iter().flat_map(|p| p.needs(progression)).collect();
    places.sort_unstable();
    places.dedup();
    if places.is_empty() {
        outcome.findings.push(Finding::no("the joint states no position, and a test covers some"));
    }
    let wanted: Vec<Option<Place>> =
        if places.is_empty() { vec![None] } else { places.into_iter().map(Some).collect() };
    for place in wanted {
        let tried: Vec<(&Qualification, Vec<Finding>)> =
            tests.iter().map(|q| (*q, covers(book, q, wps, need, place, on))).collect();
        let good = tried.iter().filter(|(_, reasons)| super::may(reasons)).map(|(q, _)| *q);
        // Of the tests that cover it, the one that holds longest is relied on.
        if let Some(best) = good.max_by_key(|q| validity(book, q, on).until()) {
            rely(&mut outcome, book, best, on);
            continue;
        }
        // Of the others, the one with the fewest reasons says most.
        if let Some((test, reasons)) = tried.into_iter().min_by_key(|(_, r)| r.len()) {
            for mut finding in reasons {
                finding.text = format!("{}: {}", test.id.value, finding.text);
                if !outcome.findings.contains(&finding) {
                    outcome.findings.push(finding);
                }
            }
        }
    }
    outcome
}

fn rely(outcome: &mut Outcome, book: &Book, test: &Qualification, on: NaiveDate) {
    let id = test.id.value.to_string();
    if outcome.tests.contains(&id) {
        return;
    }
    outcome.tests.push(id);
    let holds = validity(book, test, on);
    outcome.until = Some(outcome.until.map_or(holds.until(), |u| u.min(holds.until())));
    for source in derive(test).sources.into_iter().chain([holds.source]) {
        if !outcome.sources.contains(&source) {
            outcome.sources.push(source);
        }
    }
}

/// Why a test does not cover the joint in one place; empty if it does.
fn covers(
    book: &Book,
    test: &Qualification,
    wps: Option<&Wps>,
    need: &Need,
    place: Option<Place>,
    on: NaiveDate,
) -> Vec<Finding> {
    let process = wps.map(|w| w.process.0.clone()).or_else(|| need.process.clone());
    let mut found = Vec::new();
    if let Some(name) = &process {
        let (asked, tested) = (process::counted(name), process::counted(&test.process.value));
        let same = match (asked, tested) {
            (Some(a), Some(t)) if test.standard.value.iso() => a.iso == t.iso,
            (Some(a), Some(t)) => a.us == t.us,
            _ => false,
        };
        if !same {
            // Nothing else about this test matters then.
            return vec![Finding::no(format!("tested with {}, not {name}", &*test.process.value))];
        }
        let short = process::named_short_circuit(name) || wps.is_some_and(Wps::short_circuit);
        let gas_metal = asked.is_some_and(|c| c.us == "GMAW");
        if wps.is_none() && !short && gas_metal {
            found.push(Finding::remark("no procedure says which transfer is used: it was not checked"));
        } else if short != test.short_circuit() && !test.standard.value.iso() {
            let (asked, tested) =
                if short { ("short-circuit", "another") } else { ("another", "short-circuit") };
            found.push(
                Finding::no(format!("tested with {tested} transfer, the joint uses {asked}"))
                    .by(SHORT_CIRCUIT),
            );
        }
    }
    dates(&mut found, book, test, on);
    filler(&mut found, test, need);
    backing(&mut found, test, wps, need);
    material(&mut found, test, need);
    ranges(&mut found, test, need, place);
    found
}

fn dates(found: &mut Vec<Finding>, book: &Book, test: &Qualification, on: NaiveDate) {
    // From a blank no day is counted.
    let blanks = [(&test.date, "date"), (&test.last_used, "last_used")];
    if let Some((_, key)) = blanks.into_iter().find(|(day, _)| day.value.is_blank()) {
        found.push(Finding::no(format!("its {key} is still blank")));
        return;
    }
    let holds = validity(book, test, on);
    if test.date.0 > on {
        found.push(Finding::no(format!("the test is dated {}, after the day", test.date.value)));
    }
    // A day that has not come yet keeps nothing alive.
    if test.last_used.0 > on {
        found.push(Finding::no(format!("its last use is dated {}, after the day", test.last_used.value)));
    }
    if let Some(renewed) = test.revalidated.as_ref().filter(|r| r.0 > on) {
        found.push(Finding::no(format!("its revalidation is dated {}, after the day", renewed.value)));
    }
    if let Some(reason) = &test.questioned {
        found.push(Finding::no(format!("ability in question: {}", &**reason)).by(holds.source));
    }
    if holds.continuity < on {
        let text = format!("six months without {} ran out on {}", &*test.process.value, holds.continuity);
        found.push(Finding::no(text).by(holds.source));
    }
    if let Some(retest) = holds.retest
        && retest < on
    {
        found.push(Finding::no(format!("revalidation was due on {retest}")).by(holds.source));
    }
}

fn filler(found: &mut Vec<Finding>, test: &Qualification, need: &Need) {
    let (Some(tested), Some(filler)) = (FillerGroup::of(&test.filler_group.value), &need.filler) else {
        return;
    };
    let (asked, source) = match tested {
        FillerGroup::F(_) => (process::f_number(filler).map(FillerGroup::F), F_NUMBERS),
        FillerGroup::Fm(_) => (process::fm_group(filler).map(FillerGroup::Fm), FM_GROUPS),
    };
    match asked {
        Some(asked) if !tested.covers(asked) => {
            let text = format!("{filler} is {}, tested with {}", asked.title(), tested.title());
            found.push(Finding::no(text).by(source));
        }
        Some(_) => {}
        None => found.push(Finding::remark(format!("the filler group of {filler} is not known here"))),
    }
}

fn backing(found: &mut Vec<Finding>, test: &Qualification, wps: Option<&Wps>, need: &Need) {
    let open = wps.and_then(|w| w.backing) == Some(Backing::Without);
    let tested = test.backing.as_ref().map(|b| b.value);
    if need.kind == WeldKind::Groove && open && tested == Some(Backing::With) {
        found.push(Finding::no("tested on backing, the joint has an open root").by(BACKING));
    }
}

/// ASME P-numbers: ferrous groups 1 to 15F cover each other. The other
/// standards rest on the filler, not the base metal, for carbon steel.
fn material(found: &mut Vec<Finding>, test: &Qualification, need: &Need) {
    let Some(group) = &test.material_group else { return };
    let plain = crate::reference::metal::squeezed(&group.value);
    let number = plain.strip_prefix("pno").or_else(|| plain.strip_prefix('p'));
    let Some(number) = number else { return };
    let digits: String = number.chars().take_while(char::is_ascii_digit).collect();
    let ferrous = digits.parse::<u32>().is_ok_and(|n| (1..=15).contains(&n));
    if !ferrous && !need.steels.is_empty() {
        found.push(Finding::no(format!("tested on {}, the joint is steel", &*group.value)).by(MATERIAL));
    }
}

fn ranges(found: &mut Vec<Finding>, test: &Qualification, need: &Need, place: Option<Place>) {
    let derived = derive(test);
    let source = derived.sources.first().copied();
    let refuse = |found: &mut Vec<Finding>, text: String| {
        let mut finding = Finding::no(text);
        finding.source = source;
        found.push(finding);
    };
    let kind: Vec<_> = derived.ranges.iter().filter(|r| r.kind == need.kind).collect();
    if kind.is_empty() {
        let flaw = derived.flaws.first().map_or(String::new(), |f| format!(": {f}"));
        refuse(found, format!("covers no {} welds{flaw}", need.kind));
        return;
    }
    let form: Vec<_> = kind.into_iter().filter(|r| r.form == need.form()).collect();
    let sized: Vec<_> =
        form.iter().filter(|r| need.diameter.is_none_or(|od| r.diameter.contains(od))).copied().collect();
    if let (Some(od), true) = (need.diameter, sized.is_empty()) {
        let bands: Vec<_> = form.iter().map(|r| r.diameter.told(need.units)).collect();
        let bands = if bands.is_empty() { "plate only".to_owned() } else { bands.join("; ") };
        refuse(found, format!("diameter {} is outside the tested range ({bands})", shown(need.units, od)));
        return;
    }
    let placed: Vec<_> =
        sized.iter().filter(|r| place.is_none_or(|p| r.places.contains(&p))).copied().collect();
    if placed.is_empty() {
        let mut all: Vec<Place> = sized.iter().flat_map(|r| r.places.iter().copied()).collect();
        all.sort_unstable();
        all.dedup();
        let words: Vec<_> = all.iter().map(|p| p.word()).collect();
        let place = place.map_or("", Place::word);
        refuse(found, format!("{place} is not covered ({} {})", test.title(), words.join(", ")));
        return;
    }
    let thick = placed.iter().any(|r| match r.of {
        Thickness::Base => need.parts.iter().all(|t| r.thickness.contains(*t)),
        Thickness::Deposit => need.deposit.is_none_or(|t| r.thickness.contains(t)),
    });
    if !thick {
        let bands: Vec<_> = placed.iter().map(|r| r.thickness.told(need.units)).collect();
        let asked = match placed.first().map(|r| r.of) {
            Some(Thickness::Deposit) => {
                need.deposit.map(|t| shown(need.units, t)).into_iter().collect::<Vec<_>>()
            }
            _ => need.parts.iter().copied().map(|t| shown(need.units, t)).collect(),
        };
        refuse(found, format!("thickness {} is outside the range {}", asked.join(" and "), bands.join("; ")));
    }
}
