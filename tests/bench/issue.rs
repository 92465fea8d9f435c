//! Issuing: the whole way from a file to the bytes of the PDF, its parts, and
//! many jobs in one process.

use divan::Bencher;
use serde_json::Value;
use tackwright::app::batch;
use tackwright::app::issue::{Order, compose, issue, typeset};
use tackwright::app::plan::plan;
use tackwright::app::{System, plan};
use tackwright::render;
use tackwright::traveler::Document;

use crate::demo;

/// From the file to the PDF in memory. The typesetter keeps what it knows of a
/// page between runs, so all but the first run are warm.
#[divan::bench(args = demo::names(), sample_count = 10, sample_size = 1)]
fn whole(bencher: Bencher<'_, '_>, name: &str) {
    let shelf = demo::shelf();
    let path = demo::path(name);
    bencher.bench_local(|| {
        let loaded = plan::load(&System, &path, &shelf).unwrap_or_else(|f| panic!("{f:?}"));
        let plan = plan(&loaded, &shelf).unwrap_or_else(|f| panic!("{f:?}"));
        let (document, rendered) = typeset(&plan).unwrap_or_else(|f| panic!("{f:?}"));
        assert!(rendered.pages > 3 && rendered.warnings.is_empty());
        (document, rendered)
    });
}

/// Wording a planned job, without typesetting.
#[divan::bench(args = demo::names(), sample_count = 20)]
fn wording(bencher: Bencher<'_, '_>, name: &str) {
    let shelf = demo::shelf();
    let loaded = demo::loaded(name);
    let plan = plan(&loaded, &shelf).unwrap_or_else(|f| panic!("{f:?}"));
    bencher.bench_local(|| {
        let document = compose(&plan);
        assert!(!document.operations.is_empty());
        document
    });
}

/// Typesetting alone: the document is there already.
#[divan::bench(args = demo::names(), sample_count = 10, sample_size = 1)]
fn bare(bencher: Bencher<'_, '_>, name: &str) {
    let shelf = demo::shelf();
    let loaded = demo::loaded(name);
    let plan = plan(&loaded, &shelf).unwrap_or_else(|f| panic!("{f:?}"));
    let document = compose(&plan);
    bencher.bench_local(|| {
        let rendered = render::pdf(&document, &[]).unwrap_or_else(|e| panic!("{e}"));
        assert!(rendered.pages > 3);
        rendered
    });
}

/// As [`bare`], with no name on any box: the difference is what names cost.
#[divan::bench(args = demo::names(), sample_count = 10, sample_size = 1)]
fn bare_without_names(bencher: Bencher<'_, '_>, name: &str) {
    let shelf = demo::shelf();
    let loaded = demo::loaded(name);
    let plan = plan(&loaded, &shelf).unwrap_or_else(|f| panic!("{f:?}"));
    let mut model = serde_json::to_value(compose(&plan)).expect("a model");
    unname(&mut model);
    let document: Document = serde_json::from_value(model).expect("a document");
    bencher.bench_local(|| {
        let rendered = render::pdf(&document, &[]).unwrap_or_else(|e| panic!("{e}"));
        assert!(rendered.pages > 3 && rendered.boxes.is_empty());
        rendered
    });
}

fn unname(model: &mut Value) {
    match model {
        Value::Object(fields) => {
            fields.remove("box");
            fields.values_mut().for_each(unname);
        }
        Value::Array(items) => items.iter_mut().for_each(unname),
        _ => {}
    }
}

/// A hundred jobs, as `issue` with a hundred files does it.
#[divan::bench(sample_count = 1, sample_size = 1)]
fn hundred_jobs_at_once(bencher: Bencher<'_, '_>) {
    let shelf = demo::shelf();
    let folder = tempfile::tempdir().expect("a folder");
    let jobs = demo::copies(folder.path(), 100);
    let order = Order { draft: true, ..Order::default() };
    bencher.bench_local(|| {
        let issued = batch::each(&jobs, |job| issue(&System, &shelf, job, &order));
        assert!(issued.iter().all(Result::is_ok));
        issued
    });
}
