//! Published stages of U-bolts and wheel nuts, and when to torque again.

use super::selection::{FINE_TORQUE, Named};
use crate::figure::prelude::*;
use crate::reference::tightening::{
    Seat, U_BOLT_MANUALS, U_BOLT_SHOP, U_BOLTS, U_BOLTS_SMALL, WHEEL_MANUAL, WHEELS, WheelNut,
};

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

crate::words!(@traits Seat, Seat::WORDS, Seat::of, Seat::word, &[("coned", "cone"), ("conical", "cone"), ("flanged", "flange")]);

family! {
    pub UBOLT_CHART = "ubolt-chart" in Fastening: "published tightening stages of spring U-bolts with high nuts";
    also "u-bolt-chart", "u-bolt-torque", "u-bolt-stages";
    reads ChartThread { ..bolt: Named; }
    gives UBoltStages {
        first_stage: String, "first stage", "hand tight", U_BOLT_MANUALS;
        second_stage: Torque, "second stage", "table", U_BOLT_MANUALS => .style(FINE_TORQUE);
        third_stage: Torque, "third stage", "table", U_BOLT_MANUALS => .style(FINE_TORQUE);
        final_min: Torque, "final torque, low end", "table", U_BOLT_MANUALS => .style(LOW);
        final_max: Torque, "final torque, high end", "table", U_BOLT_MANUALS => .style(HIGH);
        final_plated: Torque, "final torque, plated", "table", U_BOLT_SHOP => .style(FINE_TORQUE);
        final_unplated: Torque, "final torque, unplated", "table", U_BOLT_SHOP => .style(FINE_TORQUE);
    }
    example "thread=\"3/4-16\"";
    by u_bolt
}

fn u_bolt(given: &ChartThread, answer: &mut UBoltStages) -> Result<()> {
    let thread = given.bolt.find(&mut answer.said)?;
    let bare = thread.name.split(' ').next().unwrap_or("");
    let torque = |v: f64| Torque::of(v, unit::LBF_FT);
    if let Some((_, plated, unplated)) = U_BOLTS_SMALL.iter().find(|row| row.0 == bare) {
        answer.final_plated.put(torque(*plated));
        answer.final_unplated.put(torque(*unplated));
        answer.warn("This size has the table of one spring shop only, for grade 5, and no stages: use torque-stages for the steps.");
        answer.warn(ONCE);
        return Ok(());
    }
    let Some((_, second, third, low, high)) = U_BOLTS.iter().find(|row| row.0 == bare) else {
        let listed = U_BOLTS_SMALL.iter().map(|r| r.0).chain(U_BOLTS.iter().map(|r| r.0));
        return Err(Trouble::Unknown {
            input: "thread".to_owned(),
            given: thread.name.clone(),
            choices: listed.map(str::to_owned).collect(),
        });
    };
    answer.first_stage.put("hand tight");
    answer.second_stage.put(torque(*second));
    answer.third_stage.put(torque(*third));
    answer.final_min.put(torque(*low));
    answer.final_max.put(torque(*high));
    if third > low {
        answer.warn("The third stage is above the low end of the final band for this size; stop at the final torque if it is the lower one.");
    }
    answer.warn(ONCE);
    Ok(())
}

family! {
    pub WHEEL_NUTS = "wheel-nuts" in Fastening:
        "published tightening stages of trailer wheel nuts, and when to check them";
    also "lug-nuts", "wheel-torque", "wheel-nut", "wheel-nut-torque";
    reads Wheel {
        required stud: String, "stud size: 1/2, 9/16 or 5/8 in, with the seat behind it if the size has several: 5/8 flange",
            "bolt", "stud_diameter", "thread", "size", "stud_size";
        optional seat: Seat, "seat of the nut, where the stud size does not say it", "nut_seat", "nut";
    }
    gives WheelStages {
        seat: Seat, "seat of the nut", "table", WHEEL_MANUAL;
        wheel: String, "wheel", "table", WHEEL_MANUAL;
        stage_min: Vec<Torque>, "low end of each stage", "table", WHEEL_MANUAL => .style(LOW);
        stage_max: Vec<Torque>, "high end of each stage", "table", WHEEL_MANUAL => .style(HIGH);
        check_after: Vec<Length>, "check again after", "table", WHEEL_MANUAL => .style(ROAD);
    }
    example "stud=\"1/2\"";
    by wheel
}

/// Stud size and seat of a text such as `5/8`, `9/16-18 UNF`, `5/8 in flange nut`;
/// nothing if a word of it is neither size, thread nor seat, or the seat is said
/// twice and differently.
fn stud(text: &str, seat: Option<Seat>) -> Option<(String, Option<Seat>)> {
    let plain = text.to_lowercase().replace(['"', '″', '”'], " in ");
    let mut words = plain.split_whitespace();
    let size = words.next().and_then(|w| w.split('-').next()).unwrap_or("").trim_end_matches("in");
    let mut found = seat;
    for word in words {
        match (word, Seat::read(word)) {
            (_, Some(said)) if found.is_none_or(|other| other == said) => found = Some(said),
            ("in" | "inch" | "stud" | "studs" | "nut" | "nuts" | "seat" | "unf" | "unc", _) => {}
            // Threads per inch behind the size: 1/2 20.
            (tpi, None) if tpi.parse::<u32>().is_ok_and(|n| (8..=28).contains(&n)) => {}
            _ => return None,
        }
    }
    Some((size.to_owned(), found))
}

fn wheel(given: &Wheel, answer: &mut WheelStages) -> Result<()> {
    let unknown = || Trouble::Unknown {
        input: "stud".to_owned(),
        given: (*given.stud).clone(),
        choices: WHEELS.iter().map(|nut| format!("{} {}", nut.stud, nut.seat.word())).collect(),
    };
    if let (Some((_, Some(own))), Some(seat)) = (stud(&given.stud, None), *given.seat)
        && own != seat
    {
        return Err(Trouble::impossible(
            format!("stud says {} and seat says {}", own.word(), seat.word()),
            "give the seat that the nut has",
        ));
    }
    let (size, seat) = stud(&given.stud, *given.seat).ok_or_else(unknown)?;
    let listed = |nut: &WheelNut| nut.stud == size;
    if let Some(seat) = seat
        && WHEELS.iter().any(listed)
        && !WHEELS.iter().any(|nut| listed(nut) && nut.seat == seat)
    {
        return Err(Trouble::impossible(
            format!("the table has no {} nut for a stud of {size} in", seat.word()),
            "ask the wheel's or the axle's maker",
        ));
    }
    let fits = |nut: &&WheelNut| nut.stud == size && seat.is_none_or(|s| s == nut.seat);
    let nut = match WHEELS.iter().filter(fits).collect::<Vec<_>>().as_slice() {
        [nut] => *nut,
        [] => return Err(unknown()),
        // The seats of one size differ by half as much again.
        _ => return Err(Trouble::Missing(vec!["seat"])),
    };
    answer.seat.put(nut.seat);
    answer.wheel.put(nut.wheel);
    answer.stage_min.put(nut.stages.map(|s| Torque::of(s.0, unit::LBF_FT)));
    answer.stage_max.put(nut.stages.map(|s| Torque::of(s.1, unit::LBF_FT)));
    answer.check_after.put([10.0, 25.0, 50.0].map(|m| Length::of(m, unit::MILE)));
    answer.warn("Star order; match the nut to the seat angle; no oil on wheel studs unless the maker says so. The wheel or axle maker's torque comes first.");
    Ok(())
}

words! {
    /// Joint that is torqued again.
    pub Joint {
        /// U-bolts of a spring.
        UBolt = "u-bolt" | "u-bolts" | "ubolts" | "u-bolt-pair" | "ubolt-pair" | "spring-u-bolt" | "spring-u-bolts",
        /// Wheel nuts.
        Wheel = "wheel" | "wheels" | "wheel-nut" | "wheel-nuts" | "lug-nut" | "lug-nuts" | "wheel-bolts",
        /// Bolted flange.
        Flange = "flange" | "flanges" | "flange-bolts",
        /// Structural joint.
        Structural = "structural",
        /// A joint that was welded near.
        WeldedNear = "welded-near",
    }
}

family! {
    pub RETORQUE = "retorque" in Fastening: "when to torque a joint again, by kind of joint";
    also "re-torque", "re-torque-distance", "retorque-distance";
    reads Again { required joint: Joint, "kind of joint", "kind", "type"; }
    gives AgainAfter {
        distances: Vec<Length>, "check again after", "table", SPRING_SHOP => .style(ROAD);
        when: Vec<String>, "when", "rule by kind of joint", SPRING_SHOP;
    }
    example "joint=u-bolt";
    by again
}

fn again(given: &Again, answer: &mut AgainAfter) -> Result<()> {
    let (miles, when, source): (&[f64], &[&str], Source) = match *given.joint {
        Joint::UBolt => (
            &[100.0, 500.0],
            &[
                "after 100 mi (160 km) of settling",
                "within the first 500 mi (800 km)",
                "then at each service",
                "after any welding or heat near the clamp",
            ],
            SPRING_SHOP,
        ),
        Joint::Wheel => (
            &[10.0, 25.0, 50.0],
            &[
                "by 50 mi (80 km), first drive and after each wheel change",
                "trailer wheels at 10 and 25 mi (16 and 40 km) as well",
                "then 50 to 100 mi (80 to 160 km) later",
            ],
            WHEEL_MANUAL,
        ),
        Joint::Flange => (
            &[],
            &["circular passes at full torque until no nut turns", "once more after at least 4 h"],
            FLANGE,
        ),
        Joint::WeldedNear => (
            &[],
            &[
                "torque put on before welding near the joint is void",
                "torque again when the joint is cold",
                "and again after settling",
            ],
            STRUCTURE,
        ),
        Joint::Structural => {
            (&[], &["check pass in rotation after the last stage", "again after heat or settling"], STRUCTURE)
        }
    };
    if !miles.is_empty() {
        answer.distances.put(miles.iter().map(|m| Length::of(*m, unit::MILE)).collect::<Vec<_>>());
    }
    answer.when.put(when.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>());
    answer.distances.source(source);
    answer.when.source(source);
    Ok(())
}
