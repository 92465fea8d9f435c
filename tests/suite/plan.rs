//! The resolved plan: points rest on entered work, no PIN leaves the book, and
//! what is computed again is computed as it was the first time.

use std::collections::{BTreeMap, BTreeSet};

use tackwright::app::plan::{Loaded, Plan, SourceText, plan};
use tackwright::app::record::content::Content;
use tackwright::app::record::{freeze, recompute, shelf as frozen_shelf};
use tackwright::app::shelf::{Shelf, shelf_of};
use tackwright::app::shop::book::of_text;
use tackwright::diagnostic::Report;
use tackwright::record::State;
use tackwright::term::{Level, Moment, PointKind};

use super::shop::demo_with;
use super::support::desk::{Desk, folder};

/// The demonstration book with a PIN, fractions no finer than 1/16.
fn shelf_to_sixteenths() -> Shelf {
    let coarse = demo_with("fraction = \"1/64\"", "fraction = \"1/16\"");
    let book = coarse.replacen(
        "initials = \"LO\"",
        "initials = \"LO\"\npin = \"$argon2id$v=19$m=19456,t=2,p=1$c2FsdHNhbHQ$aGFzaGhhc2hoYXNoaGFzaA\"",
        1,
    );
    assert!(book.contains("pin = "), "the demonstration has no initials LO");
    shelf_of(&Desk::default(), None, of_text("shop.toml".to_owned(), book).unwrap()).unwrap()
}

fn loaded(name: &str, text: &str, shelf: &Shelf) -> Loaded {
    let (job, report) = tackwright::job::load(name, text);
    let source = SourceText { name: name.to_owned(), text: text.to_owned() };
    assert!(!report.has_errors(), "{name}: {report:?}");
    Loaded::of(name.as_ref(), source, job.unwrap(), Report::new(), &shelf.shop)
}

/// Looks at the plan of every demonstration job.
pub(super) fn each(mut look: impl FnMut(&str, &Plan<'_>, &Shelf)) {
    let shelf = shelf_to_sixteenths();
    let mut seen = 0;
    for (name, text) in folder("jobs", "toml").into_iter().filter(|(n, _)| n != "shop") {
        let loaded = loaded(&name, &text, &shelf);
        look(&name, &plan(&loaded, &shelf).unwrap_or_else(|f| panic!("{name}: {f:?}")), &shelf);
        seen += 1;
    }
    assert!(seen >= 5, "only {seen} jobs");
}

#[test]
fn a_point_rests_on_work_that_comes_before_it() {
    each(|name, planned, _| {
        let operations = &planned.resolved.operations;
        let numbers: BTreeMap<&str, u32> = operations.iter().map(|o| (o.key.as_str(), o.number)).collect();
        let mut rested = 0;
        for operation in operations {
            for point in operation.points() {
                let at = format!("{name} {} {}", operation.key, point.number);
                let keys = &point.rests_on.operations;
                let own = keys.last() == Some(&operation.key);
                assert_eq!(own, point.moment == Moment::After, "{at}: only afterwards is its own work done");
                let others = &keys[..keys.len() - usize::from(own)];
                assert!(others.iter().all(|k| numbers[k.as_str()] < operation.number), "{at}: {keys:?}");
                // A release rests on all the work before it, another point on what its
                // operation builds on.
                // A hold rests on all of it on its component and on the unit as a whole.
                let one = |o: &tackwright::plan::Operation| match o.on.as_slice() {
                    [only] if !only.unit => Some(only.id.clone()),
                    _ => None,
                };
                let lets_go = ["final-release", "hand-over"].contains(&operation.id.as_str());
                let near = |o: &&tackwright::plan::Operation| {
                    lets_go || one(operation).is_none() || one(o).is_none() || one(o) == one(operation)
                };
                let before = operations.iter().filter(|o| !o.deferred && o.number < operation.number);
                let mut asked: BTreeSet<&String> = operation.builds_on.iter().collect();
                if lets_go || point.kind == PointKind::Hold {
                    asked.extend(before.filter(near).map(|o| &o.key));
                }
                assert_eq!(others.iter().collect::<BTreeSet<_>>(), asked, "{at}");
                for (key, id) in &point.rests_on.readings {
                    let there = operations.iter().find(|o| o.key == *key).unwrap();
                    let reading = there.readings().find(|r| r.id == *id);
                    assert!(keys.contains(key) && reading.is_some_and(|r| r.level > Level::Practice), "{at}");
                }
                rested += point.rests_on.readings.len();
            }
        }
        assert!(rested > 0, "{name}: no point rests on a reading");
    });
}

#[test]
fn numbers_slots_and_levels_hold_together() {
    each(|name, planned, _| {
        let operations = &planned.resolved.operations;
        let mut counts: BTreeMap<PointKind, u32> = BTreeMap::new();
        for (operation, n) in operations.iter().zip(1_u32..) {
            assert_eq!(operation.number, n * 10, "{name}");
            for (moment, points) in [(Moment::Before, &operation.before), (Moment::After, &operation.after)] {
                for (point, place) in points.iter().zip(1..) {
                    let count = counts.entry(point.kind).or_default();
                    *count += 1;
                    assert_eq!(point.number, format!("{}{count}", point.kind.letter()), "{name}");
                    assert_eq!(point.slot, format!("{moment}.{place}"), "{name}");
                    assert!(!point.roles.is_empty(), "{name} {}: nobody signs", point.number);
                }
            }
            let holds = operation.points().any(|p| p.kind == PointKind::Hold);
            assert!(!holds || operation.level == Level::Safety, "{name} {}", operation.key);
            let ids: Vec<&str> = operation.readings().map(|r| r.id.as_str()).collect();
            let once: BTreeSet<&&str> = ids.iter().collect();
            assert_eq!(once.len(), ids.len(), "{name} {}: {ids:?}", operation.key);
        }
    });
}

#[test]
fn the_part_of_the_book_that_was_used_holds_no_pin() {
    each(|name, planned, shelf| {
        assert!(shelf.shop.book.person.iter().any(|p| p.pin.is_some()), "{name}: nothing to leave out");
        let used = &planned.resolved.shop;
        assert!(used.person.iter().all(|p| p.pin.is_none()) && !used.person.is_empty(), "{name}");
        let named = |id: &str| used.person.iter().any(|p| &*p.id.0 == id);
        // A job may bring people the book does not know.
        let own = planned.loaded.job.person.iter().map(|p| &*p.id.0);
        let mut known = own.filter(|id| shelf.shop.book.person(id).is_some());
        assert!(known.all(named), "{name}: its own people");
        assert!(used.qualification.iter().all(|q| named(&q.person.0)), "{name}: tests of people kept");
    });
}

#[test]
fn what_is_computed_again_reads_as_it_was_printed() {
    each(|name, planned, shelf| {
        let shown = |loaded: &Loaded| -> Vec<String> {
            loaded.figures.rows.iter().map(|r| r.figure.show()).collect()
        };
        let first = shown(planned.loaded);
        let fine = |text: &&String| text.contains("/32 in") || text.contains("/64 in");
        assert_eq!(first.iter().find(fine), None, "{name}: finer than the shop reads");
        // As a measured reading computes it: from the files that were frozen.
        let files = [
            ("job.toml".to_owned(), planned.loaded.source.text.clone().into_bytes()),
            ("procedures.json".to_owned(), frozen_shelf::write(planned, shelf).unwrap()),
        ];
        let content = Content {
            files: files.into_iter().collect(),
            manifest: Vec::new(),
            plan: freeze::frozen(&planned.resolved, &planned.digest()),
        };
        let now = recompute::now(&content, &State::default()).unwrap();
        assert_eq!(shown(&now.loaded), first, "{name}");
        assert_eq!(freeze::frozen(&now.plan, &now.digest), content.plan, "{name}");
    });
}
