//! Names at the bench: what is understood, and what is refused rather than
//! guessed.

use std::collections::BTreeMap;

use tackwright::app::reckon::{self, names};
use tackwright::figure::{Figure, registry};

fn ask(name: &str, pairs: &[(&str, &str)]) -> Result<Vec<Figure>, String> {
    let family = names::find(name).ok_or_else(|| format!("no figure {name}"))?;
    let (family, given) = reckon::read_question(family, pairs)
        .map_err(|r| r.problems.iter().map(|p| p.message.clone()).collect::<Vec<_>>().join("; "))?;
    family.reckon(&given).map_err(|t| t.to_string())
}

fn value(figures: &[Figure], id: &str) -> f64 {
    let figure = figures.iter().find(|f| f.id == id).unwrap_or_else(|| panic!("no {id}"));
    figure.value.quantity().expect("a quantity").si()
}

#[test]
fn no_two_families_answer_to_one_name() {
    let mut seen = BTreeMap::new();
    for family in registry::families() {
        for name in std::iter::once(&family.name).chain(family.declared.other_names) {
            if let Some(other) = seen.insert(*name, family.name) {
                panic!("{name} names {other} and {}", family.name);
            }
            assert_eq!(names::find(name).map(|f| f.name), Some(family.name), "{name}");
        }
    }
}

#[test]
fn family_names_do_not_care_about_dashes_capitals_or_the_ocean() {
    for (typed, wanted) in [
        ("Heat_Input", "heat-input"),
        ("tire size", "tyre-size"),
        ("center_pin", "centre-pin"),
        ("ssf", "stability"),
        ("U-joint", "joint-motion"),
    ] {
        assert_eq!(names::find(typed).map(|f| f.name), Some(wanted), "{typed}");
    }
    assert!(names::find("no such thing").is_none());
}

#[test]
fn inputs_are_found_in_the_words_of_the_trade() {
    let plain = ask(
        "lift",
        &[("tube_od", "3 in"), ("pack", "1.75 in"), ("seat_old", "0.25 in"), ("seat_new", "0.5 in")],
    )
    .expect("an answer");
    let loose = ask(
        "spring-over",
        &[
            ("Tube-Diameter", "3 in"),
            ("springPack", "44.45 mm"),
            ("old seat", "6.35 mm"),
            ("NEW_SEAT", "0.5 in"),
        ],
    )
    .expect("an answer");
    assert!((value(&plain, "lift") - value(&loose, "lift")).abs() < 1e-12);
}

#[test]
fn a_unit_may_stand_in_the_name() {
    let found = ask("stability", &[("track_mm", "1480"), ("cg_height_mm", "700")]).expect("an answer");
    assert!((value(&found, "factor") - 1480.0 / 1400.0).abs() < 1e-12);
    assert!(ask("stability", &[("track", "1480"), ("cg_height", "700 mm")]).is_err(), "no unit anywhere");
}

/// A unit at the end of a name is one only where the name is no input's own: a bare number
/// for the pores of the worst foot is not feet of pores in the worst inch.
#[test]
fn an_input_whose_name_ends_like_a_unit_is_itself() {
    let refused = ask(
        "visual-acceptance",
        &[("standard", "aws-static"), ("thickness", "1/2 in"), ("pore_sum_foot", "0.5")],
    )
    .expect_err("no unit");
    assert!(refused.contains("pore_sum_foot"), "{refused}");
    for family in registry::families() {
        for input in family.inputs {
            let Some((bare, unit)) = names::split_unit(input.name) else { continue };
            if tackwright::quantity::unit::kinds_of(unit).is_empty() || family.input(bare).is_none() {
                continue;
            }
            // What it would have been read as must not be filled by it.
            let Ok((_, given)) = reckon::read_question(family, &[(input.name, "7")]) else { continue };
            assert!(given.get(bare).is_none(), "{} {}", family.name, input.name);
        }
    }
}

#[test]
fn numbered_names_make_a_list() {
    let list = ask("cut-depth", &[("walls", "6.35, 6.20, 6.48, 6.3 mm"), ("nominal", "6.35 mm")])
        .expect("an answer");
    let single = ask(
        "cut-depth",
        &[
            ("wall_1", "6.35 mm"),
            ("wall_2", "6.20 mm"),
            ("wall_3", "6.48 mm"),
            ("wall_4", "6.3 mm"),
            ("nominal", "6.35 mm"),
        ],
    )
    .expect("an answer");
    assert!((value(&list, "depth") - value(&single, "depth")).abs() < 1e-15);
}

#[test]
fn plain_number_families_pass_the_question_on_by_unit() {
    let found =
        ask("decision", &[("value", "5.3 deg"), ("low", "4.5 deg"), ("high", "5.5 deg"), ("u", "0.15 deg")])
            .expect("an answer");
    assert!(found.iter().all(|f| f.family == "angle-decision"));
}

#[test]
fn symbols_of_one_letter_go_by_case() {
    let case = ask("shackle-rate", &[("k0", "30 N/mm"), ("a", "600 mm"), ("p", "6000 N"), ("P", "15 deg")]);
    assert!((value(&case.expect("an answer"), "loaded_rate") - 33_572.7).abs() < 0.1);
    let same =
        ask("shackle-rate", &[("k0", "30 N/mm"), ("a", "600 mm"), ("load", "6000 N"), ("lean", "15 deg")]);
    assert!((value(&same.expect("an answer"), "loaded_rate") - 33_572.7).abs() < 0.1);
}

#[test]
fn what_is_not_clear_is_refused() {
    let twice = ask("trail", &[("caster", "5 deg"), ("t", "6 deg"), ("z", "380 mm")]);
    assert!(twice.expect_err("twice").contains("given twice"));
    // Both belly and wheel have a front here; a bare word is not guessed.
    let bare = ask("clearance-angles", &[("r", "380 mm"), ("front", "600 mm"), ("approach_z", "500 mm")]);
    assert!(bare.is_err());
    // A radius is never taken for a diameter.
    let radius = ask("toe", &[("wheel_radius", "15 in"), ("total", "1/8 in")]);
    assert!(radius.is_err());
    let unknown = ask("torque", &[("thread", "1/2-13"), ("grade", "5"), ("moon", "full")]);
    assert!(unknown.expect_err("unknown").contains("no input \"moon\""));
}

#[test]
fn an_input_that_is_not_used_is_named() {
    let family = registry::find("convert").expect("a family");
    let pairs = [("torque", "100 lbf-ft"), ("scale", "32")];
    let (family, given) = reckon::read_question(family, &pairs).expect("readable");
    let figures = family.reckon(&given).expect("an answer");
    assert_eq!(reckon::unused(&given, &figures), ["scale"]);
    let json = reckon::machine::answer_json(family, &given, &figures);
    assert_eq!(json["not_used"], serde_json::json!(["scale"]));
    let warned = json["warnings"].as_array().expect("warnings");
    assert!(warned.iter().any(|w| w.as_str().is_some_and(|w| w.starts_with("scale was given"))), "{json}");
}

#[test]
fn units_are_read_however_their_signs_are_written() {
    use tackwright::quantity::{Kind, parse};
    for (kind, texts) in [
        (Kind::Torque, ["100 N·m", "100 N m", "100 N*m", "100 Nm"]),
        (Kind::Torque, ["12 lbf-in", "1 lbf-ft", "12 in-lbf", "1 ft lbf"]),
        (Kind::Conductivity, ["0.028 W/(mm·K)", "0.028 J/(mm·s·K)", "0.028 J/mm/s/K", "28 W/m/K"]),
        (Kind::SecondMoment, ["1 in4", "1 in^4", "1 in⁴", "416231.42560 mm4"]),
    ] {
        let first = parse::quantity(kind, texts[0]).expect("readable").si();
        for text in texts {
            let read = parse::quantity(kind, text).unwrap_or_else(|e| panic!("{text}: {e}")).si();
            assert!((read - first).abs() <= 1e-9 * first.abs(), "{text}");
        }
    }
    for text in ["45 $/h", "$45/h", "45 /h", "45 €/hour"] {
        let rate = parse::quantity(Kind::MoneyRate, text).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert!((rate.si() - 45.0 / 3600.0).abs() < 1e-12, "{text}");
    }
    assert!((parse::quantity(Kind::Number, "90 %").expect("a share").si() - 0.9).abs() < 1e-15);
}

/// A name may stand for several inputs only where the value tells them apart.
#[test]
fn a_name_stands_for_one_input_of_a_kind() {
    for family in registry::families() {
        for name in family.inputs.iter().flat_map(names::all_names) {
            let kinds: Vec<_> = family
                .inputs
                .iter()
                .filter(|i| names::all_names(i).any(|n| n == name))
                .map(|i| format!("{:?}", i.kind))
                .collect();
            let different: std::collections::BTreeSet<_> = kinds.iter().collect();
            assert_eq!(different.len(), kinds.len(), "{}: {name}", family.name);
        }
    }
    let by_kind =
        ask("joint-motion", &[("speed", "1200 rpm"), ("fluctuation", "100 rpm")]).expect("an answer");
    assert!((value(&by_kind, "joint_angle").to_degrees() - 16.422_908).abs() < 1e-6);
}

#[test]
fn a_share_behind_the_sign_is_a_share_of_the_value() {
    use tackwright::quantity::{Kind, parse};
    for (kind, text, u) in [
        (Kind::Number, "0.2 ± 20 %", 0.04 / 3.0_f64.sqrt()),
        (Kind::Number, "0.2 ± 20 % (k=2)", 0.02),
        (Kind::Length, "2 m ± 1 %", 0.02 / 3.0_f64.sqrt()),
        (Kind::Percent, "65 % ± 5 %", 0.05 / 3.0_f64.sqrt()),
    ] {
        let found = parse::measured(kind, text).unwrap_or_else(|e| panic!("{text}: {e}")).uncertainty;
        assert!((found - u).abs() < 1e-12, "{text}: {found}");
    }
    assert!(parse::measured(Kind::Temperature, "20 degC ± 5 %").is_err());
}

#[test]
fn what_no_input_can_be_is_refused() {
    for (name, pairs) in [
        ("convert", [("temperature", "-500 degF")]),
        ("convert", [("length", "1e300 m")]),
        ("convert", [("stress", "1e300 MPa")]),
    ] {
        let refusal = ask(name, &pairs).expect_err("nonsense");
        assert!(refusal.contains("outside"), "{pairs:?}: {refusal}");
    }
    let one =
        ask("torque-uncertainty", &[("readings", "100 N·m"), ("limit_percent", "1")]).expect("an answer");
    assert!((value(&one, "u_limit") - 1.0 / 3.0_f64.sqrt()).abs() < 1e-12, "percent=1 is one per cent");
}

/// The names that agree with the rest of a question are read, not called idle.
#[test]
fn an_input_that_agrees_with_the_others_raises_no_alarm() {
    let questions: &[(&str, &[(&str, &str)])] = &[
        ("preheat-category", &[("steel", "A36"), ("process", "SMAW"), ("electrode", "E7018"), ("t", "1 in")]),
        ("carbon-equivalent", &[("C", "0.22%"), ("Mn", "1.1%"), ("P", "0.02%"), ("S", "0.01%")]),
        (
            "weld-metal",
            &[("leg", "1/4 in"), ("length", "10 ft"), ("process", "SMAW"), ("efficiency", "62 %")],
        ),
        ("ubolt-clamp", &[("thread", "9/16-18"), ("preload", "9000 lbf"), ("tube_od", "3 in")]),
        (
            "tube-seam",
            &[
                ("tube_od", "3 in"),
                ("torque", "100 lbf-ft"),
                ("moment", "100 lbf-ft"),
                ("shear", "0 lbf"),
                ("axial", "0 lbf"),
                ("wall", "1/4 in"),
                ("joint", "cjp"),
                ("electrode", "E70"),
            ],
        ),
    ];
    for (name, pairs) in questions {
        let family = registry::find(name).expect("a figure");
        let (family, given) = reckon::read_question(family, pairs).expect("good inputs");
        let figures = family.reckon(&given).expect("an answer");
        assert_eq!(reckon::unused(&given, &figures), Vec::<&str>::new(), "{name}");
    }
    let family = registry::find("ubolt-clamp").expect("a figure");
    let (family, given) =
        reckon::read_question(family, &[("k", "0.2"), ("preload", "9000 lbf"), ("tube_od", "3 in")])
            .expect("good inputs");
    let figures = family.reckon(&given).expect("an answer");
    assert_eq!(reckon::unused(&given, &figures), ["k"], "what changes nothing is still told");
}

#[test]
fn an_unknown_figure_is_answered_by_the_nearest_or_none() {
    let hint = |name: &str| reckon::family(name).expect_err("no such figure").help.join(" ");
    for (typed, offered) in
        [("heet-input", "\"heat-input\""), ("prehaet", "\"preheat\""), ("torqe", "\"torque\"")]
    {
        assert!(hint(typed).contains(offered), "{typed}: {}", hint(typed));
    }
    for typed in ["paint", "zz", "inspection-report", "colour"] {
        assert_eq!(hint(typed), "", "{typed}");
    }
}

/// An input that was looked at and changed nothing is told as well as one that
/// nobody looked at; one that has to agree with the others is in use.
#[test]
fn an_input_no_result_depends_on_is_told() {
    let idle = |name: &str, pairs: &[(&str, &str)]| {
        let family = registry::find(name).expect("a figure");
        let (family, given) = reckon::read_question(family, pairs).expect("good inputs");
        let figures = family.reckon(&given).expect("an answer");
        reckon::unused(&given, &figures)
    };
    // A groove has no leg: its area is that of the V.
    let v = [("joint", "v"), ("leg", "1/4 in"), ("thickness", "12 mm"), ("angle", "60 deg")];
    assert_eq!(idle("shrinkage", &v), ["leg"]);
    assert_eq!(idle("shrinkage", &[("joint", "tee"), ("leg", "1/4 in"), ("thickness", "1/2 in")]), [""; 0]);
    // The mean of four draws that is stated too is held against them.
    let draws = [("top", "1.2 mm"), ("bottom", "0.8 mm"), ("front", "1 mm"), ("rear", "1 mm")];
    let seam = [&draws[..], &[("seam_diameter", "3 in"), ("shrinkage", "1 mm")]].concat();
    assert_eq!(idle("seam-shrinkage", &seam), [""; 0]);
    // A table read in the same row with other thicknesses: it is used all the same.
    assert_eq!(
        idle("preheat-category", &[("steel", "A36"), ("process", "GMAW"), ("thickness", "1 in")]),
        [""; 0]
    );
    assert_eq!(idle("convert", &[("length", "0.3 in"), ("scale", "32")]), [""; 0]);
    // What a shape is drawn from is asked for, and no figure depends on it.
    let bracket = [
        ("leg_a", "3 in"),
        ("leg_b", "2 in"),
        ("thickness", "3/16 in"),
        ("radius", "1/4 in"),
        ("width", "2 in"),
    ];
    assert_eq!(idle("bent-bracket", &bracket), [""; 0]);
    // Every example uses what it states.
    for family in registry::families() {
        let pairs = crate::figures::example_pairs(family.example);
        let texts: Vec<(&str, &str)> = pairs.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
        assert_eq!(idle(family.name, &texts), [""; 0], "{}", family.name);
    }
}

/// A person says `old_seat`, `tube_dia` or `max_rpm`; a shop says the same thing in
/// many words, and a number of a few letters stays itself.
#[test]
fn a_name_is_found_in_any_order_and_by_what_it_means_everywhere() {
    let lift = |pairs: &[(&str, &str)]| value(&ask("lift", pairs).expect("an answer"), "stack");
    let plain =
        lift(&[("tube_od", "3 in"), ("pack", "1.75 in"), ("seat_old", "1/4 in"), ("seat_new", "1/2 in")]);
    for [tube, old, new] in [
        ["tube_dia", "old_seat", "new_seat"],
        ["axle_tube", "old_perch", "new_perch"],
        ["tube", "pad_old", "new_pad"],
    ] {
        let typed = lift(&[(tube, "3 in"), ("spring_pack", "1.75 in"), (old, "1/4 in"), (new, "1/2 in")]);
        assert!((typed - plain).abs() < 1e-15, "{tube} {old} {new}");
    }
    let shaft = [("tube_od", "3 in"), ("wall", "0.083 in"), ("length", "50 in"), ("max_rpm", "3000 rpm")];
    assert!(ask("critical-speed", &shaft).is_ok());
    assert!(
        ask("joint-chain", &[("angle1", "5 deg"), ("angle2", "4 deg")]).is_ok(),
        "numbered names of a list"
    );
    let stick = ask("fillet-strength", &[("size", "1/4 in"), ("rod", "7018")]).expect("an answer");
    assert!((value(&stick, "fexx") / 6.894_757_293e6 - 70.0).abs() < 1e-6);
    // A carbon equivalent of another formula is never offered for one.
    let family = registry::find("preheat").expect("a figure");
    let report = reckon::read_inputs(family, [("ce", "0.45")]).expect_err("no such input");
    let problem = &report.problems[0];
    assert!(problem.example.is_empty() && !problem.help.join(" ").contains("did you mean"), "{report:?}");
    // The figure that asks for it is named.
    assert!(problem.help.join(" ").contains("preheat-combined-thickness"), "{report:?}");
    // A near name is offered only for a value it can hold.
    let family = registry::find("convert").expect("a figure");
    let report = reckon::read_inputs(family, [("denominater", "5 kg/m3")]).expect_err("no such input");
    assert!(!report.problems[0].example.contains("denominator"), "{report:?}");
    let report = reckon::read_inputs(family, [("densiti", "5 kg/m3")]).expect_err("no such input");
    assert_eq!(report.problems[0].example, "density=\"5 kg/m3\"");
}

/// What to write is what was typed, mended.
#[test]
fn a_refusal_shows_the_typed_question_completed() {
    let example = |name: &str, inputs: &[&str]| {
        let typed: Vec<String> = inputs.iter().map(|i| (*i).to_owned()).collect();
        let report = reckon::ask(name, &typed).expect_err("refused").report();
        (report.problems[0].message.clone(), report.problems[0].example.clone())
    };
    let (said, write) = example("wheel-nuts", &["stud=5/8"]);
    assert!(said.contains("still needs seat"), "{said}");
    assert_eq!(write, "tackwright reckon wheel-nuts stud=\"5/8\" seat=cone");
    let (said, write) = example("toe", &["tyre_diameter=33 in"]);
    assert!(said.contains("needs one of total_length, wheel_length"), "{said}");
    assert_eq!(write, "tackwright reckon toe tyre_diameter=\"33 in\" total_length=\"1/16 in\"");
    assert_eq!(example("angle-gauge", &["angle=22.5"]).1, "angle=\"22.5 deg\"");
    assert_eq!(example("convert", &["2-1/2 in", "to=mm"]).1, "tackwright reckon convert length=\"2-1/2 in\"");
    assert_eq!(example("lift", &["spring_thickness=2 in"]).1, "pack=\"2 in\"");
    let (said, _) = example("convert", &["temperature=-500 degC"]);
    assert!(said.contains("−500 °C") && said.contains("absolute zero"), "{said}");
}

/// `0.250 ± 0.003, 0.252 ± 0.003 in`: the unit stands once, behind the list.
#[test]
fn a_list_may_state_its_limits_and_its_unit_once() {
    let depth = |walls: &str| {
        let found = ask("cut-depth", &[("walls", walls), ("nominal", "0.25 in")]).expect("an answer");
        value(&found, "depth")
    };
    let each = depth("0.250 in ± 0.003 in, 0.252 in ± 0.003 in, 0.251 in ± 0.003 in, 0.250 in ± 0.003 in");
    let once = depth("0.250 ± 0.003, 0.252 ± 0.003, 0.251 ± 0.003, 0.250 ± 0.003 in");
    assert!((each - once).abs() < 1e-15, "{each} {once}");
    assert!(once < depth("0.250, 0.252, 0.251, 0.250 in"), "an uncertain wall is cut shallower");
}

/// What is shown as an example of an input is one: read, inside its range, and usual.
#[test]
fn every_example_of_an_input_is_taken_by_it() {
    use tackwright::figure::{InputKind, Value};
    let mut faults = Vec::new();
    for family in registry::families() {
        for input in family.inputs {
            let (InputKind::Quantity(kind) | InputKind::List(kind)) = input.kind else { continue };
            let sample = input.range.sample(kind);
            let read = tackwright::quantity::parse::measured(kind, &sample);
            let Ok(read) = read else {
                faults.push(format!("{} {}: \"{sample}\" is not read", family.name, input.name));
                continue;
            };
            let value = Value::Quantity { quantity: read.value, uncertainty: 0.0 };
            if let Err(why) = input.range.check(input.name, read.value) {
                faults.push(format!("{} {}: \"{sample}\": {why}", family.name, input.name));
            }
            if let Some(why) = input.range.unusual(input.name, &value) {
                faults.push(format!("{} {}: \"{sample}\": {why}", family.name, input.name));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
