//! Parts and metals nobody welds as the figures reckon it, and axles one number can't stand
//! for. What is wrong with each is common practice of the trade, or the standard named beside
//! it.

use serde_json::Value as Json;

use crate::ready::{stopped_by, with};
use crate::support::bench::Bench;

fn found<'a>(said: &'a Json, code: &str) -> Vec<&'a Json> {
    said["problems"].as_array().unwrap().iter().filter(|p| p["code"] == code).collect()
}

fn text<'a>(problem: &'a Json, field: &str) -> &'a str {
    problem[field].as_str().unwrap()
}

/// What `check` says of the frame with the metals of its first joint changed, each with
/// numbers of its own as if it were a steel.
fn of_metal(edits: &[(&str, &str)]) -> Json {
    let bench = Bench::small();
    let job = bench.text("job.toml");
    let at = job.find("[[joint]]").unwrap();
    let (head, rest) = job.split_at(at);
    let (joint, more) = rest[2..].split_once("\n[[").map_or((rest, ""), |(j, _)| rest.split_at(j.len() + 3));
    let mut joint = joint.to_owned();
    for (key, value) in edits {
        let old = joint.lines().find(|l| l.starts_with(&format!("{key} = "))).map(str::to_owned);
        let new = format!("{key} = \"{value}\"");
        match old {
            Some(old) => joint = joint.replace(&old, &new),
            None => joint = joint.replacen("[[joint]]\n", &format!("[[joint]]\n{new}\n"), 1),
        }
    }
    bench.write("job.toml", format!("{head}{joint}{more}"));
    bench.json(&["check", "job.toml", "--json"])
}

#[test]
fn numbers_make_no_steel_of_another_metal() {
    // EN 573-3, EN 10088-1, AWS A5.10 (from memory): how these are named. Aluminium and iron
    // make brittle compounds: no arc joins them (common practice).
    let own = [("cet", "0.30 %"), ("values_from", "certificate, heat 4711")];
    for (metal, words) in [
        ("6061-T6", "aluminium"),
        ("EN AW-6082 T6", "aluminium"),
        ("1.4301", "stainless steel"),
        ("AISI 304L", "stainless steel"),
    ] {
        let said = of_metal(&[&own[..], &[("other_steel", metal)]].concat());
        let [told] = found(&said, "J283")[..] else { panic!("{metal}: {said:#}") };
        assert!(
            text(told, "message").contains(words) && text(told, "key").ends_with("other_steel"),
            "{told:#}"
        );
        assert_eq!(said["state"].as_str().unwrap_or("invalid"), "invalid", "{metal}");
    }
    let filler = [
        ("weld_strength", "390 MPa"),
        ("hydrogen", "5 ml/100g"),
        ("values_from", "sheet"),
        ("filler", "ER4043"),
    ];
    let said = of_metal(&filler);
    assert!(found(&said, "J283").iter().any(|p| text(p, "key").ends_with("filler")), "{said:#}");
}

#[test]
fn iron_is_welded_by_a_procedure_of_its_own() {
    // Common practice: no carbon equivalent holds for iron, a procedure is qualified on it.
    let said = of_metal(&[("other_steel", "nodular iron")]);
    let [told] = found(&said, "J283")[..] else { panic!("{said:#}") };
    assert!(told["help"].to_string().contains("wps = "), "{told:#}");
    let said = of_metal(&[("other_steel", "nodular iron"), ("wps", "WPS-IRON")]);
    assert!(found(&said, "J283").is_empty(), "{said:#}");
}

#[test]
fn what_steers_is_replaced_and_never_welded() {
    // Common practice, and what the procedures say of the linkage: made parts only.
    let link = |title: &str| {
        format!(
            "[[weldment]]\nid = \"link\"\n\n[[work]]\nprocedure = \"weldment\"\non = [\"link\"]\n\n[[joint]]\nid = \"J77\"\ntitle = \"{title}\"\non = \"link\"\nuse = \"assembly\"\nweld = \"fillet\"\nform = \"lap\"\nthickness = \"1/4 in\"\nother_thickness = \"1/4 in\"\n"
        )
    };
    with("J285", &link("sleeve over the drag link"));
    with("J285", &link("Tie rods, left"));
    with("J285", &link("cracked leaf spring"));
    let bench = Bench::new();
    bench.write("job.toml", format!("{}\n{}", bench.text("job.toml"), link("drag link bracket to plate")));
    let said = bench.json(&["check", "job.toml", "--json"]);
    assert!(found(&said, "J285").is_empty(), "{said:#}");
}

#[test]
fn one_distance_from_the_coupler_is_no_place_of_several_axles() {
    let bench = Bench::trailer();
    let job = bench.text("job.toml");
    let second = "[[axle]]\nid = \"second\"\ntrailer = true\n[axle.tube]\nod = \"2.375 in\"\n";
    let both = job.replace("on = [\"trailer\"]", "on = [\"trailer\", \"second\"]");
    bench.write("job.toml", format!("{both}\n{second}"));
    let said = bench.json(&["check", "job.toml", "--json"]);
    let [told] = found(&said, "J284")[..] else { panic!("{said:#}") };
    assert_eq!(text(told, "key"), "unit.wheelbase", "{told:#}");
    // One that stays as it is needs no mark.
    bench.write("job.toml", format!("{job}\n{second}"));
    let said = bench.json(&["check", "job.toml", "--json"]);
    assert!(found(&said, "J284").is_empty(), "{said:#}");
}

#[test]
fn a_second_rear_axle_is_not_proposed_as_the_front_one() {
    let rear = |steered: bool| {
        let bench = Bench::new();
        let more = format!(
            "[[axle]]\nid = \"r1\"\nend = \"rear\"\nsteered = {steered}\n[[axle]]\nid = \"r2\"\nend = \"rear\"\nsteered = {steered}\n"
        );
        bench.write("job.toml", format!("{}\n{more}", bench.text("job.toml")));
        bench.json(&["check", "job.toml", "--json"])
    };
    let said = rear(false);
    let told = found(&said, "J161");
    assert!(told.len() == 2 && told.iter().all(|p| text(p, "example").is_empty()), "{told:#?}");
    assert!(told.iter().all(|p| p["help"].to_string().contains("a job file of their own")), "{told:#?}");
    let said = rear(true);
    assert!(found(&said, "J161").iter().all(|p| text(p, "example") == "end = \"front\""), "{said:#}");
}

#[test]
fn no_smaller_fillet_is_proposed_where_none_is_allowed() {
    // AWS D1.1:2020, 5.4.2.9: along a rolled edge 1/4 in and thicker, 1/16 in below the
    // thickness; table 7.7: 3/16 in at least. A lap of 6 mm under a load that comes and goes
    // takes neither.
    stopped_by("F021", |bench| {
        let lap = "[[weldment]]\nid = \"rail\"\n\n[[work]]\nprocedure = \"weldment\"\non = [\"rail\"]\n\n[[joint]]\nid = \"J77\"\ntitle = \"plate to rail\"\non = \"rail\"\nuse = \"assembly\"\nsafety = \"suspension\"\nweld = \"fillet\"\nform = \"lap\"\nthickness = \"6 mm\"\nother_thickness = \"6 mm\"\nsize = \"5 mm\"\n";
        let metric = bench.text("job.toml").replace("units = \"inch\"", "units = \"metric\"");
        bench.write("job.toml", format!("{metric}\n{lap}"));
        let said = bench.json(&["check", "job.toml", "--json"]);
        let of_joint = |p: &&&Json| text(p, "message").contains("J77");
        let all = found(&said, "F021");
        let told = all.iter().find(of_joint).unwrap_or_else(|| panic!("{said:#}"));
        assert!(text(told, "message").contains("larger than the edge takes"), "{told:#}");
        assert!(!text(told, "expected").contains("smaller"), "{told:#}");
        assert!(text(told, "key").ends_with(".size"), "where the value stands: {told:#}");
    });
}
