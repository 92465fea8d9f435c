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
use tackwright::record::{Frozen, state};

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

/// The log of the sample with 100,000 entries more, each a reading of it taken again, checked
/// line by line, folded and gone through by the rules.
#[divan::bench(sample_count = 3, sample_size = 1)]
fn long_record(bencher: Bencher<'_, '_>) {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs/TW-2041-completed.pdf");
    let bytes = std::fs::read(sample).expect("the sample");
    let (parts, ..) = Parts::of(pdf::attachments(&bytes).expect("attachments"));
    let read = |files: &std::collections::BTreeMap<String, Vec<u8>>| {
        Frozen::read(files.get("plan.json").expect("a plan")).expect("a plan")
    };
    let plans: Vec<Frozen> =
        parts.earlier.values().map(|r| read(&r.files)).chain([read(&parts.files)]).collect();
    let plans: Vec<&Frozen> = plans.iter().collect();
    let mut entries = check(&parts.log).entries;
    let end = entries.iter().position(|e| matches!(e.what, Action::Closed { .. })).expect("it is closed");
    entries.truncate(end);
    let again: Vec<_> =
        entries.iter().filter(|e| matches!(e.what, Action::Measure { .. })).cloned().collect();
    entries.extend(again.iter().cycle().take(100_000).cloned());
    let (mut log, mut prev) = (Vec::new(), NO_ENTRY.to_owned());
    for (mut entry, n) in entries.into_iter().zip(1..) {
        (entry.n, entry.prev) = (n, prev);
        let (line, hash) = entry.line().expect("a line");
        log.extend_from_slice(&line);
        prev = hash;
    }
    bencher.bench_local(|| {
        let chain = check(&log);
        let state = state::fold(&chain.entries);
        assert!(chain.damage.is_none() && state.entries > 100_000);
        replay(&plans, &chain.entries, &AsPrinted)
    });
}
