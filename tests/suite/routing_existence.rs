//! Existence does not depend on ranks or budgets.
#![allow(clippy::print_stdout, reason = "times are for a person to read")]

use std::time::Instant;

use tackwright::job;
use tackwright::procedure::{Library, embedded, figures, selection};
use tackwright::routing::assemble;
use tackwright::routing::order::{Effort, Outcome, find_within};
use tackwright::routing::problem::Problem;

#[test]
fn probe() {
    let text = std::fs::read_to_string("jobs/brush-truck.toml").unwrap();
    let (job, _) = job::load("jobs/brush-truck.toml", &text);
    let job = job.unwrap();
    let (library, _) = Library::load(embedded::FILES.iter().copied());
    let figures = figures::compute(&job);
    let (selection, _) = selection::select(&job, &library, &figures);
    let problem = assemble::problem(&selection);
    let again = |ranks: &[u32]| {
        let mut p = Problem::new();
        for s in problem.states() {
            let id = p.state(&s.key, &s.name, s.component.as_deref(), &s.means);
            if problem.find_state(&s.key).is_some_and(|s| problem.starts_with(s)) {
                p.start_with(id);
            }
        }
        for (op, rank) in problem.operations().iter().zip(ranks) {
            let mut op = op.clone();
            op.rank = *rank;
            p.add(op).unwrap();
        }
        p
    };
    let n = problem.operations().len() as u32;
    let mut x = 12345_u64;
    let mut rnd = || {
        x ^= x << 13;
        x ^= x >> 7;
        x ^= x << 17;
        x
    };
    for round in 0..20 {
        let mut ranks: Vec<u32> = (0..n).collect();
        if round > 0 {
            for i in (1..ranks.len()).rev() {
                ranks.swap(i, (rnd() % (i as u64 + 1)) as usize);
            }
        }
        let p = again(&ranks);
        let t = Instant::now();
        let o = find_within(&p, Effort { looks: 2_000, steps: 400_000 });
        match o {
            Outcome::Found(r) => {
                println!("{round}: found {:?} best {} {:?}", r.cost, r.proved_best, t.elapsed())
            }
            Outcome::Impossible(c) => println!(
                "{round}: IMPOSSIBLE core {} minimal {} {:?}",
                c.operations.len(),
                c.minimal,
                t.elapsed()
            ),
            Outcome::Undecided => println!("{round}: undecided {:?}", t.elapsed()),
        }
    }
}
