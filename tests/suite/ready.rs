//! Jobs that must not be called ready, each one slip away from a sound one. What is
//! wrong with each is common practice of the trade, or the standard named beside it.

use serde_json::Value as Json;

use crate::support::bench::Bench;

/// The brush truck beside its shop, changed; the codes of what stops it, and its state.
pub(crate) fn checked(change: impl FnOnce(&Bench)) -> (String, Vec<String>, Json) {
    let bench = Bench::new();
    change(&bench);
    let said = bench.json(&["check", "job.toml", "--json"]);
    let of = |wanted: &[&str]| -> Vec<String> {
        let all = said["problems"].as_array().unwrap();
        all.iter()
            .filter(|p| wanted.contains(&p["severity"].as_str().unwrap_or_default()))
            .map(|p| p["code"].as_str().unwrap().to_owned())
            .collect()
    };
    let stops = of(&["error", "stop"]);
    (said["state"].as_str().unwrap_or("invalid").to_owned(), stops, said.clone())
}

pub(crate) fn stopped_by(code: &str, change: impl FnOnce(&Bench)) {
    let (state, stops, said) = checked(change);
    assert_ne!(state, "ready", "{code}");
    assert!(stops.iter().any(|s| s == code), "{code}: {stops:?} {said:#}");
}

pub(crate) fn edited(code: &str, from: &str, to: &str) {
    stopped_by(code, |bench| bench.edit("job.toml", from, to));
}

pub(crate) fn with(code: &str, more: &str) {
    stopped_by(code, |bench| bench.write("job.toml", format!("{}\n{more}", bench.text("job.toml"))));
}

#[test]
fn the_job_itself_is_ready() {
    let (state, stops, said) = checked(|_| {});
    assert_eq!(state, "ready", "{stops:?} {said:#}");
}

#[test]
fn a_nut_that_strips_first_is_no_nut() {
    // SAE J995: a grade 5 nut has a proof stress of 120 ksi (UNC) or 109 ksi (UNF), the
    // grade 8 bolt (SAE J429) one of 120 ksi; the usual pair is a grade 8 nut.
    edited("F021", "nut = \"SAE J995 8\"", "nut = \"SAE J995 5\"");
}

#[test]
fn fasteners_an_operation_needs_are_in_the_job() {
    edited("J216", "use = \"u-bolt\"", "use = \"ubolt\"");
    stopped_by("J220", |bench| {
        let text = bench.text("job.toml");
        let all: Vec<&str> = text.split("[[fastener]]").collect();
        // What follows the last group stays.
        let rest = all.last().unwrap().split_once("\n[").map_or("", |(_, rest)| rest);
        bench.write("job.toml", format!("{}\n[{rest}", all[0]).trim_end_matches('['));
    });
}

/// What a maker states for one axle says nothing of the other: without its own group the
/// nuts of that one would have neither a torque nor a box.
#[test]
fn a_makers_figure_for_one_axle_leaves_no_other_without() {
    use super::routing_jobs::{job, messages, planned};
    let both = job(&[("spring-clamp", "front"), ("spring-clamp", "rear")]);
    let group = "\n[[fastener]]\nid = \"W1\"\ntitle = \"wheel nuts\"\non = \"front\"\nuse = \"wheel\"\ncount = 8\npattern = \"circle\"\ntorque = \"140 lbf-ft\"\ntorque_from = \"maker's sheet\"\n";
    let stops = |text: &str| -> Vec<String> {
        let said = planned(text, &[], |plan, _| {
            plan.report.problems.iter().map(|p| p.message.clone()).filter(|m| m.contains("wheel")).collect()
        });
        said.unwrap_or_else(|f| messages(&f))
    };
    assert_eq!(stops(&both), Vec::<String>::new(), "looked up at the bench");
    let one = stops(&format!("{both}{group}"));
    assert!(one.iter().any(|m| m.contains("wheel fasteners of \"rear\"")), "{one:?}");
    let rear = group.replace("W1", "W2").replace("front", "rear");
    assert_eq!(stops(&format!("{both}{group}{rear}")), Vec::<String>::new());
}

/// AWS D1.1:2020, 6: the record refuses the weld of anybody who is not qualified for it.
/// A job that would stop at it is not issued, whatever the joint carries.
#[test]
fn a_joint_nobody_may_weld_stops_the_issue_of_any_job() {
    let bench = Bench::small();
    assert_eq!(bench.run(&["issue", "job.toml", "--draft"]).code, 0);
    bench.edit("shop.toml", "process = \"FCAW\"", "process = \"GTAW\"");
    let said = bench.run(&["issue", "job.toml"]);
    assert_eq!(said.code, 4, "{}{}", said.out, said.err);
    for part in ["S204", "joint J1: nobody in the shop book may weld it", "process = \"FCAW\", standard"] {
        assert!(said.err.contains(part), "{part}: {}", said.err);
    }
    assert!(!bench.path("travelers/TW-2041").exists(), "it was issued");
}

#[test]
fn an_operation_of_ones_own_does_what_its_verb_says() {
    // 29 CFR 1910.252(a): hot work with fuel aboard.
    let own = |verb: &str, more: &str| {
        format!(
            "[[operation]]\nid = \"own-1\"\nverb = \"{verb}\"\ntitle = \"Own work\"\non = \"front\"\n{more}\n"
        )
    };
    with("R111", &own("cut", "step = [\"cut with torch\"]\nbefore = [\"receive\"]"));
    with("R111", &own("cut", "step = [\"cut with saw\"]\nafter = [\"receive\"]"));
    with("R105", &own("torque", "step = [\"tighten\"]\nafter = [\"receive\"]"));
    with("R111", &own("tack", "step = [\"tack\"]\nbefore = [\"receive\"]"));
}

#[test]
fn a_weld_that_carries_waits_for_who_may_make_it() {
    // AWS D1.1:2020, 6: a welder is qualified for what he welds.
    // Six months after the last weld a qualification ends: a job two years on has nobody.
    stopped_by("S204", |bench| {
        bench.edit("job.toml", "date = 2026-03-02\ndue = 2026-03-20", "date = 2027-12-02\ndue = 2027-12-22");
    });
    edited("J137", "filler = \"ER70S-6\"", "filler = \"E7018\"");
    edited("J138", "gas = \"75Ar/25CO2\"", "gas = \"oxygen\"");
}

#[test]
fn slips_of_one_word_are_seen() {
    edited("J144", "inside_width = \"3-5/16 in\"", "inside_width = \"4-1/8 in\"");
    edited("J145", "count = 4\npattern = \"u-bolt\"", "count = 3\npattern = \"u-bolt\"");
    edited("J146", "weld_spread = \"2-3/4 in\"", "weld_spread = \"3-1/2 in\"");
    edited("J147", "safety = \"suspension\"", "safety = \"structure\"");
    edited("J148", "inspection = \"visual, dye penetrant at the ends\"", "inspection = \"none\"");
    // ISO 5817:2023, annex C: level D for components of low load.
    edited("J149", "acceptance = \"AWS D1.1 cyclic\"", "acceptance = \"ISO 5817 D\"");
    edited("J141", "position = \"2F\"", "position = \"9Q\"");
    stopped_by("J113", |bench| {
        bench.write("job.toml", bench.text("job.toml").replace("role = [\"lead\"]", "role = [\"fitter\"]"));
    });
}

#[test]
fn an_operation_of_ones_own_stands_where_what_it_touches_is_still_seen() {
    // 29 CFR 1910.252(a)(2): precautions before hot work. Common practice: what is
    // changed is inspected afterwards.
    let own = |verb: &str, more: &str| {
        format!(
            "[[operation]]\nid = \"own-1\"\nverb = \"{verb}\"\ntitle = \"Own work\"\non = \"front\"\nat = [\"pad\"]\nrole = \"welder\"\n{more}\n"
        )
    };
    let weld = "joints = \"pad\"\nstep = [\"Weld the bracket on.\"]\n";
    with("J221", &own("weld", &format!("{weld}after = [\"hot-work-end\"]")));
    with("J221", &own("weld", &format!("{weld}after = [\"final-release\"]")));
    for verb in ["weld", "cut", "tack"] {
        let step = format!("joints = \"pad\"\nstep = [\"{verb} it\"]\nafter = [\"hand-over\"]");
        with("J222", &own(verb, &step));
    }
    with("J222", &own("fit", "step = [\"Fit the plate.\"]\nafter = [\"final-release\"]"));
    // Heat under an open card alone, whatever the verb.
    with(
        "J221",
        &own("rotate", "act = [\"heat\"]\nstep = [\"Heat the arm, turn it.\"]\nafter = [\"hot-work-end\"]"),
    );
    // Before an inspection, under the card: nothing to say.
    let good = own(
        "cut",
        "act = [\"grind\"]\nstep = [\"Grind the lug off.\"]\nafter = [\"bare-metal\"]\nbefore = [\"inspect-bare\"]",
    );
    let (state, stops, said) =
        checked(|bench| bench.write("job.toml", format!("{}\n{good}", bench.text("job.toml"))));
    assert_eq!(state, "ready", "{stops:?} {said:#}");
}

#[test]
fn what_is_welded_is_a_joint_somebody_accepts() {
    // AWS D1.1:2020, 8: fit-up and the finished weld are inspected.
    let own = |verb: &str, more: &str| {
        format!(
            "[[operation]]\nid = \"own-1\"\nverb = \"{verb}\"\ntitle = \"Own work\"\non = \"front\"\n{more}\n"
        )
    };
    with(
        "J223",
        &own("weld", "step = [\"Weld it.\"]\nafter = [\"verify-pads\"]\nbefore = [\"hot-work-end\"]"),
    );
    with(
        "J223",
        &own("tack", "step = [\"Tack it.\"]\nafter = [\"verify-pads\"]\nbefore = [\"hot-work-end\"]"),
    );
    with(
        "J223",
        &own(
            "inspect",
            "step = [\"Look.\"]\nafter = [\"verify-pads\"]\nhold = \"The gap is seen.\"\nhold_rule = \"fit-up\"\nhold_role = \"inspector\"",
        ),
    );
    let joint = "[[joint]]\nid = \"J9\"\ntitle = \"bracket to frame\"\non = \"front\"\nuse = \"bracket\"\nweld = \"fillet\"\n";
    with(
        "J224",
        &format!("{joint}{}", own("inspect", "joints = \"bracket\"\nstep = [\"Look at the weld.\"]")),
    );
    with(
        "J225",
        &format!(
            "{joint}{}",
            own(
                "weld",
                "joints = \"bracket\"\nstep = [\"Weld it.\"]\nafter = [\"verify-pads\"]\nbefore = [\"hot-work-end\"]"
            )
        ),
    );
}

#[test]
fn words_and_verb_of_an_operation_agree() {
    let own = |verb: &str, more: &str| {
        format!(
            "[[operation]]\nid = \"own-1\"\nverb = \"{verb}\"\ntitle = \"Old bracket\"\non = \"front\"\nafter = [\"inspect-bare\"]\n{more}\n"
        )
    };
    for step in [
        "Grind the gusset off.",
        "Weld the crack.",
        "Burn it off with the torch.",
        "Cut it out.",
        "Heat to cherry red.",
    ] {
        with("J164", &own("inspect", &format!("step = [\"{step}\"]")));
    }
    with("J165", &own("cut", "act = [\"grind\"]\nstep = [\"Look at the bracket.\"]"));
    with("J165", &own("torque", "step = [\"Wash the bracket.\"]"));
    for more in [
        "step = [\"Look at the weld, all round.\", \"Never weld over a crack.\"]",
        "step = [\"Look at the tube.\", \"The old repair weld on the left tube, all round.\"]",
        "sure = \"the words stand on the customer's own sheet\"\nstep = [\"Weld toes: cut the sample.\"]",
    ] {
        let text = own("inspect", more);
        let (state, stops, said) =
            checked(|bench| bench.write("job.toml", format!("{}\n{text}", bench.text("job.toml"))));
        assert_eq!(state, "ready", "{stops:?} {said:#}");
    }
}

#[test]
fn fasteners_of_both_sides_are_there_and_alike() {
    // Common practice: an axle hangs on two springs, each in two U-bolts of one kind.
    edited("J182", "U-bolts, front axle, right", "U-bolts, front axle, left");
    stopped_by("J181", |bench| {
        let text = bench.text("job.toml");
        let at = text.find("[[fastener]]\nid = \"B2\"").unwrap();
        let next = at + 1 + text[at + 1..].find("[[fastener]]").unwrap();
        bench.write("job.toml", format!("{}{}", &text[..at], &text[next..]));
    });
    let second = |from: &str, to: &str| {
        stopped_by("J183", |bench| {
            let text = bench.text("job.toml");
            let at = text.find("id = \"B2\"").unwrap();
            let changed = text[at..].replacen(from, to, 1);
            assert_ne!(changed, text[at..]);
            bench.write("job.toml", format!("{}{changed}", &text[..at]));
        });
    };
    second("grade = \"SAE J429 8\"", "grade = \"SAE J429 5\"");
    second("thread = \"9/16-18 UNF\"", "thread = \"1/2-20 UNF\"");
    second("finish = \"oiled\"", "finish = \"plain\"");
    edited("J107", "count = 8\ntorque", "count = 400\ntorque");
    edited("J107", "count = 8\ntorque", "count = 80\ntorque");
    let wrench = |code: &str, to: &str| {
        stopped_by(code, |bench| {
            let text = bench.text("job.toml");
            let at = text.find("id = \"B3\"").unwrap();
            let changed = text[at..].replacen("TW-3, 40 to 250 lbf-ft", to, 1);
            assert_ne!(changed, text[at..]);
            bench.write("job.toml", format!("{}{changed}", &text[..at]));
        });
    };
    // The range beside the wrench does not hold the maker's 85 lbf-ft, nor does TW-4's own.
    wrench("F021", "TW-9, 100 to 250 lbf-ft");
    wrench("F021", "TW-9, 10 lbf-ft to 80 lbf-ft");
    wrench("S212", "TW-4");
    // What no wrench of the shop reaches nobody sets (tools are used to 100 % of capacity).
    stopped_by("S207", |bench| {
        let book = bench.text("shop.toml").replace("capacity = \"250 lbf-ft\"", "capacity = \"80 lbf-ft\"");
        bench.write("shop.toml", book.replace("capacity = \"600 lbf-ft\"", "capacity = \"70 lbf-ft\""));
    });
}

#[test]
fn a_box_that_is_filled_with_nothing_is_empty() {
    for text in [".", "-", "x", "n/a", "tbd", "ok", "???"] {
        edited(
            "J017",
            "torque_from = \"spring maker's sheet 4 (invented)\"",
            &format!("torque_from = \"{text}\""),
        );
    }
    for text in [".", "-", "xxx", "tbd", "…"] {
        edited("J017", "title = \"shackle bolts\"", &format!("title = \"{text}\""));
    }
    with("J017", "[[found]]\nwhat = \"n/a\"\ndate = 2026-03-04\n");
    with(
        "J017",
        "[[operation]]\nid = \"own-1\"\nverb = \"inspect\"\ntitle = \"Look\"\nstep = [\"Look.\"]\nhold = \".\"\nafter = [\"inspect-bare\"]\n",
    );
    // Every key that must say why is one the files have.
    let schema = tackwright::app::plan::schema().to_string() + &tackwright::shop::schema().to_string();
    let procedure = ["kept", "why", "description"];
    for key in tackwright::file::REASONS {
        assert!(schema.contains(&format!("\"{key}\"")) || procedure.contains(key), "no file has a key {key}");
    }
}

#[test]
fn a_date_that_cannot_be_is_told() {
    edited("J018", "due = 2026-03-20", "due = 1926-03-20");
    edited("J115", "due = 2026-03-20", "due = 2036-03-20");
    with("J115", "[[found]]\nwhat = \"Old gusset, cracked\"\ndate = 1999-03-04\n");
    edited("J117", "title = \"shackle bolts\"", "title = \"shackle bolts\"\nretorque = \"on 1999-05-01\"");
    edited("J117", "title = \"shackle bolts\"", "title = \"shackle bolts\"\nretorque = \"5/1/1999\"");
    // Nothing is found on a day to come.
    stopped_by("J116", |bench| {
        bench.edit("job.toml", "invented = true", "invented = false");
        let found = "[[found]]\nwhat = \"Old gusset, cracked\"\ndate = 2028-01-15\n";
        bench.write("job.toml", format!("{}\n{found}", bench.text("job.toml")));
    });
}

#[test]
fn a_waiver_is_a_leads_and_has_a_reason() {
    let waiver = |by: &str, reason: &str| {
        format!(
            "[[waiver]]\nrule = \"weld-holds\"\nby = \"{by}\"\nreason = \"{reason}\"\ndate = 2026-03-02\n"
        )
    };
    with("J218", &waiver("Welder One", "The fit was seen by the inspector."));
    with("J219", &waiver("Lead One", "bench work"));
    with("J017", &waiver("Lead One", "x"));
    let bench = Bench::new();
    let piece = bench.yes(&["new", "waiver"]).out;
    assert!(piece.lines().any(|l| l == "rule = \"\""), "{piece}");
    bench.write(
        "job.toml",
        format!(
            "{}\n{}",
            bench.text("job.toml"),
            waiver("Lead One", "The fit was seen by the inspector.").replace("weld-holds", "fit-up-hold")
        ),
    );
    let said = bench.run(&["check", "job.toml"]);
    assert!(said.err.contains("J211") || said.out.contains("J211"), "{}{}", said.out, said.err);
    assert!(!format!("{}{}", said.out, said.err).contains("write: rule = \"cut-hold\""));
}

#[test]
fn a_day_that_has_not_come_keeps_nothing_alive() {
    // AWS D1.1:2020, 6.4.1: continuity is work that was done.
    stopped_by("S204", |bench| {
        let book = bench.text("shop.toml");
        bench.write(
            "shop.toml",
            book.replace("last_used = 2026", "last_used = 2036")
                .replace("last_used = 2025", "last_used = 2035"),
        );
    });
    let bench = Bench::new();
    bench.edit("job.toml", "invented = true", "invented = false");
    bench.write("job.toml", bench.text("job.toml").replace("date = 2026-03-02", "date = 1999-03-02"));
    let said = bench.run(&["check", "job.toml"]);
    assert!(format!("{}{}", said.out, said.err).contains("J114"), "{}{}", said.out, said.err);
}

#[test]
fn an_operation_is_named_as_the_route_names_it() {
    let own = "[[operation]]\nid = \"own-1\"\nverb = \"inspect\"\ntitle = \"Look\"\non = \"front\"\nstep = [\"look\"]\nafter = [\"front/fit-u-bolts\"]\n";
    let (state, stops, said) =
        checked(|bench| bench.write("job.toml", format!("{}\n{own}", bench.text("job.toml"))));
    assert_eq!(state, "ready", "{stops:?} {said:#}");
}

#[test]
fn what_is_proposed_is_never_a_guess_of_the_unit() {
    let bench = Bench::new();
    for (from, to, wanted) in [
        ("od = \"3.25 in ± 0.004 in\"", "od = \"3.25\"", "od = \"3.25 in\" or \"3.25 mm\""),
        ("wheelbase = \"", "wheelbase = \"285\" # ", "wheelbase = \"285 in\" or \"285 mm\""),
    ] {
        let text = bench.text("job.toml");
        bench.edit("job.toml", from, to);
        let said = bench.run(&["check", "job.toml"]);
        let all = format!("{}{}", said.out, said.err);
        assert!(all.contains(wanted), "{all}");
        bench.write("job.toml", text);
    }
    let said = bench.run(&["reckon", "knuckle-rotation", "measured=-5.3", "target=6 deg"]);
    let all = format!("{}{}", said.out, said.err);
    assert!(all.contains("\"-5.3 deg\"") && !all.contains("\"5.3"), "{all}");
    assert!(!all.contains("2.5 deg"), "{all}");
    let said = bench.run(&["reckon", "torque", "thread=1/2-20", "grade=SAE J429 8", "preload=75%"]);
    assert!(format!("{}{}", said.out, said.err).contains("percent="), "{}{}", said.out, said.err);
}

#[test]
fn thousands_may_stand_in_groups() {
    use tackwright::quantity::{Kind, parse};
    for (kind, text, plain) in [
        (Kind::Mass, "2 400 kg", "2400 kg"),
        (Kind::Mass, "2'400 kg", "2400 kg"),
        (Kind::Length, "12 500 mm", "12500 mm"),
        (Kind::Length, "1 1/2 in", "1.5 in"),
        (Kind::Length, "1 125/1000 in", "1.125 in"),
        (Kind::Length, "5 ft 3 in", "63 in"),
        (Kind::Length, "2'3 in", "27 in"),
    ] {
        let read = |t: &str| parse::quantity(kind, t).unwrap_or_else(|e| panic!("{t}: {e}")).si();
        assert!((read(text) - read(plain)).abs() < 1e-9 * read(plain).abs(), "{text}");
    }
}

#[test]
fn a_lost_log_is_told_by_the_journal() {
    let bench = Bench::new();
    bench.yes(&["issue", "job.toml"]);
    std::fs::remove_file(bench.path("travelers/TW-2041/log.jsonl")).unwrap();
    let said = bench.no(&["status", "TW-2041"], "journal.jsonl");
    assert!(said.err.contains("backup") && !said.err.contains("never issued"), "{}", said.err);
    bench.write("travelers/TW-2041/log.jsonl", "");
    let said = bench.no(&["status", "TW-2041"], "journal.jsonl");
    assert!(said.err.contains("backup") && !said.err.contains("never issued"), "{}", said.err);
}

#[test]
fn an_empty_sheet_of_another_traveler_is_told() {
    let bench = Bench::new();
    bench.yes(&["issue", "job.toml"]);
    bench.yes(&["sheet", "TW-2041", "--out", "s.csv"]);
    bench.write("s.csv", bench.text("s.csv").replace("TW-2041 A", "TW-9999 A"));
    bench.no(&["sheet", "TW-2041", "--take", "s.csv", "--by", "LO"], "TW-9999");
}

#[test]
fn people_joints_and_fasteners_have_ids_of_their_own() {
    let told = |from: &str, to: &str| {
        let (state, _, said) = checked(|bench| bench.edit("job.toml", from, to));
        assert_eq!(state, "ready", "{said:#}");
        said["problems"].as_array().unwrap().iter().any(|p| p["code"] == "J119")
    };
    assert!(told("id = \"J1\"", "id = \"WO\"") && told("id = \"B1\"", "id = \"IO\""));
    for job in ["brush-truck", "crew-cab", "forest-carrier", "hoist-frame", "pump-trailer"] {
        let text =
            std::fs::read_to_string(format!("{}/jobs/{job}.toml", env!("CARGO_MANIFEST_DIR"))).unwrap();
        let (_, _, said) = checked(|bench| bench.write("job.toml", &text));
        assert!(!said["problems"].as_array().unwrap().iter().any(|p| p["code"] == "J119"), "{job}: {said:#}");
    }
}

#[test]
fn check_route_and_paper_count_the_same_work() {
    let bench = Bench::new();
    let check = bench.yes(&["check", "job.toml"]).out;
    let route = bench.yes(&["route", "job.toml"]).out;
    let said =
        check.lines().find(|l| l.contains(" operations")).unwrap().split(';').next().unwrap().to_owned();
    assert!(said.contains(" h in ") && said.contains("after hand-over"), "{said}");
    assert!(route.contains(&said), "{said}\n{route}");
    let numbered = |l: &&str| l.trim_start().starts_with(|c: char| c.is_ascii_digit()) && l.ends_with(']');
    let lines = route.lines().filter(numbered).count();
    let counted: usize = said
        .split(" in ")
        .skip(1)
        .map(|part| part.split(' ').next().unwrap().parse::<usize>().unwrap())
        .sum();
    assert_eq!(lines, counted, "{said}");
    bench.yes(&["issue", "job.toml"]);
    let paper = bench.text("travelers/TW-2041/A/document.json");
    // The paper has a line of its own for each.
    for part in said.split(", and ") {
        let own = part.replace(" after hand-over", " operations").replacen(" in ", ", ", 1);
        assert!(own.ends_with(" operations") && paper.contains(&format!("\"{own}\"")), "{own}");
    }
}

#[test]
fn a_metric_job_is_told_of_its_shop_in_its_units() {
    let bench = Bench::new();
    let text =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/forest-carrier.toml")).unwrap();
    bench.write("metric.toml", text);
    let said = bench.run(&["check", "metric.toml"]);
    let tools = said.out.split("STAYS OPEN").next().unwrap();
    // Where both are told, the metric one stands first: no "N lbf-ft (N·m)".
    for line in tools.lines() {
        for (inch, metric) in
            [(" lbf-ft (", "N·m)"), (" in (", "mm)"), ("°F (", "°C)"), (" in/min (", "mm/min)")]
        {
            let first =
                line.split(inch).nth(1).and_then(|rest| rest.split(')').next()).map(|r| format!("{r})"));
            assert!(!first.is_some_and(|r| r.ends_with(metric)), "{line}");
        }
    }
    let book = bench.yes(&["new", "shop", "--units", "metric", "--paper", "a4"]).out;
    for line in ["units = \"metric\"", "paper = \"a4\"", "amps = \"150 A to 195 A\""] {
        assert!(book.lines().any(|l| l == line), "{line}");
    }
    for inch in [" in\"", " lbf-ft\"", " degF\"", " ft\"", " in/min\""] {
        assert!(!book.contains(inch), "{inch} stands in a metric book");
    }
    bench.write("shop.toml", &book);
    let read = bench.run(&["shop", "shop.toml"]);
    assert!(!read.err.contains("error"), "{}{}", read.out, read.err);
}

#[test]
fn every_instrument_that_is_offered_can_make_its_reading() {
    use tackwright::record::serves::serves;
    let bench = Bench::new();
    bench.yes(&["issue", "job.toml"]);
    let said = bench.json(&["status", "TW-2041", "--json"]);
    let book = bench.text("shop.toml");
    let kind = |id: &str| {
        let at = book.find(&format!("id = \"{id}\"")).unwrap();
        book[at..].split("kind = \"").nth(1).unwrap().split('"').next().unwrap().to_owned()
    };
    let mut offered = 0;
    for found in said["travelers"][0]["boxes"].as_array().unwrap() {
        let Some(asked) = found["instrument"].as_str() else { continue };
        for tool in found["tools"].as_array().unwrap() {
            let kind = kind(tool.as_str().unwrap());
            assert!(serves(&kind, asked), "{} is offered a {kind} for {asked}", found["typed"]);
            offered += 1;
        }
    }
    assert!(offered > 50, "{offered}");
    // Without a tape nothing made for a wall or a gap is offered for a wheelbase.
    let bench = Bench::new();
    bench.edit("shop.toml", "kind = \"tape\"", "kind = \"tape\"\nout_of_service = \"stretched\"");
    bench.yes(&["issue", "job.toml"]);
    let said = bench.json(&["status", "TW-2041", "--json"]);
    let boxes = said["travelers"][0]["boxes"].as_array().unwrap();
    let wheelbase = boxes.iter().find(|b| b["box"] == "record-as-found:wheelbase-left").unwrap();
    let tools: Vec<&str> = wheelbase["tools"].as_array().unwrap().iter().filter_map(Json::as_str).collect();
    for tool in ["UT-1", "FG-1", "DP-1", "DG-1", "WG-1", "WG-2"] {
        assert!(!tools.contains(&tool), "{tools:?}");
    }
}
