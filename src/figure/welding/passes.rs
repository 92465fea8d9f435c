//! How many passes fill a fillet or groove, from the metal laid per length.

use super::weld_strength::{COUNT, LEG};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::GAUGE;
use crate::quantity::{
    Area, Density, Dimensioned, Kind, Length, LinearDensity, MassRate, Number, Percent, Speed, unit,
};
use crate::source::Source;

const VOLUME: Source = Source::derived(
    "metal deposited per length equals bead area",
    "conservation of mass, wire in and bead out",
);
const SINGLE: Source =
    Source::standard("AWS D1.1:2015", "table 3.6, prequalified single-pass fillets (2020: table 5.1)")
        .from_memory();

/// Steel weld metal.
const STEEL_KG_M3: f64 = 7850.0;

/// Number of passes.
pub static PASSES: Family = Family {
    name: "passes",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "number of passes from the metal laid per length",
    inputs: &[
        LEG,
        Input::optional("area", Kind::Area, "cross-section to fill, instead of a leg")
            .also(&["weld_area", "groove_area"]),
        Input::defaulted(
            "reinforcement",
            Kind::Percent,
            "10 %",
            "extra metal over the plain triangle or groove",
        )
        .also(&["excess", "convexity"]),
        Input::required("travel", Kind::Speed, "travel speed, arc on").also(&["travel_speed", "speed", "v"]),
        Input::optional("deposition", Kind::MassRate, "deposition rate, net")
            .also(&["deposition_rate", "rate"]),
        Input::optional(
            "wire_diameter",
            Kind::Length,
            "wire diameter, with wire_speed, instead of deposition",
        )
        .also(&["wire", "wire_dia", "diameter"]),
        Input::optional("wire_speed", Kind::Speed, "wire feed speed").also(&[
            "wfs",
            "wire_feed",
            "wire_feed_speed",
        ]),
        Input::defaulted(
            "efficiency",
            Kind::Percent,
            "93 %",
            "deposition efficiency of the wire; 93 % suits solid wire in CO2",
        )
        .also(&["ee", "deposition_efficiency"]),
        Input::defaulted("density", Kind::Density, "7850 kg/m3", "density of the weld metal"),
        Input::choice(
            "process",
            &[
                "smaw", "gmaw", "fcaw", "saw", "stick", "mma", "mig", "mag", "mig/mag", "111", "135", "136",
                "121",
            ],
            Need::Optional,
            "with position, says whether one bead of this leg is still prequalified",
        ),
        Input::choice(
            "position",
            &[
                "flat",
                "horizontal",
                "vertical",
                "overhead",
                "1f",
                "2f",
                "3f",
                "4f",
                "pa",
                "pb",
                "pf",
                "pg",
                "pd",
            ],
            Need::Optional,
            "welding position of the fillet",
        ),
    ],
    outputs: &[
        Output::new(
            "weld_area",
            "cross-section to fill",
            Kind::Area,
            "leg^2 / 2 (or area) x (1 + reinforcement)",
            VOLUME,
        ),
        Output::new(
            "deposition",
            "deposition rate",
            Kind::MassRate,
            "pi/4 d^2 x wire speed x density x efficiency",
            VOLUME,
        ),
        Output::new("bead_mass", "metal laid per length", Kind::LinearDensity, "deposition / travel", VOLUME),
        Output::new(
            "bead_area",
            "cross-section of one bead",
            Kind::Area,
            "deposition / (density x travel)",
            VOLUME,
        )
        .down(),
        Output::new(
            "bead_leg",
            "leg of one bead laid as a fillet",
            Kind::Length,
            "sqrt(2 x bead area / (1 + reinforcement))",
            VOLUME,
        )
        .style(GAUGE)
        .down(),
        Output::new("passes", "passes", Kind::Number, "weld area / bead area, rounded up", VOLUME)
            .range("all passes at the same settings")
            .style(COUNT),
        Output::new(
            "single_pass_max",
            "largest prequalified single-pass leg",
            Kind::Length,
            "by process and position",
            SINGLE,
        )
        .style(GAUGE)
        .down(),
    ],
    example: "leg=\"3/8 in\" wire_diameter=\"0.035 in\" wire_speed=\"300 in/min\" travel=\"12 in/min\"",
    run: passes,
};

/// Deposition rate of a wire.
#[must_use]
pub fn deposition(diameter: Length, feed: Speed, density: Density, efficiency: Percent) -> MassRate {
    let area = diameter * diameter * (std::f64::consts::PI / 4.0);
    area * feed * density * efficiency.si()
}

/// Largest single-pass fillet without qualification tests, by process and
/// position (AWS D1.1:2015 table 3.6, recalled).
#[must_use]
pub fn single_pass_max(process: &str, position: &str) -> Option<Length> {
    let process = match process {
        "stick" | "mma" | "111" => "smaw",
        "mig" | "mag" | "mig/mag" | "135" => "gmaw",
        "136" => "fcaw",
        "121" => "saw",
        other => other,
    };
    let position = match position {
        "1f" | "pa" => "flat",
        "2f" | "pb" => "horizontal",
        "3f" | "pf" | "pg" => "vertical",
        "4f" | "pd" => "overhead",
        other => other,
    };
    let eighths = match (process, position) {
        // Submerged arc is flat or horizontal; flat has no limit.
        ("saw", "horizontal") => 2.5,
        ("saw", _) => return None,
        ("smaw", "flat") | ("gmaw" | "fcaw", "horizontal") => 3.0,
        ("gmaw" | "fcaw", "flat") | ("smaw" | "gmaw" | "fcaw", "vertical") => 4.0,
        ("smaw", "horizontal") | (_, "overhead") => 2.5,
        _ => return None,
    };
    Some(Length::of(eighths / 8.0, unit::IN))
}

fn passes(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let reinforcement: Percent = given.or("reinforcement", Percent::from_si(0.10))?;
    let more = 1.0 + reinforcement.si();
    if reinforcement.si() < 0.0 {
        given::positive("reinforcement", reinforcement)?;
    }
    let leg: Option<Length> = given.maybe("leg")?;
    let plain: Area = match (leg, given.maybe::<Area>("area")?) {
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible("both leg and area are given", "give one of them"));
        }
        (Some(leg), None) => {
            let leg = given::positive("leg", leg)?;
            leg * leg / 2.0
        }
        (None, Some(area)) => given::positive("area", area)?,
        (None, None) => return Err(Trouble::Missing(vec!["leg"])),
    };
    let travel: Speed = given::positive("travel", given.need("travel")?)?;
    let density: Density = given::positive("density", given.or("density", Density::from_si(STEEL_KG_M3))?)?;
    let wire = given.has("wire_diameter") || given.has("wire_speed");
    let rate: MassRate = match (given.maybe::<MassRate>("deposition")?, wire) {
        (Some(_), true) => {
            return Err(Trouble::impossible("both deposition and wire data are given", "give one of them"));
        }
        (Some(rate), false) => given::positive("deposition", rate)?,
        (None, true) => {
            given.require(&["wire_diameter", "wire_speed"])?;
            let efficiency: Percent = given.or("efficiency", Percent::from_si(0.93))?;
            given::within("efficiency", efficiency, unit::PCT, 1.0..=100.0, VOLUME)?;
            deposition(
                given::positive("wire_diameter", given.need("wire_diameter")?)?,
                given::positive("wire_speed", given.need("wire_speed")?)?,
                density,
                efficiency,
            )
        }
        (None, false) => return Err(Trouble::Missing(vec!["deposition"])),
    };
    let mass: LinearDensity = rate / travel;
    let bead: Area = mass / density;
    let number = (plain.si() * more / bead.si() * (1.0 - 1e-9)).ceil();
    answer.put("weld_area", plain * more);
    answer.put("deposition", rate);
    answer.put("bead_mass", mass);
    answer.put("bead_area", bead);
    answer.put("bead_leg", Length::from_si((2.0 * bead.si() / more).sqrt()));
    answer.put("passes", Number::from_si(number));
    if let (Some(process), Some(position)) = (given.maybe_word("process")?, given.maybe_word("position")?)
        && let Some(max) = single_pass_max(process, position)
    {
        answer.put("single_pass_max", max);
        if number <= 1.0 && leg.is_some_and(|leg| leg.si() > max.si() * (1.0 + 1e-9)) {
            answer.warn("One bead of this leg is over the prequalified single-pass size: lay it in more passes, or qualify it.");
        }
    }
    if number <= 1.0 && bead.si() > 1.25 * plain.si() * more {
        answer.warn("One bead lays over a quarter more metal than the weld needs: travel faster or turn the wire down.");
    }
    Ok(())
}
