//! The demonstrations done from issue to close by what the program proposes.

use serde_json::Value as Json;
use tackwright::plan::Words;
use tackwright::traveler::document::OutcomeRow;

use super::demo_walk::Walk;
use super::support::pdf;

#[test]
fn the_hoist_frame_can_be_done() {
    let mut walk = Walk::of("hoist-frame");
    assert!(walk.until_all_is_done() > 50);
    let number = walk.number.clone();
    let said = walk.run(0, &["status", &number]);
    assert!(said.out.contains("everything is done"), "{}", said.out);
    // Nothing is measured better than exactly: a guard below nothing widens limits.
    walk.is_not_done_by_a_log_written_anew("an uncertainty that can't be", |all| {
        let gap = all.iter_mut().find(|e| e["what"]["reading"]["reading"] == "gap.J1").unwrap();
        let gap = &mut gap["what"]["reading"];
        (gap["text"], gap["value"]) = ("9 mm".into(), "0.009".into());
        (gap["uncertainty"], gap["guard"]) = ("-0.01".into(), "-0.02".into());
    });
    walk.is_not_done_by_a_log_written_anew("welded at operation", |all| {
        let welds = |e: &&Json| e["what"]["operation"]["key"] == "hoist-frame/weld-parts";
        let welder = all.iter().filter(welds).find(|e| e["what"]["act"] == "tick");
        let name = welder.unwrap()["by"]["name"].clone();
        for one in all.iter_mut().filter(|e| e["by"]["id"] == "IO") {
            (one["by"]["id"], one["by"]["name"]) = ("I2".into(), name.clone());
        }
    });
    // Other limits than the plan had by then, in words alone.
    walk.is_not_done_by_a_log_written_anew("was judged by", |all| {
        let judged = |e: &&mut Json| e["what"]["reading"]["target"].is_string();
        let last = all.iter_mut().rev().find(judged).unwrap();
        last["what"]["reading"]["target"] = "9 m".into();
    });
    what_is_done_is_not_undone(&mut walk);
    walk.is_not_closed_with_a_photo_no_page_is_set_with();
    walk.close();
    let pages = walk.customer();
    walk.has_rows(
        &pages,
        &[
            "proof load",
            "length over all",
            "width over all",
            "height over all",
            "diagonals differ by",
            "bow or twist, largest",
        ],
    );
    let told = |words: &[Words]| words.iter().map(Words::text).collect::<Vec<_>>().join(" ");
    let notes = told(&pages.approval.notes);
    for part in
        ["Design by, code:", "test procedure, by whom:", "testing by the drawing: clear, reports kept"]
    {
        assert!(notes.to_lowercase().contains(&part.to_lowercase()), "{part}: {notes}");
    }
    // Nothing of a road, a driver, a caster where there is none.
    let all = format!("{notes} {} {}", told(&pages.outcome.notes), told(&pages.summary.sentences));
    for word in ["road", "driver", "aster", "permit"] {
        assert!(!all.contains(word), "{word}: {all}");
    }
    assert!(pages.parts.rows.iter().any(|row| row.what == "heat numbers"), "{:#?}", pages.parts);
}

/// A weld made again and a weld left out of the plan, tried with all of it done.
fn what_is_done_is_not_undone(walk: &mut Walk) {
    let number = walk.number.clone();
    let refused = |walk: &mut Walk, args: &[&str], code: &str, part: &str| {
        let said = walk.run(1, args);
        assert!(
            said.code == 1 && said.err.contains(code) && said.err.contains(part),
            "{args:?}\n{}",
            said.err
        );
    };
    let entries = walk.entries();
    let weld = number_of(walk, "weld-parts");
    let reads = |e: &&Json| {
        e["what"]["act"] == "measure"
            && e["what"]["reading"]["operation"]["number"].as_u64() == weld.parse().ok()
            && e["what"]["reading"]["tool"].is_string()
    };
    let read = entries.iter().find(reads).unwrap();
    let (reading, by) = (&read["what"]["reading"], read["by"]["id"].as_str().unwrap());
    let place = format!("{weld}.{}", reading["reading"].as_str().unwrap());
    let (text, tool) = (reading["text"].as_str().unwrap(), reading["tool"].as_str().unwrap());
    let again = ["measure", &number, &place, text, "--with", tool, "--by", by, "--again"];
    refused(walk, &again, "L351", "made again");
    let job = walk.folder.path().join("job.toml");
    let text = std::fs::read_to_string(&job).unwrap();
    std::fs::write(&job, text.replace("\"J4\"", "\"J5\"")).unwrap();
    let revise = ["revise", "job.toml", "--by", "LO", "--reason", "the last joint has another name"];
    refused(walk, &revise, "L354", "no longer has the joint J4");
    std::fs::write(&job, text).unwrap();
}

#[test]
fn the_pump_trailer_can_be_done() {
    let mut walk = Walk::of("pump-trailer");
    assert!(walk.until_the_end() > 80);
    // What a trailer is asked for stands in the customer's table, and what follows says when.
    let record = walk.record();
    let told = walk.customer();
    walk.has_rows(
        &told,
        &["axle bow, up", "total toe", "rise", "height", "tongue weight", "bend of the tube, level"],
    );
    let bow = told.outcome.rows.iter().find(|row| row.what == "axle bow, up").unwrap();
    assert!(bow.found.is_some() && bow.limit.as_ref().unwrap().starts_with("as found"), "{bow:#?}");
    let pages = pdf::pages(&std::fs::read(walk.folder.path().join(record)).unwrap());
    let customer: String = pages.iter().take(5).map(|p| pdf::squeeze(&p.text())).collect();
    for what in [
        "coupler height",
        "tongue weight",
        "axle bow, up",
        "bend of the tube, level",
        "total toe",
        "10 mi and 25 mi",
    ] {
        assert!(customer.contains(&pdf::squeeze(what)), "{what}: {customer}");
    }
}

/// Closes a traveler with a day for the recheck and a later one for what comes after it, once
/// days that can't be were refused; gives both.
fn closes_with_a_day_for_each(walk: &mut Walk) -> [String; 2] {
    let told = walk.given.iter().find(|(name, _)| name.ends_with(":retorque-date")).unwrap().1;
    let told: chrono::NaiveDate = told[..10].parse().unwrap();
    let later = |days: i64| (told + chrono::TimeDelta::days(days)).to_string();
    let [all, bolts, first] = ["recheck-all", "retorque-u-bolts", "receive"].map(|id| number_of(walk, id));
    let mut refused = |days: &[String], code: &str, part: &str| {
        walk.days = days.to_vec();
        let said = walk.asked_to_close();
        assert!(said.code == 1 && said.err.contains(code) && said.err.contains(part), "{}", said.err);
    };
    let day = |operation: &str, days: i64| format!("{operation}={}", later(days));
    refused(&[day(&first, 14)], "L330", "is done before hand-over, and no follow-up");
    refused(&[day(&all, 14)], "L331", &format!("--follow-up {bolts}={}", later(14)));
    refused(&[day(&all, 14), day(&all, 15)], "L333", "two days are given for operation");
    refused(&[later(0), later(1)], "L333", "two days are given for all");
    refused(&[day(&all, -60)], "L192", "before the day of closing");
    refused(&[day("recheck-all-of-it", 14)], "L1", "recheck-all");
    let pins = number_of(walk, "retorque-pack-pins");
    walk.days = vec![day(&all, 14), day(&bolts, 20), day(&pins, 20)];
    walk.close();
    let number = walk.number.clone();
    let said = walk.run(0, &["status", &number]);
    assert!(said.out.contains(&format!("by {}", later(20))), "{}", said.out);
    let wheels = number_of(walk, "recheck-wheels");
    initials_wait_for_what_is_open(walk, &wheels);
    [later(14), later(20)]
}

/// A breakaway that is too low at a follow-up is decided and read again before its initials.
fn initials_wait_for_what_is_open(walk: &mut Walk, bolts: &str) {
    let number = walk.number.clone();
    walk.now += chrono::TimeDelta::days(1);
    let said = walk.run(0, &["status", &number, "--boxes", "--json"]);
    let all: Json = serde_json::from_str(&said.out).unwrap_or_else(|e| panic!("{e}: {}", said.err));
    let boxes = all["travelers"][0]["boxes"].as_array().unwrap();
    let own: Vec<&Json> = boxes.iter().filter(|b| b["operation"].as_u64() == bolts.parse().ok()).collect();
    let low = own.iter().find(|b| b["kind"] == "value").unwrap();
    let (place, tool) = (low["typed"].as_str().unwrap(), low["tools"][0].as_str().unwrap());
    let least = low["limits"]["lower"]["si"].as_f64().unwrap();
    let measure = |share: f64| format!("{:.0} N m", least * share);
    for (typed, share) in
        own.iter().filter(|b| b["kind"] == "value").map(|b| (b["typed"].as_str().unwrap(), 1.5))
    {
        let share = if typed == place { 0.8 } else { share };
        let said = walk.run(5, &["measure", &number, typed, &measure(share), "--with", tool, "--by", "LO"]);
        assert_eq!(said.code, 0, "{typed}: {}", said.err);
    }
    let initials = ["tick", number.as_str(), bolts, "--by", "LO"];
    let refused = |walk: &mut Walk, code: &str, part: &str| {
        let said = walk.run(5, &initials);
        assert!(said.code == 1 && said.err.contains(code) && said.err.contains(part), "{}", said.err);
        let stands = walk.run(0, &["status", &number]).out;
        assert!(stands.contains("waits: "), "{stands}");
    };
    refused(walk, "L124", &format!("so the initials of {bolts} must wait"));
    let found = walk.run(5, &["found", &number, place, "low at the first nut", "--by", "LO"]);
    assert_eq!(found.code, 0, "{}", found.err);
    let filed =
        found.out.split_whitespace().find(|w| w.starts_with('F') && w[1..].starts_with(char::is_numeric));
    let filed = filed.unwrap_or_else(|| panic!("{}", found.out)).trim_end_matches([':', ',']).to_owned();
    refused(walk, "L122", &filed);
    let reason = ["--by", "LO", "--reason", "tightened again, read again after it"];
    let said = walk.run(5, &[&["dispose", &number, &filed, "rework"], &reason[..]].concat());
    assert_eq!(said.code, 0, "{}", said.err);
    refused(walk, "L221", "--again");
    let again = measure(1.5);
    let said = walk.run(5, &["measure", &number, place, &again, "--with", tool, "--by", "LO", "--again"]);
    assert_eq!(said.code, 0, "{}", said.err);
    let said = walk.run(5, &initials);
    assert_eq!(said.code, 0, "{}", said.err);
}

fn number_of(walk: &Walk, id: &str) -> String {
    let all = walk.plan["operations"].as_array().unwrap();
    all.iter().find(|o| o["id"] == id).unwrap()["number"].to_string()
}

#[test]
fn the_forest_carrier_can_be_done() {
    let mut walk = Walk::of("forest-carrier");
    assert!(walk.until_all_is_done() > 60);
    let [all, bolts] = closes_with_a_day_for_each(&mut walk);
    let pages = walk.customer();
    let back: Vec<(&str, &str)> =
        pages.summary.back.rows.iter().map(|row| (row.task.as_str(), row.date.as_str())).collect();
    for (task, date) in [("Recheck after the first run", &all), ("Tighten the U-bolts again", &bolts)] {
        let row = back.iter().find(|(title, _)| title.starts_with(task));
        assert!(row.is_some_and(|(_, day)| day == date), "{task} {date}: {back:?}");
    }
    walk.has_rows(
        &pages,
        &[
            "axle moved, forward is plus",
            "frame above the axle, change",
            "driveshaft at ride height",
            "bump stop gap",
            "pinion angle",
            "rise, rear",
        ],
    );
    assert!(walk.metric && walk.paired > 5, "{} values were told in two units", walk.paired);
}

/// A sheet with what the second person read, taken in by whoever took the first reading.
fn a_second_reading_is_taken_in_by_somebody_else(walk: &mut Walk) {
    let number = walk.number.clone();
    let entries = walk.entries();
    let first = entries.iter().rfind(|e| e["what"]["reading"]["reading"] == "tube-length").unwrap();
    let (taker, reading) = (first["by"]["id"].as_str().unwrap(), &first["what"]["reading"]);
    let [text, tool] = ["text", "tool"].map(|key| reading[key].as_str().unwrap());
    assert_eq!(walk.run(1, &["sheet", &number, "--out", "second.csv"]).code, 0);
    let path = walk.folder.path().join("second.csv");
    let written = std::fs::read(&path).unwrap();
    let mut reader = csv::Reader::from_reader(written.as_slice());
    let head = reader.headers().unwrap().clone();
    let column =
        |name: &str| head.iter().position(|h| h == name).unwrap_or_else(|| panic!("{name}: {head:?}"));
    let row = reader.records().map(Result::unwrap).find(|row| row[0].ends_with(":tube-again")).unwrap();
    let mut cells: Vec<&str> = row.iter().collect();
    (cells[column("value")], cells[column("tool")], cells[column("by")]) = (text, tool, "IO");
    let mut writer = csv::Writer::from_path(&path).unwrap();
    writer.write_record(&head).unwrap();
    writer.write_record(&cells).unwrap();
    drop(writer);
    let said = walk.run(1, &["sheet", &number, "--take", "second.csv", "--by", taker, "--enter"]);
    let words = format!("{}{}", said.out, said.err);
    assert!(words.contains("can't take in"), "{words}");
    assert_eq!(walk.entries().len(), entries.len(), "{words}");
}

#[test]
fn the_crew_cab_can_be_done() {
    let mut walk = Walk::of("crew-cab");
    assert!(walk.until_the_box(":tube-again") > 10);
    a_second_reading_is_taken_in_by_somebody_else(&mut walk);
    assert!(walk.until_the_end() > 100);
    let pages = walk.customer();
    walk.has_rows(
        &pages,
        &[
            "driveshaft at ride height",
            "driveshaft, length welded",
            "driveshaft, runout",
            "yokes out of phase",
            "slip joint, stroke",
            "spline engaged in droop",
        ],
    );
    // The gap at the stop is what it was read as, not the length of a shaft at full bump.
    let gap = pages.outcome.rows.iter().find(|row| row.what == "bump stop gap").unwrap();
    assert_eq!(gap.place.as_ref().unwrap().operation, "rear/trial-travel");
}

/// The brush truck is gone through in `record_story`, with what was found on the way.
#[test]
fn every_demonstration_has_its_walk() {
    let here = include_str!("demo_walks.rs");
    for job in std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs")).unwrap() {
        let path = job.unwrap().path();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let is_job = path.extension().is_some_and(|e| e == "toml") && name != "shop";
        assert!(
            !is_job || name == "brush-truck" || here.contains(&format!("Walk::of(\"{name}\")")),
            "{name} is walked by no test"
        );
    }
}

/// The pump trailer with a second axle like its own, and no distance from the coupler that
/// could be of one alone.
fn of_two_axles(text: &str) -> String {
    let mut job: toml::Table = text.parse().unwrap();
    job["unit"].as_table_mut().unwrap().remove("wheelbase");
    job["job"]["number"] = "TW-3001".into();
    for work in job["work"].as_array_mut().unwrap() {
        work["on"] = vec!["trailer", "rear"].into();
    }
    let second = |row: &toml::Value, id: String| {
        let mut row = row.clone();
        row["id"] = id.into();
        row
    };
    let axles = job["axle"].as_array_mut().unwrap();
    let mut rear = second(&axles[0], "rear".to_owned());
    (rear["name"], axles[0]["name"]) = ("rear axle".into(), "front axle".into());
    axles.push(rear);
    for key in ["joint", "fastener"] {
        let all = job[key].as_array_mut().unwrap();
        let own = all.iter().filter(|row| row["on"].as_str() == Some("trailer"));
        let own = own.filter(|row| row["use"].as_str() != Some("coupling"));
        let more: Vec<toml::Value> = own
            .map(|row| {
                let mut row = second(row, format!("{}1", row["id"].as_str().unwrap()));
                row["on"] = "rear".into();
                row
            })
            .collect();
        all.extend(more);
    }
    job.to_string()
}

#[test]
fn two_axles_have_rows_of_their_own() {
    let mut walk = Walk::changed("pump-trailer", of_two_axles);
    assert!(walk.until_the_end() > 120);
    let pages = walk.customer();
    walk.has_rows(&pages, &["axle bow, up (front axle)", "axle bow, up (rear axle)"]);
    for name in ["frame above the axle, lift", "total toe", "diagonals differ by", "axle bow, up"] {
        let of = |axle: &str| {
            let what = format!("{name} ({axle})");
            let row = pages.outcome.rows.iter().find(|row| row.what == what);
            row.unwrap_or_else(|| panic!("no {what}: {:#?}", pages.outcome.rows)).clone()
        };
        let (front, rear) = (of("front axle"), of("rear axle"));
        let place = |row: &OutcomeRow| row.place.clone().unwrap();
        assert_ne!(place(&front), place(&rear), "{name}");
        assert_ne!(front.operation, rear.operation, "{name}");
    }
}
