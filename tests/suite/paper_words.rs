//! What stands where on the station pages of the demonstrations, and how it reads.
//!
//! The rules are common practice for work instructions (ANSI Z535.6:2011, 8: a safety
//! message stands directly before what it belongs to), counted on the pages as they are
//! typeset.

use serde_json::Value;
use tackwright::app::issue::compose;
use tackwright::app::route;
use tackwright::procedure::text::complaints;

use super::order_of_the_work::{UNITS, demo, each, library, of, reads, row};
use super::routing_jobs::{job, messages, planned};
use super::support::desk::{issue, shipped};
use super::support::pdf;

const ALL: &[&str] = &["brush-truck", "crew-cab", "forest-carrier", "hoist-frame", "pump-trailer"];

fn text_of(name: &str) -> String {
    std::fs::read_to_string(format!("jobs/{name}.toml")).unwrap()
}

/// The document of a demonstration.
fn paper(name: &str) -> Value {
    planned(&text_of(name), &[], |plan, _| serde_json::to_value(compose(plan)).unwrap())
        .unwrap_or_else(|f| panic!("{name}: {:#?}", messages(&f)))
}

fn list<'a>(of: &'a Value, key: &str) -> &'a [Value] {
    of[key].as_array().map_or(&[], Vec::as_slice)
}

fn stations(paper: &Value) -> impl Iterator<Item = &Value> {
    ["stations", "later_stations"].into_iter().flat_map(|key| list(paper, key))
}

/// Operation and step a block of a station begins with; none for what is no work.
fn begins(block: &Value) -> Option<(u64, Option<u64>)> {
    let of = |work: &Value| {
        Some((work["number"].as_u64()?, list(work, "steps").first().and_then(|s| s["number"].as_u64())))
    };
    let (kind, data) = block.as_object()?.iter().next()?;
    match kind.as_str() {
        "safety" => Some((data["number"].as_u64()?, data["step"].as_u64())),
        "work" => of(data[0].get(0)?),
        "beside" => of(list(data, "work").first()?),
        _ => None,
    }
}

#[test]
fn a_caution_stands_directly_before_what_it_belongs_to() {
    let mut seen = 0;
    for name in ALL {
        let paper = paper(name);
        let operations: Vec<&Value> =
            ["operations", "after_hand_over"].into_iter().flat_map(|k| list(&paper, k)).collect();
        for station in stations(&paper) {
            let blocks = list(station, "blocks");
            for (at, block) in blocks.iter().enumerate().filter(|(_, b)| !b["caution"].is_null()) {
                let next = blocks[at..].iter().find(|b| b["caution"].is_null()).expect("work follows");
                let (number, step) = begins(next).unwrap_or_else(|| panic!("{name}: {next:#}"));
                let operation = operations.iter().find(|o| o["number"] == number).unwrap();
                let caution = &block["caution"];
                let first = operation["steps"][0]["number"].as_u64();
                let whole = step.is_none() || step == first;
                let own = whole && list(operation, "cautions").contains(caution);
                let of_step = list(operation, "steps")
                    .iter()
                    .any(|s| s["number"].as_u64() == step.or(first) && list(s, "cautions").contains(caution));
                assert!(own || of_step, "{name}: before {number}.{step:?} stands {}", caution["hazard"]);
                seen += 1;
            }
        }
    }
    assert!(seen > 60, "{seen}");
}

#[test]
fn every_text_begins_like_a_sentence() {
    let mut seen = 0;
    for name in ALL {
        let paper = paper(name);
        for key in ["operations", "after_hand_over"] {
            for operation in list(&paper, key) {
                for step in list(operation, "steps") {
                    let text: String =
                        list(step, "text").iter().filter_map(|run| run["text"].as_str()).collect();
                    let first = text.chars().next().unwrap();
                    assert!(!first.is_lowercase(), "{name} {}: {text}", operation["number"]);
                    // Nothing moved is not worth a sentence, and a name left out leaves no hole.
                    for hole in ["  ", " ,", " .", ", ,", "by 0 in", "hole 0 in", "hole 0.0 mm", "{%", "{{"] {
                        assert!(!text.contains(hole), "{name} {}: \"{hole}\" in {text}", operation["number"]);
                    }
                    seen += 1;
                }
            }
        }
        let words = paper["head"].to_string();
        assert!(!words.contains("hole 0 in") && !words.contains("hole 0.0 mm"), "{name}: {words}");
    }
    assert!(seen > 300, "{seen}");
}

#[test]
fn a_condition_asks_whether_and_never_compares_what_is_printed() {
    for text in [
        "{% if f.pad_shift.shop not in ('0 in', '0.0 mm') %}moved{% endif %}",
        "{% if f.lift.si == '0 mm' %}level{% endif %}",
    ] {
        let said = complaints(text, false);
        assert!(said.len() == 1 && said[0].contains(".known or .zero"), "{said:?}");
    }
    assert_eq!(complaints("f.lift.shop == '0 in'", true).len(), 1);
    let good = "{% if f.pad_shift.known and not f.pad_shift.zero %}{{ f.pad_shift.shop }}{% endif %}";
    assert_eq!(complaints(good, false), Vec::<String>::new());
    // A pad hole on the tube's centre is not worth a sentence, one beside it is.
    let said = |name: &str| paper(name)["head"].to_string();
    assert!(!said("crew-cab").contains("ahead of the tube centre"));
    assert!(said("brush-truck").contains("1/2 in") && !said("brush-truck").contains(" 0 in"));
}

#[test]
fn reasons_for_the_order_are_in_the_words_of_the_paper() {
    planned(&text_of("brush-truck"), &[], |plan, _| {
        let mut told = 0;
        for operation in 0..plan.problem.operations().len() {
            let mut said = route::explain(plan, operation);
            said.push(route::called(plan, operation));
            said.extend([true, false].map(|start| route::room(plan, operation, start)));
            for sentence in said {
                assert!(!sentence.contains("{%") && !sentence.contains("{{"), "{sentence}");
                told += 1;
            }
        }
        assert!(told > 300, "{told}");
    })
    .unwrap_or_else(|f| panic!("{:#?}", messages(&f)));
}

/// The signature that lets a cut be made can rest on what is read before it alone.
#[test]
fn what_a_cut_is_released_on_is_read_in_front_of_its_hold() {
    let mut cuts = 0;
    for operation in library().operations.values() {
        let row = &operation.row;
        let before =
            |p: &&tackwright::procedure::file::PointRow| p.moment == tackwright::term::Moment::Before;
        if !row.acts.iter().any(|a| &*a.value == "cut-permanent") {
            continue;
        }
        let Some(hold) = row.point.iter().find(before) else { continue };
        cuts += 1;
        for step in &row.step {
            assert!(
                step.by.is_none(),
                "{}: a second person reads behind \"{}\"",
                row.id.value,
                hold.what.value
            );
            assert!(step.derived.is_empty(), "{}: worked out behind its hold", row.id.value);
        }
    }
    assert!(cuts >= 4, "{cuts}");
    demo("crew-cab", |w| {
        assert_eq!(w.before(&["measure-shaft", "strip-shaft"], &["mark-shaft"]), 2);
        assert_eq!(w.before(&["mark-shaft"], &["cut-shaft"]), 1);
        let hold = &w.get("cut-shaft").before[0];
        assert!(hold.what.contains("measured by two people"));
        let key = &w.get("mark-shaft").key;
        for id in ["yokes", "tube-length", "tube-again"] {
            assert!(hold.rests_on.readings.iter().any(|(of, r)| of == key && r == id), "{id}");
        }
    });
}

/// A customer comes back by a distance: each task says which.
#[test]
fn what_is_done_after_hand_over_says_when() {
    let mut seen = 0;
    for operation in library().operations.values().filter(|o| o.row.deferred) {
        let row = &operation.row;
        let told = |text: &str| text.contains(" mi')");
        for reading in row.step.iter().filter(|s| s.written().next().is_some()).take(1) {
            assert!(told(&reading.text.value), "{}: {}", row.id.value, reading.text.value.0);
            seen += 1;
        }
    }
    assert!(seen >= 7, "{seen}");
    // What is new in a clamp or at a pin settles: it is proved again.
    of("packs", &job(&[("spring-pack", "rear")]), |w| {
        assert_eq!(w.before(&["torque-pack-pins", "hand-over"], &["retorque-pack-pins"]), 2);
    });
    let pins = library();
    let written: Vec<String> = reads(row(&pins, "retorque-pack-pins"), "breakaway")
        .written()
        .map(|r| r.id.value.to_string())
        .collect();
    assert_eq!(written, ["breakaway"]);
    // A stripe that a wrench set anew tells nothing (common practice): looked at first.
    each(UNITS, |w| {
        let looked = w.place("recheck-all");
        let wrenches = w.plan.operations.iter().enumerate().filter(|(_, o)| o.id.starts_with("retorque-"));
        let mut seen = 0;
        for (at, again) in wrenches.filter(|(_, o)| o.id != "retorque-coupling") {
            assert!(looked.is_some_and(|looked| looked < at), "{}", again.id);
            seen += 1;
        }
        seen
    });
    // One date beside initials says one visit.
    for name in UNITS {
        let paper = paper(name);
        for station in list(&paper, "later_stations") {
            for block in list(station, "blocks") {
                for initials in block["initials"].as_array().into_iter().flatten() {
                    assert_eq!(list(initials, "operations").len(), 1, "{name}: {initials}");
                }
            }
        }
    }
}

#[test]
fn steering_is_driven_on_no_clamp_that_was_let_go() {
    each(&["brush-truck"], |w| {
        w.says("set-toe", &["tie rod and drag link", "Red tags off", "toe again"]);
        // A clamp turns its sleeve as it is tightened (common practice): the toe that is
        // written is the one behind it.
        let toe = w.get("set-toe");
        let at = |start: &str| toe.readings().position(|r| r.id.starts_with(start));
        assert!(at("clamp-set") < at("toe") && at("clamp-set").is_some(), "clamps before the toe as left");
        let held =
            w.get("road-test").before.iter().find(|p| p.what.contains("drag link clamps at their torque"));
        assert!(held.is_some(), "the road waits for both");
        w.before(&["centre-steering", "set-toe"], &["road-test"])
    });
}

/// Pages of each demonstration on letter paper (or its own), and what is on them.
#[test]
fn the_papers_are_short_and_no_page_is_left_half_empty() {
    let shelf = shipped();
    for (name, most) in [
        ("brush-truck", 22),
        ("crew-cab", 17),
        ("forest-carrier", 8),
        // With the hold of an outside tester.
        ("hoist-frame", 9),
        ("pump-trailer", 12),
    ] {
        let (issued, bytes) = issue(&text_of(name), &shelf).unwrap_or_else(|e| panic!("{name}: {e:#?}"));
        assert!(issued.pages <= most, "{name}: {} pages", issued.pages);
        let pages = pdf::pages(&bytes);
        for (at, page) in pages.iter().enumerate().take(pages.len() - 1) {
            let foot = page.height - 19.0 * 72.0 / 25.4;
            let low = page.runs.iter().map(|r| r.baseline).filter(|b| *b < foot).fold(0.0, f64::max);
            // A station may end a page; otherwise half of it has to be used.
            let next = pages[at + 1].text();
            assert!(
                low > 0.5 * page.height || !next.contains("continued"),
                "{name}: page {} ends at {low:.0} of {:.0} points",
                at + 1,
                page.height
            );
        }
    }
}

/// The boxes that close a shift's card stand under those that open it (29 CFR
/// 1910.252(a)(2)(iii)(B): the watch lasts half an hour beyond the work), and the card is
/// opened in front of the first heat, not a day ahead (common practice).
#[test]
fn a_shift_closes_its_card_where_it_opened_it() {
    const HOT: &[&str] = &["arc", "tack", "heat", "grind"];
    let mut seen = 0;
    for name in ALL {
        let paper = paper(name);
        let boxes = |block: &Value| -> Vec<String> {
            let rows = list(&block["safety"], "rows").iter().flat_map(|r| list(r, "boxes"));
            rows.filter_map(|b| b["id"].as_str()).map(str::to_owned).collect()
        };
        for station in stations(&paper) {
            let blocks = list(station, "blocks");
            for (at, block) in blocks.iter().enumerate() {
                let ids = boxes(block);
                if ids.iter().any(|id| id.starts_with("watch-end")) {
                    let opened = boxes(&blocks[at - 1]);
                    assert!(opened.iter().all(|id| id.starts_with("watch")), "{name}: {opened:?}");
                    assert_eq!(opened.len(), ids.len(), "{name}: a box to close each that opens");
                    seen += 1;
                }
            }
        }
    }
    assert_eq!(seen, 4, "every demonstration with heat");
    demo("brush-truck", |w| {
        let card = w.place("hot-work").unwrap();
        let hot = |o: &tackwright::plan::Operation| o.acts.iter().any(|a| HOT.contains(&a.as_str()));
        assert_eq!(w.plan.operations.iter().position(hot), Some(card + 1));
    });
}
