//! A long log costs no more an entry than a short one: where rules between readings stand is
//! told alike by a state that follows them entry by entry and by going through every repeat,
//! and the time a replay takes grows with the entries.

use std::rc::Rc;
use std::time::Instant;

use tackwright::quantity::{Kind, Quantity};
use tackwright::record::entry::{Action, By, Correction, Entry, Measured};
use tackwright::record::frozen::{Frozen, Limits, Reading, Step};
use tackwright::record::moved::{AsPrinted, Asked, InForce, Reckon};
use tackwright::record::replay::replay;
use tackwright::record::state::{State, fold};
use tackwright::term::{Disposition, Judged, Level, Verdict};

use super::record_gates::{at, entry, issued, operation, read};

/// Two sides that may be 0.01 rad apart.
fn plan() -> Frozen {
    let side = |id: &str| Reading {
        id: id.to_owned(),
        label: "caster".to_owned(),
        level: Some(Level::Control),
        limits: Some(Limits { kind: Kind::Angle, target: None, lower: None, upper: None }),
        apart: Some(Quantity::from_si(Kind::Angle, 0.01)),
        ..Reading::default()
    };
    let mut fit = operation("fit", 10, &[]);
    let readings = vec![side("caster.left"), side("caster.right")];
    fit.steps = vec![Step { number: 1, level: Some(Level::Control), readings, ..Step::default() }];
    Frozen {
        number: "T-1".to_owned(),
        revision: "A".to_owned(),
        operations: vec![fit],
        rules: 2,
        ..Frozen::default()
    }
}

const SIDES: [&str; 2] = ["caster.left", "caster.right"];

fn found(n: u64, number: usize, reading: &str) -> Entry {
    let what = Action::Found {
        found: format!("F{number}"),
        operation: at("fit"),
        photos: Vec::new(),
        reading: Some(reading.to_owned()),
        text: "sides apart".to_owned(),
    };
    entry(n, "10:00", "F1", what)
}

fn decided(n: u64, number: usize) -> Entry {
    let what = Action::Disposition {
        disposition: Disposition::UseAsIs,
        found: format!("F{number}"),
        reason: "seen and measured".to_owned(),
        words_stand: false,
    };
    entry(n, "10:00", "LO", what)
}

fn correcting(n: u64, old: u64, what: Action) -> Entry {
    Entry {
        corrects: Some(Correction { entry: old, reason: "wrong line".to_owned() }),
        ..entry(n, "10:00", "F1", what)
    }
}

/// The rule by its words, from the entries alone: the entry a break is told with, 0 for the
/// readings as they are; none if nothing stands.
fn by_the_words(log: &[Entry]) -> Option<u64> {
    let taken_back: Vec<u64> = log.iter().filter_map(|e| e.corrects.as_ref().map(|c| c.entry)).collect();
    let mut taken: Vec<(u64, usize, f64)> = Vec::new();
    for one in log.iter().filter(|e| !taken_back.contains(&e.n)) {
        if let Action::Measure { reading } = &one.what {
            let side = SIDES.iter().position(|s| *s == reading.reading).unwrap();
            taken.push((one.n, side, reading.value.as_ref().unwrap().parse().unwrap()));
        }
    }
    // A lead decides of everything that was broken when the condition was filed.
    let number = |e: &Entry| match &e.what {
        Action::Disposition { found, .. } => Some(found.clone()),
        _ => None,
    };
    let dispositions: Vec<String> = log.iter().filter_map(number).collect();
    let filed = log.iter().filter_map(|e| match &e.what {
        Action::Found { found, .. } if dispositions.contains(found) => Some(e.n),
        _ => None,
    });
    let decided = filed.max().unwrap_or(0);
    let broken = |until: u64| {
        let last = |side| taken.iter().rev().find(|(n, s, _)| *s == side && *n <= until).map(|(.., v)| *v);
        last(0).zip(last(1)).is_some_and(|(a, b)| (a - b).abs() > 0.01 + 1e-9)
    };
    let last = taken.last()?.0;
    if broken(last) && decided < last {
        return Some(0);
    }
    let (mut since, mut told) = (None, None);
    for (n, ..) in &taken {
        if broken(*n) {
            since.get_or_insert(*n);
        } else if let Some(began) = since.take().filter(|began| *began > decided) {
            told = Some(began);
        }
    }
    told
}

#[test]
fn a_rule_that_is_followed_stands_as_one_that_is_gone_through() {
    let mut seed = 0x2545_f491_4f6c_dd1d_u64;
    // xorshift64, Marsaglia 2003.
    let mut next = |below: u64| {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        seed % below
    };
    let plan = plan();
    let (mut now, mut before, mut none) = (0, 0, 0);
    for _ in 0..500 {
        let (mut log, mut founds) = (vec![issued("LO")], 0);
        for n in 2..=4 + next(20) {
            let side = SIDES[usize::try_from(next(2)).unwrap()];
            let value = if next(3) == 0 { 7.0 } else { 5.0 };
            let open = |old: &&Entry| {
                matches!(&old.what, Action::Measure { reading } if reading.reading == side)
                    && !log.iter().any(|e| e.corrects.as_ref().is_some_and(|c| c.entry == old.n))
            };
            let olds: Vec<u64> = log.iter().filter(open).map(|e| e.n).collect();
            let old = olds.get(usize::try_from(next(1 + olds.len() as u64)).unwrap()).copied();
            log.push(match (next(10), old) {
                (0, _) => {
                    founds += 1;
                    found(n, founds, side)
                }
                (1, _) if founds > 0 => decided(n, founds),
                (2, Some(old)) => correcting(n, old, Action::Withdrawn {}),
                (3 | 4, Some(old)) => correcting(n, old, read("fit", side, value)),
                _ => entry(n, "10:00", "F1", read("fit", side, value)),
            });
        }
        let expected = by_the_words(&log);
        match expected {
            Some(0) => now += 1,
            Some(_) => before += 1,
            None => none += 1,
        }
        let says = |words: &str| match expected {
            Some(0) => words.contains("apart") && !words.contains("told with entry"),
            Some(n) => words.contains(&format!("told with entry {n};")),
            None => false,
        };
        let through = fold(&log).stops(&plan, &plan.operations[0]);
        assert!(through.len() == usize::from(expected.is_some()), "{expected:?} {through:?} {log:#?}");
        assert!(through.iter().all(|stop| says(&stop.words)), "{expected:?} {through:?} {log:#?}");
        // A replay follows it, and lists what is open when the work is closed.
        let closed = Action::Closed { follow_ups: Vec::new(), identified: "id".to_owned() };
        let mut close = entry(log.len() as u64 + 1, "11:00", "LO", closed);
        close.by = By { role: "lead".to_owned(), ..close.by };
        log.push(close);
        let open = replay(&[&plan], &log, &AsPrinted).open;
        let followed: Vec<&String> = open.iter().filter(|words| words.contains("apart")).collect();
        assert!(followed.len() == through.len(), "{expected:?} {open:?} {log:#?}");
        assert!(followed.iter().all(|words| says(words)), "{expected:?} {open:?} {log:#?}");
    }
    assert!(now > 50 && before > 50 && none > 50, "{now} {before} {none}");
}

/// Readings of both sides in turn.
fn repeats(n: u64) -> Vec<Entry> {
    let mut log = vec![issued("LO")];
    for n in 2..n + 2 {
        log.push(entry(n, "10:00", "F1", read("fit", SIDES[usize::try_from(n % 2).unwrap()], 5.0)));
    }
    log
}

/// The same, the sides apart now and then, none decided.
fn apart(n: u64) -> Vec<Entry> {
    let mut log = repeats(n);
    for one in log.iter_mut().skip(10).step_by(7) {
        one.what = read("fit", SIDES[0], 7.0);
    }
    log
}

/// The same, every third one not conforming.
fn departed(n: u64) -> Vec<Entry> {
    let mut log = repeats(n);
    for one in log.iter_mut().skip(1).step_by(3) {
        if let Action::Measure { reading } = &mut one.what {
            reading.verdict = Judged::Decided(Verdict::NotConform);
        }
    }
    log
}

/// Each reading corrected by a second person as soon as it is taken.
fn corrected(n: u64) -> Vec<Entry> {
    let mut log = repeats(n);
    for at in (2..log.len()).step_by(2) {
        let what = log[at - 1].what.clone();
        let n = log[at].n;
        log[at] =
            Entry { by: By { role: "fitter".to_owned(), ..log[0].by.clone() }, ..correcting(n, n - 1, what) };
    }
    log
}

/// Readings that are corrected long after, the oldest first.
fn corrected_late(n: u64) -> Vec<Entry> {
    let mut log = repeats(n / 2);
    for old in 2..2 + n / 2 {
        let what = log[usize::try_from(old - 1).unwrap()].what.clone();
        let one = correcting(log.len() as u64 + 1, old, what);
        log.push(Entry { by: By { role: "fitter".to_owned(), ..log[0].by.clone() }, ..one });
    }
    log
}

/// Conditions found beside the work, each decided as soon as it is found: as it is, or to be
/// put right.
fn found_often(n: u64) -> Vec<Entry> {
    let mut log = repeats(n);
    for (number, at) in (3..log.len()).step_by(4).enumerate() {
        let n = log[at - 1].n;
        log[at - 1] = found(n, number, SIDES[number % 2]);
        log[at] = decided(n + 1, number);
        if let (Action::Disposition { disposition, .. }, 0) = (&mut log[at].what, number % 3) {
            *disposition = Disposition::Rework;
        }
    }
    log
}

/// A log of so many entries.
type Grows = fn(u64) -> Vec<Entry>;

#[test]
fn eight_times_the_entries_take_eight_times_as_long() {
    let plan = plan();
    let kinds: [(&str, Grows); 6] = [
        ("repeated", repeats),
        ("apart", apart),
        ("not conforming", departed),
        ("corrected", corrected),
        ("corrected late", corrected_late),
        ("found", found_often),
    ];
    for (kind, log) in kinds {
        let took = |n: u64| {
            let log = log(n);
            // The machine may be busy: the quickest of four.
            let once = || {
                let begun = Instant::now();
                assert_eq!(replay(&[&plan], &log, &AsPrinted).before, 0);
                begun.elapsed()
            };
            (0..4).map(|_| once()).min().unwrap().as_secs_f64()
        };
        let (short, long) = (took(300), took(2400));
        // 8 if it grows with the entries, 64 if with their square.
        assert!(long < 36.0 * short, "{kind}: 300 entries {short:.3} s, 2400 {long:.3} s");
    }
}

/// A plan on which two readings decide how all of them are judged, each but itself.
fn deciding() -> Frozen {
    let side = |id: &str, replaces: Option<&str>| Reading {
        id: id.to_owned(),
        label: id.to_owned(),
        level: Some(Level::Control),
        replaces: replaces.map(str::to_owned),
        limits: Some(Limits { kind: Kind::Angle, target: None, lower: None, upper: None }),
        ..Reading::default()
    };
    let mut fit = operation("fit", 10, &[]);
    let readings = vec![side("one", Some("one")), side("two", Some("two")), side("judged", None)];
    fit.steps = vec![Step { number: 1, level: Some(Level::Control), readings, ..Step::default() }];
    Frozen { operations: vec![fit], ..plan() }
}

/// What is judged by the sum of what was read of both.
struct BySum;

/// The upper limit of all readings by those that are there.
fn by_sum(state: &State) -> Option<f64> {
    let value = |id| state.reading("fit", id).and_then(|(m, _)| m.value.as_ref()?.parse::<f64>().ok());
    match (value("one"), value("two")) {
        (None, None) => None,
        (one, two) => Some(one.unwrap_or(0.0) + two.unwrap_or(0.0) + 1.0),
    }
}

impl Reckon for BySum {
    fn in_force(&self, _: &Frozen, state: &State) -> Option<Rc<InForce>> {
        let upper = Quantity::from_si(Kind::Angle, by_sum(state)?);
        let limits = Limits { kind: Kind::Angle, target: None, lower: None, upper: Some(upper) };
        let place = |id: &str| ("fit".to_owned(), id.to_owned());
        let asked = |id| (place(id), Asked { limits: Some(limits), target: None });
        Some(Rc::new(InForce { asked: ["one", "two", "judged"].map(asked).into(), uncut: Vec::new() }))
    }

    fn verdict(&self, _: &Measured, _: Limits) -> Option<Judged> {
        None
    }
}

/// Readings that decide are taken again, put right and taken back at random: each is judged by
/// what stands at that moment of the others, whatever a replay remembers.
#[test]
fn what_follows_from_readings_is_never_that_of_others() {
    let mut seed = 0x9e37_79b9_7f4a_7c15_u64;
    // xorshift64, Marsaglia 2003.
    let mut next = |below: u64| {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        seed % below
    };
    let plan = deciding();
    let mut moved = 0;
    for _ in 0..200 {
        let mut log = vec![issued("LO")];
        for n in 2..30 {
            let state = fold(&log);
            let open: Vec<u64> =
                log.iter().map(|e| e.n).filter(|n| *n > 1 && !state.voided.contains(n)).collect();
            let measured =
                |n: &u64| matches!(log[usize::try_from(*n - 1).unwrap()].what, Action::Measure { .. });
            let open: Vec<u64> = open.into_iter().filter(measured).collect();
            let old = (!open.is_empty() && next(4) == 0)
                .then(|| open[usize::try_from(next(open.len() as u64)).unwrap()]);
            if let Some(old) = old.filter(|_| next(2) == 0) {
                log.push(correcting(n, old, Action::Withdrawn {}));
                continue;
            }
            let id = match old.map(|old| &log[usize::try_from(old - 1).unwrap()].what) {
                Some(Action::Measure { reading }) => reading.reading.clone(),
                _ => ["one", "two", "judged"][usize::try_from(next(3)).unwrap()].to_owned(),
            };
            // A reading is never its own target; what it replaces stands until then.
            let decides = id != "judged" && state.reading("fit", &id).is_some();
            let beside = if decides { state.deciding_without(&plan, "fit", &id) } else { state.clone() };
            let mut what = read("fit", &id, f64::from(u32::try_from(next(3)).unwrap()) + 1.0);
            if let Action::Measure { reading } = &mut what {
                reading.upper = by_sum(&beside).map(|upper| upper.to_string());
                moved += usize::from(reading.upper.is_some());
            }
            log.push(match old {
                Some(old) => correcting(n, old, what),
                None => entry(n, "10:00", "F1", what),
            });
        }
        let found = replay(&[&plan], &log, &BySum);
        assert!(found.otherwise.is_empty(), "{:?}", found.otherwise);
        let limits = found.against.iter().filter(|(_, why)| why.contains("limits"));
        assert_eq!(limits.count(), 0, "{:?}", found.against);
    }
    assert!(moved > 1000, "{moved}");
}
