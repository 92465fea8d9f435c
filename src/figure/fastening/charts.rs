//! Published stages of U-bolts and wheel nuts, and when to torque again.

use super::selection::{self, FINE_TORQUE, THREAD};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble};
use crate::quantity::{Dimensioned, Form, Kind, Length, Style, Torque, unit};
use crate::reference::tightening::{
    U_BOLT_MANUALS, U_BOLT_SHOP, U_BOLTS, U_BOLTS_SMALL, WHEEL_MANUAL, WHEELS,
};
use crate::source::Source;

const LOW: Style = FINE_TORQUE.up();
const HIGH: Style = FINE_TORQUE.down();
const ROAD: Style = Style::pair(Form::decimal(unit::MILE, 1.0), Form::decimal(unit::KM, 1.0));
const SPRING_SHOP: Source =
    Source::practice("spring shops: 100 mi; truck manuals: 500 mi; then each service");
const FLANGE: Source =
    Source::standard("ASME PCC-1", "circular passes until no nut turns, again after 4 h").from_memory();
const STRUCTURE: Source =
    Source::practice("inspect after the last pass; torque again after heat or settling");

const ONCE: &str = "U-bolts are used once. The vehicle maker's torque comes first; tighten in a diagonal pattern with the vehicle at normal load.";

/// U-bolt torque chart.
pub static UBOLT_CHART: Family = Family {
    name: "ubolt-chart",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "published tightening stages of spring U-bolts with high nuts",
    inputs: &[THREAD],
    outputs: &[
        Output::word("first_stage", "first stage", "hand tight", U_BOLT_MANUALS),
        Output::new("second_stage", "second stage", Kind::Torque, "table", U_BOLT_MANUALS).style(FINE_TORQUE),
        Output::new("third_stage", "third stage", Kind::Torque, "table", U_BOLT_MANUALS).style(FINE_TORQUE),
        Output::new("final_min", "final torque, low end", Kind::Torque, "table", U_BOLT_MANUALS).style(LOW),
        Output::new("final_max", "final torque, high end", Kind::Torque, "table", U_BOLT_MANUALS).style(HIGH),
        Output::new("final_plated", "final torque, plated", Kind::Torque, "table", U_BOLT_SHOP)
            .style(FINE_TORQUE),
        Output::new("final_unplated", "final torque, unplated", Kind::Torque, "table", U_BOLT_SHOP)
            .style(FINE_TORQUE),
    ],
    example: "thread=\"3/4-16\"",
    run: run_u_bolt,
};

fn run_u_bolt(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thread = selection::thread(given, answer)?;
    let bare = thread.name.split(' ').next().unwrap_or("").to_owned();
    let torque = |v: f64| Torque::of(v, unit::LBF_FT);
    if let Some((_, plated, unplated)) = U_BOLTS_SMALL.iter().find(|row| row.0 == bare) {
        answer.put("final_plated", torque(*plated));
        answer.put("final_unplated", torque(*unplated));
        answer.warn("This size has the table of one spring shop only, for grade 5, and no stages: use torque-stages for the steps.");
        answer.warn(ONCE);
        return Ok(());
    }
    let Some((_, second, third, low, high)) = U_BOLTS.iter().find(|row| row.0 == bare) else {
        return Err(Trouble::Unknown {
            input: "thread".to_owned(),
            given: thread.name,
            choices: U_BOLTS_SMALL
                .iter()
                .map(|r| r.0)
                .chain(U_BOLTS.iter().map(|r| r.0))
                .map(str::to_owned)
                .collect(),
        });
    };
    answer.put_word("first_stage", "hand tight");
    answer.put("second_stage", torque(*second));
    answer.put("third_stage", torque(*third));
    answer.put("final_min", torque(*low));
    answer.put("final_max", torque(*high));
    if third > low {
        answer.warn("The third stage is above the low end of the final band for this size; stop at the final torque if it is the lower one.");
    }
    answer.warn(ONCE);
    Ok(())
}

/// Wheel nut stages.
pub static WHEEL_NUTS: Family = Family {
    name: "wheel-nuts",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "published tightening stages of trailer wheel nuts, and when to check them",
    inputs: &[Input::name("stud", Need::Required, "stud size: 1/2, 9/16 or 5/8 in").also(&[
        "bolt",
        "stud_diameter",
        "thread",
        "size",
        "stud_size",
    ])],
    outputs: &[
        Output::word("seat", "seat of the nut", "table", WHEEL_MANUAL),
        Output::word("wheel", "wheel", "table", WHEEL_MANUAL),
        Output::list("stage_min", "low end of each stage", Kind::Torque, "table", WHEEL_MANUAL).style(LOW),
        Output::list("stage_max", "high end of each stage", Kind::Torque, "table", WHEEL_MANUAL).style(HIGH),
        Output::list("check_after", "check again after", Kind::Length, "table", WHEEL_MANUAL).style(ROAD),
    ],
    example: "stud=\"1/2\"",
    run: run_wheel,
};

fn run_wheel(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let text = given.word("stud")?;
    let bare = text.trim().trim_end_matches("in").trim_matches([' ', '"']);
    let size = bare.split([' ', '-']).next().unwrap_or("");
    let Some(nut) = WHEELS.iter().find(|nut| nut.stud == size) else {
        return Err(Trouble::Unknown {
            input: "stud".to_owned(),
            given: text.to_owned(),
            choices: WHEELS.iter().map(|nut| nut.stud.to_owned()).collect(),
        });
    };
    answer.put_word("seat", nut.seat);
    answer.put_word("wheel", nut.wheel);
    answer.put_list("stage_min", nut.stages.iter().map(|s| Torque::of(s.0, unit::LBF_FT)));
    answer.put_list("stage_max", nut.stages.iter().map(|s| Torque::of(s.1, unit::LBF_FT)));
    answer.put_list("check_after", [10.0, 25.0, 50.0].map(|m| Length::of(m, unit::MILE)));
    answer.warn("Star order; match the nut to the seat angle; no oil on wheel studs unless the maker says so. The wheel or axle maker's torque comes first.");
    Ok(())
}

/// When to torque again.
pub static RETORQUE: Family = Family {
    name: "retorque",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "when to torque a joint again, by kind of joint",
    inputs: &[Input::choice(
        "joint",
        &["u-bolt", "wheel", "flange", "structural", "welded-near"],
        Need::Required,
        "kind of joint",
    )
    .also(&["kind", "type"])],
    outputs: &[
        Output::list("distances", "check again after", Kind::Length, "table", SPRING_SHOP).style(ROAD),
        Output::words("when", "when", "rule by kind of joint", SPRING_SHOP),
    ],
    example: "joint=u-bolt",
    run: run_retorque,
};

fn run_retorque(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let (miles, when, source): (&[f64], &[&str], Source) = match given.word("joint")? {
        "u-bolt" => (
            &[100.0, 500.0],
            &[
                "after 100 mi of settling",
                "within the first 500 mi (800 km)",
                "then at each service",
                "after any welding or heat near the clamp",
            ],
            SPRING_SHOP,
        ),
        "wheel" => (
            &[10.0, 25.0, 50.0],
            &[
                "after 10, 25 and 50 mi, first drive and after each wheel change",
                "then 50 to 100 mi later (common practice)",
            ],
            WHEEL_MANUAL,
        ),
        "flange" => (
            &[],
            &["circular passes at full torque until no nut turns", "once more after at least 4 h"],
            FLANGE,
        ),
        "welded-near" => (
            &[],
            &[
                "torque put on before welding near the joint is void",
                "torque again when the joint is cold",
                "and again after settling",
            ],
            STRUCTURE,
        ),
        _ => {
            (&[], &["check pass in rotation after the last stage", "again after heat or settling"], STRUCTURE)
        }
    };
    if !miles.is_empty() {
        answer.put_list("distances", miles.iter().map(|m| Length::of(*m, unit::MILE)));
    }
    answer.put_words("when", when.iter().map(|w| (*w).to_owned()));
    answer.source("distances", source);
    answer.source("when", source);
    Ok(())
}
