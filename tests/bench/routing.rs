//! Putting operations in order: the demo jobs, and synthetic jobs of growing
//! size made of chains that cross each other at a few stations.

use divan::Bencher;
use tackwright::app::plan::plan;
use tackwright::routing::order::{Outcome, find};
use tackwright::routing::problem::{Moment, Operation, Point, Problem};
use tackwright::routing::replay::faults;

use crate::demo;

const STATIONS: [&str; 5] = ["lift", "bench", "weld bay", "paint", "alignment rack"];

/// Chains of 25 operations, one per component, every other one with a hold
/// point, all begun after one reception.
fn synthetic(operations: usize) -> Problem {
    let mut problem = Problem::new();
    let received = problem.state("received", "received", None, "received");
    let mut receive = Operation::new("receive", "receive");
    receive.station = STATIONS[0].to_owned();
    receive.provides.push(received);
    problem.add(receive).expect("an operation");
    for i in 1..operations {
        let (chain, place) = ((i - 1) / 25, (i - 1) % 25);
        let component = format!("part {chain:04}");
        let mut operation =
            Operation::new(&format!("{component}/step-{place:02}"), &format!("step-{place:02}"));
        operation.component.clone_from(&component);
        operation.station = STATIONS[(place / 5 + chain) % STATIONS.len()].to_owned();
        operation.rank = u32::try_from(place).expect("small");
        let mut done = |place: usize| {
            let name = format!("{component}.done-{place:02}");
            problem.state(&name, &name, None, &name)
        };
        operation.provides.push(done(place));
        operation.requires.push(if place == 0 { received } else { done(place - 1) });
        if place % 2 == 0 {
            operation.points.push(Point::hold(Moment::After, "lead", "right"));
        }
        problem.add(operation).expect("an operation");
    }
    problem
}

/// Aim: time grows little faster than the number of operations.
#[divan::bench(args = [100, 1_000, 10_000], sample_count = 3, sample_size = 1)]
fn synthetic_jobs(bencher: Bencher<'_, '_>, operations: usize) {
    let problem = synthetic(operations);
    bencher.bench_local(|| {
        let Outcome::Found(route) = find(&problem) else { panic!("no order") };
        assert_eq!(route.order.len(), operations);
        assert!(faults(&problem, &route.order).is_empty());
        route
    });
}

#[divan::bench(args = demo::names(), sample_count = 10)]
fn demo_jobs(bencher: Bencher<'_, '_>, name: &str) {
    let shelf = demo::shelf();
    let loaded = demo::loaded(name);
    let problem = plan(&loaded, &shelf).unwrap_or_else(|f| panic!("{f:?}")).problem;
    bencher.bench_local(|| {
        let Outcome::Found(route) = find(&problem) else { panic!("no order") };
        assert_eq!(route.order.len(), problem.operations().len());
        route
    });
}
