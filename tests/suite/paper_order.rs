//! What stands beside what on the station pages: a box with the words that ask for it, a
//! drawing with its boxes, and nothing a unit has not.

use std::collections::BTreeMap;

use serde_json::Value;
use tackwright::app::issue::compose;
use tackwright::procedure::file::StepRow;
use tackwright::quantity::{Dimensioned, Mass, unit};

use super::order_of_the_work::{demo, library, of, words};
use super::routing_jobs::{job, messages, planned};
use super::support::pdf;

const ALL: &[&str] = &["brush-truck", "crew-cab", "forest-carrier", "hoist-frame", "pump-trailer"];

fn text_of(name: &str) -> String {
    std::fs::read_to_string(format!("jobs/{name}.toml")).unwrap()
}

fn written(name: &str, text: &str) -> Value {
    planned(text, &[], |plan, _| serde_json::to_value(compose(plan)).unwrap())
        .unwrap_or_else(|f| panic!("{name}: {:#?}", messages(&f)))
}

fn paper(name: &str) -> Value {
    written(name, &text_of(name))
}

fn list<'a>(of: &'a Value, key: &str) -> &'a [Value] {
    of[key].as_array().map_or(&[], Vec::as_slice)
}

fn stations(paper: &Value) -> impl Iterator<Item = &Value> {
    ["stations", "later_stations"].into_iter().flat_map(|key| list(paper, key))
}

/// What a reader meets at a station, in the order of reading: the words of an operation
/// (`None`), or a box that is filled in it.
fn met(station: &Value) -> Vec<(u64, Option<String>)> {
    let mut found = Vec::new();
    let number = |v: &Value| v["number"].as_u64();
    let work = |one: &Value, found: &mut Vec<(u64, Option<String>)>| {
        let of = number(one).unwrap();
        if !list(one, "steps").is_empty() || !one["title"].is_null() {
            found.push((of, None));
        }
        found.extend(list(one, "rows").iter().map(|r| (of, Some(r["what"].to_string()))));
    };
    let rows = |list: &[Value], first: Option<u64>, found: &mut Vec<(u64, Option<String>)>| {
        let mut of = first;
        for row in list {
            of = number(row).or(of);
            found.push((of.expect("a row is of an operation"), Some(row["what"].to_string())));
        }
    };
    for block in list(station, "blocks") {
        let (kind, data) = block.as_object().unwrap().iter().next().unwrap();
        match kind.as_str() {
            "work" => data.as_array().unwrap().iter().flat_map(|s| s.as_array().unwrap()).for_each(|w| {
                work(w, &mut found);
            }),
            "beside" => {
                list(data, "work").iter().for_each(|w| work(w, &mut found));
                rows(list(data, "rows"), list(data, "work").last().and_then(number), &mut found);
            }
            "table" => rows(list(data, "rows"), None, &mut found),
            "safety" => {
                found.push((number(data).unwrap(), None));
                rows(list(data, "rows"), number(data), &mut found);
            }
            _ => {}
        }
    }
    found
}

/// Boxes under the words of an operation that comes after theirs.
fn too_late(station: &Value) -> Vec<String> {
    // What closes a card stands on it, out of the order of the work and with its own words.
    let own: Vec<u64> = list(station, "operations").iter().filter_map(Value::as_u64).collect();
    let place = |of: u64| own.iter().position(|n| *n == of);
    let mut last = 0;
    let mut late = Vec::new();
    for (of, what) in met(station) {
        let Some(at) = place(of) else { continue };
        match what {
            None => last = last.max(at),
            Some(what) if at < last => late.push(format!("{of} {what} stands under {}", own[last])),
            Some(_) => {}
        }
    }
    late
}

/// Common practice: what is read is written where the eye is, before the next thing is done.
#[test]
fn a_box_stands_with_the_words_that_ask_for_it() {
    let mut boxes = 0;
    for name in ALL {
        let paper = paper(name);
        for station in stations(&paper) {
            let late = too_late(station);
            assert!(late.is_empty(), "{name}, station {}: {late:#?}", station["letter"]);
            boxes += met(station).iter().filter(|(_, what)| what.is_some()).count();
        }
    }
    assert!(boxes > 250, "{boxes}");
    // The test sees one that is late.
    let work = |n: u64| serde_json::json!({"number": n, "title": "cut", "steps": []});
    let row = serde_json::json!({"number": 10, "what": "gap", "boxes": []});
    let wrong = serde_json::json!({"operations": [10, 20], "blocks": [
        {"work": [[work(10)], [work(20)]]}, {"table": {"rows": [row]}},
    ]});
    assert_eq!(too_late(&wrong).len(), 1);
}

/// A text without a box asks nobody to write: what is to be kept has its box, the rest is
/// practice (issue: levels).
#[test]
fn who_is_asked_to_write_has_a_box() {
    const WRITING: &[&str] =
        &["write", "writes", "written", "record", "recorded", "note", "noted", "enter", "entered", "log"];
    // On the form of a found condition, which is a paper of its own, and a paper that exists.
    const ELSEWHERE: &[&str] = &["stop, write it up", "a written procedure"];
    let asks = |step: &StepRow| {
        let text = ELSEWHERE.iter().fold(step.text.value.0.to_lowercase(), |t, part| t.replace(part, ""));
        text.split(|c: char| !c.is_alphanumeric()).any(|word| WRITING.contains(&word))
    };
    let library = library();
    let mut asked = 0;
    for operation in library.operations.values() {
        for step in operation.row.step.iter().filter(|s| asks(s)) {
            assert!(
                step.written().next().is_some(),
                "{} asks to write and has no box: {}",
                operation.row.id.value,
                step.text.value.0
            );
            asked += 1;
        }
    }
    assert!(asked > 15, "{asked}");
    // Nor does a title say of an operation without a box that something is recorded in it.
    for name in ALL {
        for operation in list(&paper(name), "operations") {
            let title = operation["title"].as_str().unwrap();
            let boxes = list(operation, "steps").iter().map(|s| list(s, "readings").len()).sum::<usize>();
            assert!(!title.starts_with("Record") || boxes > 0, "{name} {}: {title}", operation["number"]);
        }
    }
}

fn sketches<'a>(paper: &'a Value, operation: &str) -> Vec<&'a Value> {
    let all = || ["operations", "after_hand_over"].into_iter().flat_map(|k| list(paper, k));
    all().filter(|o| o["id"] == operation).flat_map(|o| list(o, "drawings")).collect()
}

fn labels(drawn: &Value) -> Vec<&str> {
    list(&drawn["drawing"], "labels").iter().filter_map(|l| l["text"].as_str()).collect()
}

/// Where a line or a head of a drawing is covered by the white of a label.
fn covered(drawn: &Value) -> Vec<String> {
    let pair = |v: &Value| (v[0].as_f64().unwrap(), v[1].as_f64().unwrap());
    let heads = list(&drawn["drawing"], "paths").iter().filter(|p| p["filled"] == true);
    heads
        .flat_map(|head| {
            let (x, y) = pair(&head["start"]);
            list(&drawn["drawing"], "labels").iter().filter_map(move |label| {
                let ((left, top), (wide, high)) = (pair(&label["at"]), pair(&label["size"]));
                let under = (left..left + wide).contains(&x) && (top..top + high).contains(&y);
                under.then(|| label["text"].to_string())
            })
        })
        .collect()
}

#[test]
fn a_tacked_hanger_and_the_nuts_of_u_bolts_are_drawn_beside_their_boxes() {
    let truck = paper("brush-truck");
    let hanger = sketches(&truck, "load-hangers");
    assert_eq!(hanger.len(), 1);
    let told = labels(hanger[0]);
    for part in ["finder 10.0°", "weight on", "punch mark", "tack", "to the axle"] {
        assert!(told.contains(&part), "{part}: {told:?}");
    }
    for name in ["brush-truck", "pump-trailer", "crew-cab", "forest-carrier"] {
        let paper = paper(name);
        for drawn in sketches(&paper, "torque-u-bolts").into_iter().chain(sketches(&paper, "load-hangers")) {
            assert!(list(&drawn["drawing"], "notes").is_empty(), "{name}: a label found no place");
            assert!(covered(drawn).is_empty(), "{name}: {:?}", covered(drawn));
        }
    }
    // Four nuts by their places; an arrow for each that follows another, one for the leg.
    let nuts = sketches(&truck, "torque-u-bolts");
    assert_eq!(nuts.len(), 1);
    let told = labels(nuts[0]);
    assert!(
        ["1", "2", "3", "4", "front", "inboard", "outboard"].iter().all(|l| told.contains(l)),
        "{told:?}"
    );
    let heads = list(&nuts[0]["drawing"], "paths").iter().filter(|p| p["filled"] == true).count();
    assert_eq!(heads, 3 + 2);
    // It is drawn in the block of its boxes.
    let with = stations(&truck)
        .flat_map(|s| list(s, "blocks"))
        .filter(|b| list(&b["beside"], "drawings").iter().any(|d| labels(d).contains(&"leg past nut")));
    assert_eq!(with.count(), 1);
}

#[test]
fn nuts_are_drawn_as_they_are_counted_and_not_where_another_pattern_counts_them() {
    let text = text_of("brush-truck");
    // One U-bolt on a seat has two nuts.
    let two = text.replace("count = 4\npattern = \"u-bolt\"", "count = 2\npattern = \"u-bolt\"");
    assert_ne!(two, text);
    let told = written("two nuts", &two);
    let drawn = sketches(&told, "torque-u-bolts");
    assert!(!labels(drawn[0]).contains(&"3") && labels(drawn[0]).contains(&"2"));
    let round = text.replace("count = 4\npattern = \"u-bolt\"", "count = 4\npattern = \"circle\"");
    assert!(sketches(&written("round", &round), "torque-u-bolts").is_empty());
}

/// Shares of a loaded trailer on its coupling: common practice.
#[test]
fn a_trailer_is_judged_by_numbers_where_the_job_gives_them() {
    demo("pump-trailer", |w| {
        let one = |operation: &str, id: &str| {
            w.get(operation).readings().find(|r| r.id == id).unwrap_or_else(|| panic!("{operation}: {id}"))
        };
        let tongue = one("trailer-coupling", "tongue");
        let printed = tongue.aim.unwrap().printed().unwrap();
        // 2450 lb in the job: inward to whole pounds.
        assert_eq!(printed, "221 lb (101 kg) to 367 lb (166 kg)");
        let (least, most) = (Mass::of(2450.0 * 0.09, unit::LB), Mass::of(2450.0 * 0.15, unit::LB));
        assert!(least < Mass::of(221.0, unit::LB) && Mass::of(367.0, unit::LB) < most);
        assert!(one("trailer-coupling", "rail-angle").aim.unwrap().limited());
        assert!(one("check-tracking", "toe").near.is_some());
        // The rise that is judged is the rise that is printed.
        w.says("roll", &["over as found 4 in"]);
        // What a hold says of the magnets was read in front of it.
        assert!(one("brake-lines-on", "lines").choices.iter().any(|c| c.word.contains("current")));
        assert!(!w.has("settle") || w.get("settle").readings().next().is_none());
    });
    let without = text_of("pump-trailer").replace("mass = \"2450 lb\"\n", "");
    of("not weighed", &without, |w| {
        let tongue = w.get("trailer-coupling").readings().find(|r| r.id == "tongue").unwrap();
        assert!(tongue.choices.len() == 2 && tongue.aim.is_none_or(|a| !a.limited()));
    });
}

/// Wheels of a trailer settle on the first miles: trailer axle makers ask for the nuts at
/// 10, 25 and 50 miles (common practice).
#[test]
fn wheel_nuts_of_a_trailer_are_turned_on_three_times_and_each_is_proved() {
    demo("pump-trailer", |w| {
        let early = w.get("recheck-wheels-early");
        assert!(early.deferred && early.steps[0].text.text().contains("10 mi, and after 25 mi"));
        let reading = early.readings().next().unwrap();
        assert!(reading.choices.iter().any(|c| c.paper), "both dates are written");
        w.says("recheck-wheels", &["50 mi"]);
        assert_eq!(w.before(&["hand-over", "recheck-wheels-early"], &["recheck-wheels"]), 2);
    });
    demo("brush-truck", |w| assert!(!w.has("recheck-wheels-early")));
}

/// Words of the first page and of the first notices.
fn head(name: &str, text: &str) -> String {
    let paper = written(name, text);
    format!("{} {}", paper["head"]["cautions"], paper["head"]["disclaimer"]).to_lowercase()
}

#[test]
fn the_first_page_names_nothing_the_unit_has_not() {
    let trailer = head("pump-trailer", &text_of("pump-trailer"));
    for word in ["battery cable", "steering"] {
        assert!(!trailer.contains(word), "a trailer has no {word}: {trailer}");
    }
    assert!(trailer.contains("breakaway battery"));
    let part = head("hoist-frame", &text_of("hoist-frame"));
    for word in ["axle", "steering", "public road", "battery"] {
        assert!(!part.contains(word), "a frame has no {word}: {part}");
    }
    assert!(part.contains("before it is used"));
    let truck = head("brush-truck", &text_of("brush-truck"));
    assert!(truck.contains("battery cables") && truck.contains("steering"));
    // Nor does any page of a rear axle, or of a part, ask for what only a front axle has.
    for (name, foreign) in [
        ("forest-carrier", &["kingpin", "knuckle", "toe set", "drag link", "tie rod"][..]),
        ("crew-cab", &["kingpin", "knuckle", "drag link", "tie rod"]),
        ("hoist-frame", &["kingpin", "pinion", "tyre", "coupler", "odometer", "ride height"]),
    ] {
        demo(name, |w| {
            for operation in &w.plan.operations {
                let text = words(operation).to_lowercase();
                for word in foreign {
                    assert!(!text.contains(word), "{name}: {} asks for its {word}:\n{text}", operation.id);
                }
            }
        });
    }
}

/// The same value is asked of two readings only where it can have changed in between.
#[test]
fn a_sentence_of_a_height_is_said_once() {
    let jobs = [("spring-over", "front"), ("final", "front")];
    for text in [text_of("brush-truck"), text_of("forest-carrier"), text_of("pump-trailer"), job(&jobs)] {
        of("heights", &text, |w| {
            let mut said: BTreeMap<String, usize> = BTreeMap::new();
            for operation in w.plan.operations.iter().filter(|o| ["roll", "check-tracking"].contains(&&*o.id))
            {
                for step in &operation.steps {
                    let of_heights = step.text.text().to_lowercase().contains("heights as left");
                    *said.entry("heights as left".to_owned()).or_default() += usize::from(of_heights);
                }
            }
            assert!(said.values().all(|n| *n <= 2), "{said:?}");
        });
    }
}

#[test]
fn the_pages_of_the_truck_show_both_drawings() {
    let shelf = super::support::desk::shipped();
    let (_, bytes) = super::support::desk::issue(&text_of("brush-truck"), &shelf).unwrap();
    let pages = pdf::pages(&bytes);
    for label in ["leg past nut", "finder 10.0°"] {
        let wanted = pdf::squeeze(label);
        let there = pages.iter().filter(|p| pdf::squeeze(&p.text()).contains(&wanted)).count();
        assert_eq!(there, 1, "{label}");
    }
}
