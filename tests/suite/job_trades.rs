//! Jobs of other kinds than the demonstration's, as a shop lead writes them: a metric rear
//! axle, a frame of thin tube, knuckles alone, work of the job's own. What is wrong with each
//! is common practice of the trade, or the standard named beside it.

use serde_json::Value as Json;
use tackwright::reference::{electrode, metal, process, thread};

use crate::ready::{checked, stopped_by};
use crate::support::bench::Bench;

fn found<'a>(said: &'a Json, code: &str) -> Vec<&'a Json> {
    said["problems"].as_array().unwrap().iter().filter(|p| p["code"] == code).collect()
}

fn text<'a>(problem: &'a Json, field: &str) -> &'a str {
    problem[field].as_str().unwrap()
}

/// What `check` says of one group of changes to the demonstration job.
fn told(edits: &[(&str, &str)]) -> Json {
    let bench = Bench::new();
    for (from, to) in edits {
        bench.edit("job.toml", from, to);
    }
    bench.json(&["check", "job.toml", "--json"])
}

#[test]
fn steels_are_known_as_they_are_ordered() {
    // EN 10025-2, EN 10210-1, EN 10219-1, EN 10149-2, EN 10028-3, EN 10305-1; ASTM A500,
    // A572, A709, A519 (designations from memory).
    for (ordered, known) in [
        ("S355J2+N", "S355J2"),
        ("S235JR+AR", "S235"),
        ("S355J2H", "S355J0H"),
        ("S355J0H", "S355J0H"),
        ("S355J2H+N", "S355J0H"),
        ("S275J0H", "S275J0H"),
        ("S235JRH", "S235JRH"),
        ("P355NH", "P355N"),
        ("E355+N", "E355"),
        ("S355MC", "S355MC"),
        ("A572-50", "A572-50"),
        ("ASTM A572 Gr. 50", "A572-50"),
        ("A709 Gr 50", "A572-50"),
        ("A500 B", ""),
        ("A500 Grade B", "A500-B"),
        ("A500 Gr. C", "A500-C"),
        ("DOM 1020", "1020 DOM"),
        ("A519 4130", "4130"),
        // Quenched and tempered is another steel, and so is another strength.
        ("S355J2+QT", ""),
        ("S356J2", ""),
        ("A514", ""),
    ] {
        // A500-B is called so with and without its hyphen.
        let known = if ordered == "A500 B" { "A500-B" } else { known };
        assert_eq!(metal::find(ordered).map_or("", |s| s.name), known, "{ordered}");
    }
    // EN 10210-1 table A.1: carbon of S355J0H up to 0.22 %, of S355J2 plate (EN 10025-2
    // table 2) up to 0.20 %, from memory: a hollow section is not its plate.
    let carbon = |name: &str| metal::find(name).unwrap().maximum().unwrap().get(metal::Element::C);
    assert!(carbon("S355J2H") > carbon("S355J2+N"));
}

#[test]
fn a_steel_is_no_filler_and_no_other_steel() {
    // ISO 14171-A: behind strength and impact symbol stands the kind of the flux.
    assert!(electrode::find("S 42 4 AB S2").is_some());
    for steel in ["S355J2", "S355J2+N", "S355J2H", "S460N"] {
        assert!(electrode::find(steel).is_none(), "{steel}");
    }
    let said = told(&[("steel = \"A36\"", "steel = \"S355J9\"")]);
    let problem = found(&said, "J171")[0];
    assert_eq!(text(problem, "example"), "steel = \"…\"", "{problem:#}");
    assert!(problem["help"].to_string().contains("did you mean"), "{problem:#}");
    assert!(!problem["help"].to_string().contains("is a filler"), "{problem:#}");
    // Two digits swapped are a slip of the fingers.
    let said = told(&[("steel = \"A36\"", "steel = \"A63\"")]);
    assert_eq!(text(found(&said, "J171")[0], "example"), "steel = \"A36\"");
}

#[test]
fn a_coat_is_no_part_of_a_steel_and_a514_is_several() {
    let said = told(&[("steel = \"A36\"", "steel = \"A500 Gr. B galvanized\"")]);
    let problem = found(&said, "J171")[0];
    assert_eq!(text(problem, "example"), "steel = \"A500 Gr. B\"", "{problem:#}");
    assert!(problem["help"].to_string().contains("off before the arc"), "{problem:#}");
    let said = told(&[("steel = \"A36\"", "steel = \"A514\"")]);
    assert!(found(&said, "J171")[0]["help"].to_string().contains("several analyses"));
}

#[test]
fn threads_processes_and_gases_are_read_as_europe_writes_them() {
    assert_eq!(thread::find("M14x1,5").map(|t| t.name), thread::find("M14x1.5").map(|t| t.name));
    assert_eq!(process::find("flux core").map(|p| p.number), Some("136"));
    assert!(process::words().iter().all(|w| !w.contains("12in")), "{:?}", process::words());
    // ISO 14175 groups: the digits are no shares of the gas.
    for gas in ["M21", "ISO 14175 - M21 - ArC - 18", "C1", "I1"] {
        let said = told(&[("gas = \"75Ar/25CO2\"", &format!("gas = \"{gas}\""))]);
        assert!(found(&said, "J263").is_empty(), "{gas}");
    }
    // No gas has less than none of a part.
    for gas in ["75Ar/15CO2", "-75Ar/25CO2", "75Ar/-25CO2", "75Ar/"] {
        let said = told(&[("gas = \"75Ar/25CO2\"", &format!("gas = \"{gas}\""))]);
        assert_eq!(found(&said, "J263").len(), 1, "{gas}");
    }
}

#[test]
fn a_fillet_no_part_can_carry_is_told_once_and_no_size_is_proposed() {
    // AWS D1.1:2020 table 7.7: at least 3/16 in under cyclic load; a sheet of 1/8 in takes
    // no more than 1/8 in.
    let bench = Bench::small();
    let text = bench.text("job.toml");
    let first = text.find("[[joint]]").unwrap();
    let (head, rest) = text.split_at(first);
    let other = rest.find("\n[[").map_or("", |i| &rest[i..]);
    let joint = "[[joint]]\nid = \"J1\"\ntitle = \"thin tube\"\non = \"hoist-frame\"\nuse = \"assembly\"\nweld = \"fillet\"\nthickness = \"1/8 in\"\nother_thickness = \"1/8 in\"\nsize = \"1/8 in\"\n";
    bench.write("job.toml", format!("{head}{joint}{other}"));
    let said = bench.json(&["check", "job.toml", "--json"]);
    let of: Vec<&Json> = found(&said, "F021").into_iter().filter(|p| text_has(p, "joint J1")).collect();
    assert_eq!(of.len(), 1, "{said:#}");
    assert!(text_has(of[0], "larger than the edge takes"), "{of:#?}");
    assert!(of[0]["expected"].as_str().unwrap().contains("AWS D1.1 static"), "{of:#?}");
    // The way is printed where nothing can be written for somebody.
    let out = bench.run(&["check", "job.toml"]).out;
    assert!(out.contains("expected: where the load is static"), "{out}");
}

fn text_has(problem: &Json, words: &str) -> bool {
    problem["message"].as_str().unwrap().contains(words)
}

#[test]
fn a_metric_job_is_answered_in_its_units() {
    let metric = ("units = \"inch\"", "units = \"metric\"");
    let said = told(&[metric, ("size = \"1/4 in\"", "size = \"2 mm\"")]);
    let least = found(&said, "F021").into_iter().find(|p| text(p, "key") == "joint[0].size").unwrap();
    assert!(text(least, "example").ends_with(" mm\""), "{least:#}");
    let said = told(&[metric, ("other_thickness = \"0.281 in\"", "other_thickness = \"12 mm\"")]);
    let told = found(&said, "J187");
    assert!(told.iter().any(|p| text(p, "example").ends_with(" mm\"")), "{told:#?}");
    assert!(told.iter().all(|p| !text(p, "example").ends_with(" in\"")), "{told:#?}");
}

/// An operation of the job's own on the front axle.
fn own(id: &str, verb: &str, more: &str) -> String {
    format!(
        "\n[[operation]]\nid = \"{id}\"\nverb = \"{verb}\"\ntitle = \"Bracket\"\non = \"front\"\nstation = \"weld bay\"\n{more}\n"
    )
}

const BRACKET: &str = "\n[[joint]]\nid = \"J9\"\ntitle = \"bracket to tube\"\non = \"front\"\nuse = \"bracket\"\nsafety = \"brake\"\nweld = \"fillet\"\nthickness = \"1/4 in\"\nother_thickness = \"0.281 in\"\nprocess = \"GMAW\"\nfiller = \"ER70S-6\"\nposition = \"2F\"\n";

/// The demonstration job with a bracket of its own, accepted where `place` says.
fn bracket(bench: &Bench, place: &str) {
    let weld = own(
        "weld-own",
        "weld",
        "joints = \"bracket\"\nstep = [\"Weld it.\"]\nafter = [\"verify-pads\"]\nbefore = [\"hot-work-end\"]\nhold = \"Clean and close.\"\nhold_before = true\nhold_rule = \"fit-up\"\nhold_role = \"inspector\"",
    );
    let look = own(
        "accept-own",
        "inspect",
        &format!(
            "act = [\"accept\"]\njoints = \"bracket\"\nstep = [\"Look at the weld.\"]\nrole = \"inspector\"\nhold = \"No crack.\"\nhold_rule = \"acceptance\"\nhold_role = \"inspector\"\nafter = [\"weld-own\"]\n{place}"
        ),
    );
    bench.write("job.toml", format!("{}{BRACKET}{weld}{look}", bench.text("job.toml")));
}

#[test]
fn a_weld_is_accepted_while_a_rejected_one_can_be_made_again() {
    // Common practice: repair welds are made under the same card, before bearings and
    // seals are back and before the unit runs.
    stopped_by("J280", |bench| bracket(bench, ""));
    let (state, stops, said) = checked(|bench| bracket(bench, "before = [\"hot-work-end\"]"));
    assert_eq!(state, "ready", "{stops:?} {said:#}");
    let (_, _, said) = checked(|bench| bracket(bench, ""));
    let late = found(&said, "J280")[0];
    assert_eq!(text(late, "example"), "before = [\"hot-work-end\"]", "{late:#}");
    // No procedure says where the job's own operation stands.
    let crossed = |p: &&Json| text(p, "message").contains("'Bracket' (front) is done before");
    assert!(!found(&said, "R108").iter().any(crossed), "{said:#}");
}

#[test]
fn a_wrong_operation_is_answered_with_the_right_ones() {
    // The route can't be looked up while the job names an operation it has not.
    let (_, _, said) = checked(|bench| bracket(bench, "before = [\"line-fit\"]"));
    let wrong = found(&said, "J206")[0];
    assert!(text(wrong, "expected").contains("brake-lines-on"), "{wrong:#}");
    let (_, _, said) = checked(|bench| bracket(bench, "before = [\"xyzzy\"]"));
    assert!(text(found(&said, "J206")[0], "expected").contains("hot-work-end"));
}

#[test]
fn a_proposed_table_has_an_id_of_its_own() {
    let (_, _, said) = checked(|bench| {
        let weld =
            own("weld-own", "weld", "joints = \"bracket\"\nstep = [\"Weld it.\"]\nafter = [\"verify-pads\"]");
        bench.write("job.toml", format!("{}{weld}", bench.text("job.toml")));
    });
    let lacks = found(&said, "J209")[0];
    let bench = Bench::new();
    let id = text(lacks, "example").split('"').nth(1).unwrap().to_owned();
    assert!(!bench.text("job.toml").contains(&format!("id = \"{id}\"")), "{lacks:#}");
}

#[test]
fn what_is_stated_is_not_asked_again() {
    // Knuckles alone: the springs stay, and nothing states their seats.
    let bench = Bench::new();
    let file = bench.run(&["new", "knuckle-reindex"]).out;
    let file = super::blank_jobs::filled(&file)
        .replace("seat_old =", "# seat_old =")
        .replace("seat_new =", "# seat_new =");
    bench.write("job.toml", file);
    let out = bench.run(&["check", "job.toml"]).out;
    // Nobody sets the pinion, so no lift and no seat is asked for it.
    assert!(out.contains("FIGURES THAT MATTER") && !out.contains("turn of the housing"), "{out}");
    assert!(!out.contains("unit.other_axle_lift") && !out.contains("spring.seat_old"), "{out}");
}

#[test]
fn a_finder_nobody_stated_is_good_only_as_it_was_reckoned() {
    let verdict = |bench: &Bench| {
        let out = bench.run(&["check", "job.toml"]).out;
        out.lines().find(|l| l.contains("is the angle finder good enough")).unwrap().to_owned()
    };
    let bench = Bench::new();
    assert!(verdict(&bench).trim_end().ends_with("good enough"));
    let text = bench.text("job.toml");
    let unstated: Vec<&str> = text.lines().filter(|l| !l.starts_with("finder_")).collect();
    bench.write("job.toml", unstated.join("\n"));
    assert!(verdict(&bench).contains("good enough if it reads to"), "{}", verdict(&bench));
}

#[test]
fn what_keeps_a_job_from_being_used_is_told_first() {
    let bench = Bench::new();
    bench.edit("job.toml", "size = \"1/4 in\"", "size = \"1/16 in\"");
    bench.write(
        "job.toml",
        format!(
            "{}\n[[waiver]]\nrule = \"no-such\"\nby = \"LO\"\nreason = \"x\"\ndate = 2026-03-02\n",
            bench.text("job.toml")
        ),
    );
    let err = bench.run(&["check", "job.toml"]).err;
    let at = |word: &str| err.find(word);
    let (error, stop) = (at("error["), at("stop["));
    assert!(error.is_some() && stop.is_none_or(|stop| error < Some(stop)), "{err}");
    assert!(at("warning[").is_none_or(|w| error < Some(w)), "{err}");
}

#[test]
fn the_axles_of_a_trailer_are_lifted_alike() {
    // Common practice: all axles of a group get the same change, or the load is not shared.
    let with = |second: &str| {
        let bench = Bench::trailer();
        bench.write("job.toml", format!("{}\n{second}", bench.text("job.toml")));
        bench.json(&["check", "job.toml", "--json"])
    };
    let uneven = |said: &Json| found(said, "F021").iter().any(|p| text_has(p, "one axle would carry"));
    let left_alone = "[[axle]]\nid = \"second\"\ntrailer = true\n[axle.tube]\nod = \"3 in\"\n";
    let said = with(left_alone);
    assert!(uneven(&said), "{said:#}");
    let sure = "[[axle]]\nid = \"second\"\ntrailer = true\nsure = \"it hangs on the first by its own beam\"\n[axle.tube]\nod = \"3 in\"\n";
    let said = with(sure);
    let stops = found(&said, "F021").iter().any(|p| p["severity"] == "stop");
    assert!(!stops, "{said:#}");
}

#[test]
fn a_shaft_is_asked_only_for_what_is_open() {
    let bench = Bench::new();
    let file = super::blank_jobs::filled(&bench.run(&["new", "driveshaft"]).out);
    let file: Vec<&str> =
        file.lines().filter(|l| !l.starts_with("engagement") && !l.starts_with("bump_room")).collect();
    bench.write("job.toml", file.join("\n"));
    let out = bench.run(&["check", "job.toml"]).out;
    assert!(out.contains("the spline at droop still needs driveshaft.engagement"), "{out}");
    let line = out.lines().find(|l| l.contains("the spline at droop")).unwrap();
    assert!(!line.contains("driveshaft.length") && !line.contains("driveshaft.extended"), "{line}");
}

#[test]
fn an_angle_of_a_quarter_degree_is_printed_as_stated() {
    // A target of 5.25 deg, rounded to 5.3 deg, moves every row of the pencil table.
    let bench = Bench::new();
    bench.edit("job.toml", "caster = \"6.0 deg\"", "caster = \"6.25 deg\"");
    let issued = bench.run(&["issue", "job.toml", "--draft", "--out", "out"]);
    assert_eq!(issued.code, 0, "{}", issued.err);
    let papers = bench.read("out/TW-2041-A-draft-work-papers.pdf");
    let pages = crate::support::pdf::pages(&papers);
    let text: String = pages.iter().map(|page| page.text()).collect();
    for stated in ["target=6.25°", "caster6.25°"] {
        assert!(text.contains(stated), "{stated}");
    }
    for rounded in ["caster6.3°", "after6.3°", "target6.3°"] {
        assert!(!text.contains(rounded), "{rounded}");
    }
}

/// The demonstration's knuckles pressed over the tube, their joints as `weld` says.
fn pressed_over(weld: &str) -> Bench {
    let bench = Bench::new();
    let text = bench.text("job.toml");
    let of_cut = [
        "groove_offset",
        "walls_",
        "gauge_limit",
        "setting_limit",
        "wobble",
        "reserve",
        "kerf",
        "bevel",
        "backing",
    ];
    let kept = text.lines().filter(|l| !of_cut.iter().any(|key| l.starts_with(key)));
    let text = kept.collect::<Vec<_>>().join("\n");
    bench.write("job.toml", text);
    bench.edit(
        "job.toml",
        "construction = \"spigot in the tube\"",
        "construction = \"knuckle over the tube\"",
    );
    if !weld.is_empty() {
        let text = bench.text("job.toml").replace("weld = \"bevel-groove\"\nform = \"butt\"", weld);
        bench.write("job.toml", text);
    }
    bench
}

#[test]
fn a_knuckle_over_the_tube_is_cut_through_its_weld_on_paper_too() {
    // Common practice: what is pressed over is freed by its own weld; the tube under it
    // carries the knuckle again.
    let bench = pressed_over("");
    let said = bench.json(&["check", "job.toml", "--json"]);
    assert!(!found(&said, "J282").is_empty(), "{said:#}");
    let bench =
        pressed_over("weld = \"fillet\"\nform = \"lap\"\nsure = \"the casting is as thick as the tube\"");
    let said = bench.json(&["check", "job.toml", "--json"]);
    assert!(found(&said, "J282").is_empty(), "{said:#}");
    let shown = bench.run(&["issue", "job.toml", "--draft", "--out", "out"]);
    assert_eq!(shown.code, 0, "{}", shown.err);
    let pages = crate::support::pdf::pages(&bench.read("out/TW-2041-A-draft.pdf"));
    let text: String = pages.iter().map(|page| page.text()).collect();
    for words in ["throughtheseamweldattheedge", "Sizetheweldthatiscut", "Toodeepcutsthetube"] {
        assert!(text.contains(words), "{words}");
    }
    for words in ["Theseamisnevercut", "wallatfourplaces", "Toodeepcutsthesleeve", "Sleevesandtheirfit"] {
        assert!(!text.contains(words), "{words}");
    }
}
