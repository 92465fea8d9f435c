//! Limits on paper rest on what they concern: a side's depth on its own walls,
//! angles on the attitude of the unit, a seam on every load case; what a plan
//! passes is held before the first cut.
//!
//! Expected values are worked here by right triangles and moments, outside the
//! program's own figures.

use tackwright::app::plan::{Failure, load, plan};
use tackwright::diagnostic::Severity;
use tackwright::job;
use tackwright::procedure::figures::{self, JobFigures, Owner, Side};
use tackwright::quantity::Quantity;
use tackwright::shop;

use super::support::desk::{Desk, check, issue, refused, shipped};

const JOB: &str = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/brush-truck.toml"));
const INCH: f64 = 0.0254;

/// The job with one passage replaced.
fn edit(from: &str, to: &str) -> String {
    assert!(JOB.contains(from), "the job has no {from}");
    JOB.replace(from, to)
}

/// Figures of a job text, with the demonstration shop book beside it.
fn computed(text: &str) -> JobFigures {
    let (job, report) = job::load("job.toml", text);
    assert!(!report.has_errors(), "{report:#?}");
    let (book, _) = shop::load("shop.toml", shop::DEMO);
    figures::compute(&job.unwrap(), book.as_ref())
}

fn front() -> Owner {
    Owner::Component("front".to_owned())
}

fn value(sheet: &JobFigures, owner: &Owner, name: &str) -> f64 {
    let figure = sheet.named(owner, name).unwrap_or_else(|| panic!("no {name} of {owner:?}"));
    figure.value.quantity().map(Quantity::si).unwrap()
}

fn word(sheet: &JobFigures, owner: &Owner, name: &str) -> String {
    sheet.named(owner, name).unwrap_or_else(|| panic!("no {name}")).value.show()
}

fn close(what: &str, found: f64, hand: f64, within: f64) {
    assert!((found - hand).abs() <= within, "{what}: {found}, by hand {hand}");
}

fn concerns(sheet: &JobFigures) -> Vec<&'static str> {
    sheet.concerns.iter().map(|c| c.name).collect()
}

#[test]
fn a_depth_comes_from_its_own_sides_walls_or_is_not_there() {
    let unread =
        computed(&edit("walls_left = [\"0.279 in\", \"0.281 in\", \"0.276 in\", \"0.280 in\"]\n", ""));
    let side = |side| Owner::Side("front".to_owned(), side);
    assert!(unread.named(&side(Side::Left), "depth_stop").is_none());
    assert!(unread.named(&side(Side::Right), "depth_stop").is_some());
    // One side says nothing of both.
    for name in ["depth_stop", "depth_never", "wall_least", "ligament"] {
        assert!(unread.named(&front(), name).is_none(), "{name}");
    }
    // Unread walls are read on the traveler: the job itself is ready.
    assert!(unread.obstacles.is_empty());

    let both = computed(JOB);
    let (left, right) = (side(Side::Left), side(Side::Right));
    assert!(value(&both, &left, "depth_stop") < value(&both, &right, "depth_stop"));
    close("least wall left", value(&both, &left, "wall_least"), 0.276 * INCH, 1e-9);
    close("least wall right", value(&both, &right, "wall_least"), 0.279 * INCH, 1e-9);
    close("never", value(&both, &front(), "depth_never"), 0.276 * INCH, 1e-9);
}

#[test]
fn walls_that_can_not_be_true_stop_the_issue() {
    // 0.5 in on a 0.281 in tube is tube and sleeve together.
    let text = edit("walls_left = [\"0.279 in\"", "walls_left = [\"0.500 in\"");
    let sheet = computed(&text);
    assert!(
        sheet.obstacles.iter().any(|o| o.why.contains("above the nominal wall")),
        "{:?}",
        sheet.obstacles
    );
    assert!(sheet.named(&front(), "depth_stop").is_none());
    let shelf = shipped();
    let desk = Desk::with("job.toml", &text);
    let loaded = load(&desk, "job.toml".as_ref(), &shelf).unwrap();
    let planned = plan(&loaded, &shelf).unwrap();
    let Err(failure) = planned.ready() else { panic!("a doubtful wall is cut") };
    let problems = refused(failure);
    assert_eq!(problems.len(), 1, "{problems:#?}");
    assert_eq!(
        (problems[0]["severity"].as_str(), problems[0]["code"].as_str()),
        (Some("stop"), Some("F021"))
    );
    assert!(problems[0]["place"]["line"].as_u64().unwrap() > 1);
}

#[test]
fn the_strictest_of_joint_and_procedure_is_printed_and_named() {
    let sheet = computed(JOB);
    let w1 = Owner::Joint("J1".to_owned());
    // WPS-03 of the book asks for 70 degF: J4 says nothing, J1 asks for 100 degF.
    let w4 = Owner::Joint("J4".to_owned());
    close("preheat", value(&sheet, &w4, "preheat"), (70.0 - 32.0) / 1.8 + 273.15, 1e-6);
    assert!(word(&sheet, &w4, "preheat_method").contains("WPS-03"));
    close("preheat", value(&sheet, &w1, "preheat"), (100.0 - 32.0) / 1.8 + 273.15, 1e-6);
    assert!(word(&sheet, &w1, "preheat_method").contains("joint"));
    // The joint's 350 degF is below what the procedure allows.
    close("interpass", value(&sheet, &w1, "interpass_max"), (350.0 - 32.0) / 1.8 + 273.15, 1e-6);
    assert!(word(&sheet, &w1, "interpass_from").contains("joint"));
    let hot = computed(&edit("interpass_max = \"350 degF\"", "interpass_max = \"750 degF\""));
    assert!(value(&hot, &w1, "interpass_max") < (750.0 - 32.0) / 1.8 + 273.15);
    assert!(word(&hot, &w1, "interpass_from").contains("WPS-03"));
    // The joint's 250 degF is above WPS-05's own.
    let w2 = Owner::Joint("J2".to_owned());
    assert!(value(&sheet, &w2, "preheat") >= (250.0 - 32.0) / 1.8 + 273.15 - 1e-6);
    // AWS D1.1:2020, table 7.7: 3/4 in plate and thicker asks for 5/16 in, to 3/4 in for 1/4 in.
    let small = computed(&edit("size = \"1/4 in\"", "size = \"1/8 in\""));
    assert!(value(&small, &w1, "size") > 0.125 * INCH * 1.4, "the code's least fillet governs");
    assert!(word(&small, &w1, "size_from").contains("AWS D1.1"));
    assert!(word(&sheet, &w1, "size_from").contains("joint"));
}

#[test]
fn a_lift_at_one_end_pitches_the_unit() {
    // Springs that stay on their side: the lift is the seat, 6 in by hand.
    let text = edit(
        "seat_old = \"1/4 in\"\nseat_new = \"1/2 in\"",
        "seat_old = \"0 in\"\nseat_new = \"1/2 in\"\narch_change = \"0.0 in\"",
    )
    .replace("other_axle_lift = \"6 in\"", "other_axle_lift = \"0 in\"");
    let sheet = computed(&text);
    let lift = value(&sheet, &front(), "lift");
    close("pitch", value(&sheet, &front(), "ride_pitch"), (lift / (118.0 * INCH)).atan(), 1e-12);
    // A point 33.5 in behind the front axle rises by its share of 118 in.
    close("case", value(&sheet, &front(), "case_rise"), lift * (1.0 - 33.5 / 118.0), 1e-12);
    // 6 in over 118 in is 2.9 deg, and 4.3 in of it reach the case.
    close("2.9 deg", (6.0_f64 / 118.0).atan().to_degrees(), 2.9, 0.02);
    close("4.3 in", 6.0 * (1.0 - 33.5 / 118.0), 4.3, 0.01);
    // The output falls toward a front axle less when the nose goes up.
    let pitch = value(&sheet, &front(), "ride_pitch");
    close("output", value(&sheet, &front(), "output_slope_after"), (-2.0_f64).to_radians() - pitch, 1e-12);
    // The pads turn with the frame, so the housing turns further against them.
    let turn = value(&sheet, &front(), "housing_turn");
    close("on the pads", value(&sheet, &front(), "housing_turn_on_pads"), turn + pitch, 1e-9);
    assert!(word(&sheet, &front(), "lifts").starts_with("front "));
    assert!(word(&sheet, &front(), "lifts").ends_with("rear 0 in"));

    // Both ends alike: no pitch, the case rises by the lift.
    let level =
        computed(&text.replace("other_axle_lift = \"0 in\"", &format!("other_axle_lift = \"{lift} m\"")));
    close("level", value(&level, &front(), "ride_pitch"), 0.0, 1e-9);
    close("whole lift", value(&level, &front(), "case_rise"), lift, 1e-9);
    // More of the centre of gravity rises when both ends do.
    assert!(value(&level, &front(), "stability_after") < value(&sheet, &front(), "stability_after"));

    // What each end is planned to rise is read back as left, within 1/4 in (common
    // practice): a rear axle that stays shows it, and one raised by other work too.
    for (sheet, rear) in [(&sheet, 0.0), (&level, lift)] {
        for (name, want) in [
            ("front_rise_least", lift - 0.25 * INCH),
            ("front_rise_most", lift + 0.25 * INCH),
            ("rear_rise_least", rear - 0.25 * INCH),
            ("rear_rise_most", rear + 0.25 * INCH),
        ] {
            close(name, value(sheet, &front(), name), want, 1e-9);
        }
    }

    // Nobody says what the other axle does: no angle is printed, and it is asked.
    let unsaid = computed(&text.replace("other_axle_lift = \"0 in\"\n", ""));
    for name in ["pinion_target", "ride_pitch", "stability_after"] {
        assert!(unsaid.named(&front(), name).is_none(), "{name}");
    }
    assert!(unsaid.missing.iter().any(|m| m.needs.iter().any(|n| n == "unit.other_axle_lift")));
}

#[test]
fn a_rear_axle_pitches_the_other_way() {
    let job = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/crew-cab.toml"));
    let text = job.replace("other_axle_lift = \"2 in\"", "other_axle_lift = \"0 in\"");
    let sheet = computed(&text);
    let rear = Owner::Component("rear".to_owned());
    // Seats grow from 1/2 in to 2-1/2 in: the tail rises by 2 in over 156 in.
    let pitch = -(2.0_f64 / 156.0).atan();
    close("pitch", value(&sheet, &rear, "ride_pitch"), pitch, 1e-9);
    close("case", value(&sheet, &rear, "case_rise"), 2.0 * INCH * (1.0 - 62.0 / 156.0), 1e-9);
    close("output", value(&sheet, &rear, "output_slope_after"), 3.0_f64.to_radians() + pitch, 1e-9);
}

#[test]
fn a_steering_link_is_a_limit_to_stay_under() {
    let sheet = computed(JOB);
    assert!(concerns(&sheet).contains(&"steering-link"));
    // As found, 3 in over 32 in, up to the tenth that is printed: 5.356 deg reads 5.4, and
    // the truck as it came passes.
    let found = (((3.0_f64 / 32.0).atan().to_degrees() * 10.0).ceil() / 10.0).to_radians();
    close("limit", value(&sheet, &front(), "link_slope_limit"), found, 1e-9);
    close("low", value(&sheet, &front(), "link_slope_low"), -found, 1e-9);
    close("high", value(&sheet, &front(), "link_slope_high"), found, 1e-9);
    let text = &sheet.concerns.iter().find(|c| c.name == "steering-link").unwrap().text;
    for remedy in ["raised steering arm", "lowered pitman arm", "track bar parallel"] {
        assert!(text.contains(remedy), "{text}");
    }
    // Limits the job states itself, wide enough: nothing is held.
    let wide = computed(&edit(
        "pinion_tolerance",
        "link_slope = \"20 deg\"\nbump_steer = \"8 deg\"\nsure = \"measured twice, by two people\"\npinion_tolerance",
    ));
    assert!(!concerns(&wide).contains(&"steering-link"));
    close("stated", value(&wide, &front(), "link_slope_limit"), 20.0_f64.to_radians(), 1e-9);
    // A hold on the paper, before the first cut, signed by a lead.
    let shelf = shipped();
    let desk = Desk::with("job.toml", JOB);
    let loaded = load(&desk, "job.toml".as_ref(), &shelf).unwrap();
    let planned = plan(&loaded, &shelf).unwrap();
    let document = tackwright::app::compose::compose(&planned);
    let cuts = |o: &tackwright::traveler::document::Operation| o.verb == "cut";
    let first_cut = document.operations.iter().position(cuts).unwrap();
    let held = document
        .operations
        .iter()
        .position(|o| o.after.iter().any(|p| p.what.text().starts_with("Steering link")))
        .expect("the steering link is held");
    assert!(held < first_cut, "held at {held}, cut at {first_cut}");
}

#[test]
fn knuckles_alone_keep_the_caster_that_is_there() {
    // 4.0 and 3.8 deg were read, and nothing in the job turns the housing.
    let (head, rest) = JOB.split_once("[[work]]").unwrap();
    let (_, tail) = rest.split_once("# ── The axle, as found").unwrap();
    let alone = |procedure: &str| {
        computed(&format!("{head}[[work]]\nprocedure = \"{procedure}\"\non = [\"front\"]\n\n#{tail}"))
    };
    for (side, read) in [(Side::Left, 4.0_f64), (Side::Right, 3.8)] {
        let owner = Owner::Side("front".to_owned(), side);
        let sheet = alone("knuckle-reindex");
        close("caster", value(&sheet, &owner, "caster_after_turn"), read.to_radians(), 1e-9);
        let turned = value(&alone("housing-rotation"), &owner, "caster_after_turn");
        assert!(turned < read.to_radians() - 0.01, "{turned}");
    }
    // Nor is the pinion set anew: 12.5 deg as found is what is asked for before the cut.
    let sheet = alone("knuckle-reindex");
    close("pinion", value(&sheet, &front(), "pinion_target"), 12.5_f64.to_radians(), 1e-9);
    assert!(sheet.named(&front(), "housing_turn").is_none());
    assert!(alone("housing-rotation").named(&front(), "housing_turn").is_some());
}

#[test]
fn an_axle_shift_is_stated_once() {
    let sheet = computed(&edit("fixed_eye = \"front\"", "fixed_eye = \"front\"\nhanger_shift = \"1/4 in\""));
    close("pad", value(&sheet, &front(), "pad_shift"), 0.5 * INCH, 1e-9);
    close("hanger", value(&sheet, &front(), "hanger_shift"), 0.25 * INCH, 1e-9);
    // A hole ahead of the tube sets the axle back, the hangers take it forward.
    close("axle", value(&sheet, &front(), "axle_shift"), (0.25 - 0.5) * INCH, 1e-9);
    assert!(computed(JOB).named(&front(), "hanger_shift").is_none());
}

#[test]
fn a_shaft_that_changes_is_held_when_nobody_works_on_it() {
    let sheet = computed(JOB);
    let text = &sheet.concerns.iter().find(|c| c.name == "driveshaft").expect("held").text;
    assert!(text.contains("longer") && text.contains("24.79°"), "{text}");
    // A shaft in the job: the spline at droop, the room at bump, the rating.
    let job = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/crew-cab.toml"));
    let shaft = Owner::Component("rear-shaft".to_owned());
    let sheet = computed(job);
    assert!(concerns(&sheet).is_empty(), "{:?}", sheet.concerns);
    // 3-1/4 in engaged at ride, which the shaft is made to, less what 50-5/8 in are more.
    let axle = Owner::Component("rear".to_owned());
    let of_axle = |name: &str| value(&sheet, &axle, name) / INCH;
    let ride = 49.4375 + of_axle("shaft_length") - of_axle("shaft_length_before");
    assert!(ride > 49.5 && ride < 50.0, "{ride}");
    close("droop", value(&sheet, &shaft, "engagement_droop"), (3.25 - (50.625 - ride)) * INCH, 1e-9);
    close("bump", value(&sheet, &shaft, "bump_room_after"), (1.25 + (49.125 - ride)) * INCH, 1e-9);
    for (from, to, name) in [
        ("engagement = \"3-1/4 in\"", "engagement = \"2-1/4 in\"", "spline"),
        ("bump_room = \"1-1/4 in\"", "bump_room = \"0.3 in\"", "bump-room"),
        (
            "joint_rating = \"12 deg\"",
            "joint_rating = \"0.5 deg\"\nsure = \"measured twice, by two people\"",
            "joint-rating",
        ),
    ] {
        let found = concerns(&computed(&job.replace(from, to)));
        assert!(found.contains(&name), "{name}: {found:?}");
    }
}

#[test]
fn no_load_of_the_tyre_is_taken_as_zero() {
    let w2 = Owner::Joint("J2".to_owned());
    let sheet = computed(JOB);
    let cases: Vec<f64> = sheet
        .rows
        .iter()
        .filter(|r| r.owner == w2 && r.figure.family == "tube-seam" && r.figure.id == "utilisation")
        .map(|r| r.figure.value.quantity().map(Quantity::si).unwrap())
        .collect();
    assert!(cases.len() >= 4, "braking, cornering outside and inside, both together: {cases:?}");
    let worst = cases.iter().copied().fold(0.0, f64::max);
    close("worst", value(&sheet, &w2, "utilisation"), worst, 1e-12);
    // Cornering of the outer wheel by hand: load, side force, moments, a ring of weld.
    let (mass, base, back, track, high, grip) = (6200.0 * 4.448_221_615_260_5, 118.0, 66.0, 64.0, 31.0, 0.9);
    let still = mass * back / base;
    let outer = still / 2.0 + still * grip * high / track;
    let side = grip * outer;
    let moment = (outer * 6.0 * INCH - side * 15.5 * INCH).abs();
    let od = 3.25 * INCH;
    let ring = std::f64::consts::PI * od;
    let bending = 4.0 * moment / (std::f64::consts::PI * od * od);
    let along = side / ring;
    let across = 2.0 * outer / ring / 2.0;
    let flow = (bending + along).hypot(across);
    let allowed = 0.30 * 70.0 * 6_894_757.293_168;
    let hand = flow / (0.265 * INCH) / allowed;
    let nearest = cases.iter().copied().min_by(|a, b| (a - hand).abs().total_cmp(&(b - hand).abs())).unwrap();
    close("cornering, outer wheel", nearest, hand, 0.03 * hand);
    // Without the track nothing is said at all.
    let unsaid = computed(&edit("track = \"64 in\"\n", ""));
    assert!(unsaid.named(&w2, "utilisation").is_none());
    assert!(unsaid.missing.iter().any(|m| m.owner == w2 && m.needs.iter().any(|n| n == "unit.track")));
}

#[test]
fn tacks_hold_and_are_not_the_weld() {
    for (name, job) in super::support::desk::folder("jobs", "toml") {
        if name == "shop" {
            continue;
        }
        let sheet = computed(&job);
        for row in sheet.rows.iter().filter(|r| r.name == "tack_length") {
            let of = |id: &str| {
                let found = sheet
                    .rows
                    .iter()
                    .rfind(|r| r.owner == row.owner && r.figure.family == "tacks" && r.figure.id == id);
                found.and_then(|r| r.figure.value.quantity()).map(Quantity::si).unwrap()
            };
            let length = row.figure.value.quantity().map(Quantity::si).unwrap();
            assert!(length * of("count") <= of("circumference") / 3.0 + 1e-9, "{name}: {:?}", row.owner);
        }
    }
    // Tacks every inch of a 5 in seam in 1/2 in plate can't hold and stay a third.
    let many = computed(&edit("tack_spacing = \"5 in\"", "tack_spacing = \"1 in\""));
    assert!(many.obstacles.iter().any(|o| o.why.contains("third of this seam")), "{:?}", many.obstacles);
}

#[test]
fn the_construction_of_the_knuckle_decides_the_cut() {
    let line = "construction = \"spigot in the tube\"\n";
    let unsaid = computed(&edit(line, ""));
    assert!(concerns(&unsaid).contains(&"construction"));
    assert!(unsaid.named(&front(), "depth_stop").is_none());
    let said = computed(JOB);
    assert!(word(&said, &front(), "cut_line").contains("never into it"));
    assert!(!concerns(&said).contains(&"construction"));
    // A knuckle over the tube is cut through its weld: the wall says nothing of it.
    let over = computed(&edit(line, "construction = \"knuckle over the tube\"\n"));
    assert!(word(&over, &front(), "cut_line").contains("through the seam weld"));
    assert!(over.named(&front(), "depth_stop").is_none());
    let cast = computed(&edit(line, "construction = \"cast in one\"\n"));
    assert!(cast.obstacles.iter().any(|o| o.why.contains("one casting")));
}

#[test]
fn a_weldment_keeps_its_own_limits() {
    let job = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/hoist-frame.toml"));
    let sheet = computed(&job.replace("squareness = \"1/8 in\"", "squareness = \"1/16 in\""));
    let frame = Owner::Component("hoist-frame".to_owned());
    close("diagonals", value(&sheet, &frame, "squareness_limit"), INCH / 16.0, 1e-12);
    close("sizes", value(&sheet, &frame, "size_tolerance"), INCH / 8.0, 1e-12);
    close("length", value(&sheet, &frame, "length_wanted"), 72.0 * INCH, 1e-12);
    assert!(word(&sheet, &frame, "drawing").contains("HF-12"));
}

#[test]
fn a_job_without_a_book_prints_nobody_elses() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.toml");
    let real = JOB.replace("invented = true\n", "");
    std::fs::write(&path, &real).unwrap();
    let shelves = tackwright::app::shelf::Shelves::gather(
        &tackwright::app::System,
        None,
        None,
        std::slice::from_ref(&path),
    );
    let shelf = shelves.of(&path).unwrap();
    assert!(shelf.shop.absent && shelf.shop.book.person.is_empty() && shelf.shop.book.wps.is_empty());
    let loaded = tackwright::app::load::load(&tackwright::app::System, &path, shelf).unwrap();
    let planned = plan(&loaded, shelf).unwrap();
    let told: Vec<_> = planned.report.problems.iter().filter(|p| p.code.starts_with('S')).collect();
    assert_eq!(told.len(), 1, "{told:#?}");
    assert_eq!((told[0].code, told[0].severity), ("S200", Severity::Warning));
    // The preheat of the demonstration's procedure is not this shop's.
    let w1 = Owner::Joint("J1".to_owned());
    assert!(!word(&loaded.figures, &w1, "preheat_method").contains("WPS-03"));
    // The same job, marked as invented, has the demonstration.
    std::fs::write(&path, JOB).unwrap();
    let shelves = tackwright::app::shelf::Shelves::gather(
        &tackwright::app::System,
        None,
        None,
        std::slice::from_ref(&path),
    );
    assert!(shelves.of(&path).unwrap().shop.demo);
}

#[test]
fn a_check_ends_in_one_of_three_words_with_its_code() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).unwrap();
        path
    };
    let run = |args: &[&std::path::Path]| {
        let mut command = assert_cmd::Command::cargo_bin("tackwright").unwrap();
        command.arg("check").args(args).assert().get_output().clone()
    };
    let ready = at("ready.toml", JOB);
    let blank = at("blank.toml", &edit("number = \"TW-2041\"", "number = \"\""));
    let broken = at("broken.toml", &edit("od = \"3.25 in ± 0.004 in\"", "od = \"325 in\""));
    for (path, code, word) in [(&ready, 0, "ready"), (&blank, 4, "not ready"), (&broken, 1, "invalid")] {
        let output = run(&[path]);
        let text = String::from_utf8(output.stdout).unwrap();
        assert_eq!(output.status.code(), Some(code), "{word}: {text}");
        let last = text.lines().last().unwrap();
        assert!(last.starts_with(word) || last.ends_with(word), "{last}");
    }
    // What stops the issue is named with its line.
    let text = String::from_utf8(run(&[&blank]).stdout).unwrap();
    assert!(text.contains("blank.toml:9") || text.contains("blank.toml:"), "{text}");
    // One document, however many jobs.
    let mut command = assert_cmd::Command::cargo_bin("tackwright").unwrap();
    let output =
        command.arg("check").args([&ready, &broken]).arg("--json").assert().code(1).get_output().clone();
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(json["jobs"][0]["state"], "ready");
    assert_eq!(json["jobs"][1]["state"], "invalid");
    assert!(output.stderr.is_empty());
    // A job that is not ready is not issued, with the same code.
    let mut command = assert_cmd::Command::cargo_bin("tackwright").unwrap();
    command.arg("issue").arg(&blank).assert().code(4);
}

#[test]
fn what_is_no_job_is_told_and_refused() {
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes, told) in [
        ("a.toml", &b"%PDF-1.7\n"[..], "a PDF"),
        ("b.toml", b"joint,size,length\nW1,1/4,5\n", "CSV"),
        ("c.toml", b"[job]\ntitle = \"M\xFCller\"\n", "another encoding"),
        ("d.toml", shop::DEMO.as_bytes(), "a shop book"),
    ] {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        let mut command = assert_cmd::Command::cargo_bin("tackwright").unwrap();
        let output = command.arg("check").arg(&path).assert().code(1).get_output().clone();
        let text = String::from_utf8(output.stderr).unwrap();
        assert!(text.contains(told), "{name}: {text}");
    }
}

#[test]
fn a_name_under_one_id_is_one_name() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.toml");
    std::fs::write(&path, edit("name = \"Lead One\"", "name = \"Lead Two\"")).unwrap();
    std::fs::write(folder.path().join("shop.toml"), shop::DEMO).unwrap();
    let mut command = assert_cmd::Command::cargo_bin("tackwright").unwrap();
    let output = command.arg("check").arg(&path).assert().code(1).get_output().clone();
    let text = String::from_utf8(output.stderr).unwrap();
    assert!(text.contains("S213") && text.contains("Lead Two here and Lead One in the shop book"), "{text}");
}

#[test]
fn a_result_of_a_refusal_is_no_traveler() {
    let text = edit("construction = \"spigot in the tube\"", "construction = \"cast in one\"");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.toml");
    std::fs::write(&path, &text).unwrap();
    let order = tackwright::app::issue::Order::default();
    let refusal =
        tackwright::app::issue::issue(&tackwright::app::System, &shipped(), &path, &order).unwrap_err();
    let Failure::Refused(report, _) = refusal else { panic!("{refusal:?}") };
    assert!(report.problems.iter().all(|p| p.severity == Severity::Stop), "{report:#?}");
    // A draft shows how far the job is.
    assert!(issue(&text, &shipped()).is_ok());
}

#[test]
fn an_operation_of_the_jobs_own_is_a_whole_one() {
    let text = format!(
        "{JOB}\n{}",
        r#"
[[operation]]
id = "cut-old-gusset"
verb = "cut"
title = "Cut out the old gusset {{ f.lift }}"
on = "front"
act = ["grind"]
at = ["housing"]
role = "welder"
tool = ["grinder, 1/16 in disc"]
joints = "pad"
after = ["inspect-bare"]
step = ["Grind the gusset off flush."]
hold = "The lead has seen where the gusset ends."
hold_before = true
hold_role = "lead"

[[operation.reading]]
id = "left-over"
label = "gusset left {standing}"
kind = "length"
most = "1/32 in"
instrument = "feeler"
"#
    );
    let shelf = shipped();
    let desk = Desk::with("job.toml", &text);
    let loaded = load(&desk, "job.toml".as_ref(), &shelf).unwrap_or_else(|f| panic!("{f:#?}"));
    let planned = plan(&loaded, &shelf).unwrap_or_else(|f| panic!("{f:#?}"));
    let document = tackwright::app::compose::compose(&planned);
    let own = document.operations.iter().find(|o| o.id == "cut-old-gusset").expect("it is on the paper");
    // What a user writes is data: braces stay braces.
    assert!(own.title.contains("{{ f.lift }}"));
    assert_eq!(own.tools, ["grinder, 1/16 in disc"]);
    assert_eq!(own.joints.len(), 1);
    assert_eq!((own.before.len(), own.after.len()), (1, 0));
    let reading = own.steps.iter().flat_map(|s| &s.readings).next().expect("a box");
    assert_eq!(reading.label, "gusset left {standing}");
    assert!(reading.target.as_deref().is_some_and(|t| t.starts_with("≤ 1/32 in")), "{reading:?}");
    let kept = planned.resolved.operations.iter().find(|o| o.id == "cut-old-gusset").unwrap();
    let aim = kept.readings().next().and_then(|r| r.aim).unwrap();
    let limit = aim.upper().map(Quantity::si).unwrap();
    close("limit", limit, INCH / 32.0, 1e-12);
}

#[test]
fn a_weldment_is_as_large_as_its_parts() {
    // The parts as drawn, by hand: foot 3/4, post 91-1/4, beam 4 in high: 96 in over all; the
    // beam is 72 in long.
    let job = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/hoist-frame.toml"));
    let shelf = shipped();
    let contradicts = |text: &str| {
        let (_, found) = check("job.toml", text, &shelf);
        found.iter().filter(|p| p["code"] == "J187").map(|p| p["message"].to_string()).collect::<Vec<_>>()
    };
    assert_eq!(contradicts(job), Vec::<String>::new());
    for (from, to, says) in [
        ("height = \"96 in\"", "height = \"90 in\"", "96 in high"),
        ("length = \"72 in\"", "length = \"70 in\"", "72 in long"),
        ("up = \"92 in\"", "up = \"91 in\"", "95 in high"),
    ] {
        let found = contradicts(&job.replace(from, to));
        assert_eq!(found.len(), 1, "{to}: {found:?}");
        assert!(found[0].contains(says), "{to}: {found:?}");
    }
    let sure =
        job.replace("height = \"96 in\"", "height = \"90 in\"\nsure = \"a stub stands above the beam\"");
    // Set aside by a reason, it is told with it.
    let told = contradicts(&sure);
    assert!(told.len() == 1 && told[0].contains("the file says: a stub stands above"), "{told:?}");
}
