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

#[test]
fn the_forest_carrier_can_be_done() {
    let mut walk = Walk::of("forest-carrier");
    assert!(walk.until_the_end() > 60);
    let pages = walk.customer();
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

#[test]
fn the_crew_cab_can_be_done() {
    let mut walk = Walk::of("crew-cab");
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
