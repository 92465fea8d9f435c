//! Figures: all of a job, and one at the bench.

use divan::Bencher;
use tackwright::app::reckon;
use tackwright::figure::registry;
use tackwright::procedure::figures;

use crate::demo;

/// Every figure of a job, after parsing. Aim: under 1 ms.
#[divan::bench(args = demo::names())]
fn all_of_a_job(bencher: Bencher<'_, '_>, name: &str) {
    let loaded = demo::loaded(name);
    bencher.bench_local(|| {
        let sheet = figures::compute(&loaded.job, None);
        assert_eq!(sheet.rows.len(), loaded.figures.rows.len());
        sheet
    });
}

/// Reading a job file, without its figures.
#[divan::bench(args = demo::names())]
fn read_a_job(bencher: Bencher<'_, '_>, name: &str) {
    let text = std::fs::read_to_string(demo::path(name)).expect("the job");
    bencher.bench_local(|| {
        let (job, report) = tackwright::job::load(name, &text);
        assert!(job.is_some() && !report.has_errors());
        job
    });
}

/// The example of every family, read from text and computed.
#[divan::bench]
fn every_example_of_the_listing(bencher: Bencher<'_, '_>) {
    bencher.bench_local(|| {
        let mut count = 0;
        for family in registry::families() {
            let pairs = family.example.split("\" ").flat_map(|part| {
                let quoted = part.split_once("=\"");
                quoted.map(|(k, v)| (k.rsplit(' ').next().unwrap_or(k), v.trim_end_matches('"')))
            });
            if let Ok(given) = reckon::read_inputs(family, pairs)
                && let Ok(figures) = family.reckon(&given)
            {
                count += figures.len();
            }
        }
        assert!(count > 50, "{count}");
        count
    });
}
