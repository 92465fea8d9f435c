//! Records: the sample checked as `verify` does it, and a long log.

use std::path::Path;

use divan::Bencher;
use tackwright::app::record::completed::Parts;
use tackwright::app::record::pdf;
use tackwright::app::record::verify::{Holds, Trust, verify};
use tackwright::record::entry::{Action, At, By};
use tackwright::record::line::NO_ENTRY;
use tackwright::record::log::{New, Told, check};
use tackwright::record::moved::AsPrinted;
use tackwright::record::replay::replay;
use tackwright::record::{Entry, Frozen, state};

/// The sample of a completed record, every page made again.
#[divan::bench(sample_count = 10, sample_size = 1)]
fn verify_sample(bencher: Bencher<'_, '_>) {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs/TW-2041-completed.pdf");
    let bytes = std::fs::read(sample).expect("the sample");
    bencher.bench_local(|| {
        let verdict = verify(&bytes, &Trust { unsealed: true, ..Trust::default() });
        assert_eq!(verdict.holds(), Holds::Demonstration);
        verdict
    });
}

/// A log of 100,000 entries, checked line by line and folded.
#[divan::bench(sample_count = 5, sample_size = 1)]
fn long_log(bencher: Bencher<'_, '_>) {
    let at = chrono::DateTime::parse_from_rfc3339("2026-03-02T08:00:00-06:00").expect("a time");
    let new = New {
        at,
        by: By { id: "WO".to_owned(), name: "Welder One".to_owned(), role: "welder".to_owned() },
        corrects: None,
        what: Action::Tick {
            operation: At { key: "front/strip".to_owned(), number: 10 },
            rests_on: Vec::new(),
            step: Some(1),
        },
        told: Told { clock: Some(at), book: Some(NO_ENTRY.to_owned()), ..Told::default() },
    };
    let (mut bytes, mut prev) = (Vec::new(), NO_ENTRY.to_owned());
    for n in 1..=100_000 {
        let (line, hash) = new.clone().entry(n, prev).line().expect("a line");
        bytes.extend_from_slice(&line);
        prev = hash;
    }
    bencher.bench_local(|| {
        let chain = check(&bytes);
        let state = state::fold(&chain.entries);
        assert!(chain.damage.is_none() && state.entries == 100_000);
        chain
    });
}

/// The log of the sample with so many entries more of the kinds a shop writes: readings taken
/// again, now and then something found and decided. In release, with the memory it takes:
/// `/usr/bin/time -v cargo bench --bench travelers -- long_record`; wanted are 1 s and 300 MiB.
#[divan::bench(sample_count = 3, sample_size = 1, args = MORE)]
fn long_record_of_all_kinds(bencher: Bencher<'_, '_>, more: usize) {
    let (plans, log) = sample_with(|entries| {
        let again = of_kind(entries, |what| matches!(what, Action::Measure { .. }));
        let found = of_kind(entries, |what| matches!(what, Action::Found { .. }));
        let decided = of_kind(entries, |what| matches!(what, Action::Disposition { .. }));
        let (first, last) = (found.first().expect("a find"), decided.first().expect("a decision"));
        let one = |(place, entry): (usize, &Entry)| {
            let mut entry = entry.clone();
            let number = format!("F{}", 1000 + place / FOUND);
            match place % FOUND {
                0 => {
                    entry = first.clone();
                    if let Action::Found { found, photos, .. } = &mut entry.what {
                        (*found, *photos) = (number, Vec::new());
                    }
                }
                1 => {
                    entry = last.clone();
                    if let Action::Disposition { found, .. } = &mut entry.what {
                        *found = number;
                    }
                }
                _ => {}
            }
            entry
        };
        again.iter().cycle().take(more).enumerate().map(one).collect()
    });
    go_through(bencher, &plans, &log);
}

/// One of so many entries is a condition that was found.
const FOUND: usize = 200;

fn of_kind(entries: &[Entry], kind: impl Fn(&Action) -> bool) -> Vec<Entry> {
    entries.iter().filter(|e| kind(&e.what)).cloned().collect()
}

/// How many entries more: the time of the last is to be a hundred times that of the first.
const MORE: [usize; 3] = [1000, 10_000, 100_000];

/// The log of the sample with so many entries more, each a reading of it taken again, checked
/// line by line, folded and gone through by the rules.
#[divan::bench(sample_count = 3, sample_size = 1, args = MORE)]
fn long_record(bencher: Bencher<'_, '_>, more: usize) {
    let (plans, log) = sample_with(|entries| {
        let again = of_kind(entries, |what| matches!(what, Action::Measure { .. }));
        again.iter().cycle().take(more).cloned().collect()
    });
    go_through(bencher, &plans, &log);
}

/// The same where nothing is signed yet: every one of the readings is taken by the rules.
#[divan::bench(sample_count = 3, sample_size = 1, args = MORE)]
fn long_record_in_order(bencher: Bencher<'_, '_>, more: usize) {
    let (plans, log) = sample_until(
        |what| matches!(what, Action::Sign { .. } | Action::SeenOnPaper { .. }),
        |entries| {
            let again = of_kind(entries, |what| matches!(what, Action::Measure { .. }));
            again.iter().cycle().take(more).cloned().collect()
        },
    );
    go_through(bencher, &plans, &log);
}

/// The frozen plans of the sample, and its log up to its close with more entries behind it.
fn sample_with(more: impl Fn(&[Entry]) -> Vec<Entry>) -> (Vec<Frozen>, Vec<u8>) {
    sample_until(|what| matches!(what, Action::Closed { .. }), more)
}

/// The frozen plans of the sample, and its log up to the first entry of a kind with more
/// entries behind it.
fn sample_until(
    ends: impl Fn(&Action) -> bool,
    more: impl Fn(&[Entry]) -> Vec<Entry>,
) -> (Vec<Frozen>, Vec<u8>) {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs/TW-2041-completed.pdf");
    let bytes = std::fs::read(sample).expect("the sample");
    let (parts, ..) = Parts::of(pdf::attachments(&bytes).expect("attachments"));
    let read = |files: &std::collections::BTreeMap<String, Vec<u8>>| {
        Frozen::read(files.get("plan.json").expect("a plan")).expect("a plan")
    };
    let plans = parts.earlier.values().map(|r| read(&r.files)).chain([read(&parts.files)]).collect();
    let mut entries = check(&parts.log).entries;
    let end = entries.iter().position(|e| ends(&e.what)).expect("an entry that ends it");
    entries.truncate(end);
    entries.extend(more(&entries));
    let (mut log, mut prev) = (Vec::new(), NO_ENTRY.to_owned());
    for (mut entry, n) in entries.into_iter().zip(1..) {
        (entry.n, entry.prev) = (n, prev);
        let (line, hash) = entry.line().expect("a line");
        log.extend_from_slice(&line);
        prev = hash;
    }
    (plans, log)
}

/// A log checked line by line, folded and gone through by the rules.
fn go_through(bencher: Bencher<'_, '_>, plans: &[Frozen], log: &[u8]) {
    let plans: Vec<&Frozen> = plans.iter().collect();
    bencher.bench_local(|| {
        let chain = check(log);
        let state = state::fold(&chain.entries);
        assert!(chain.damage.is_none() && state.entries > 1000);
        replay(&plans, &chain.entries, &AsPrinted)
    });
}
