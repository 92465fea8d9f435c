//! Dimensions of a thread from its designation.

use super::profile::{self, Class};
use super::selection::{self, DIAMETER, PITCH, THREAD_OR_SIZE, TPI};
use crate::figure::{Answer, Family, Given, Group, Input, Need, Output, Trouble};
use crate::quantity::{Dimensioned, Form, Kind, Length, Number, Style, unit};
use crate::reference::thread::{B1_1, ISO_724};
use crate::source::Source;

const FINE: Style = Style::pair(Form::decimal(unit::IN, 0.0001), Form::decimal(unit::MM, 0.001));
const FORMULA_2: Source = Source::standard("ASME B1.1", "appendix B, formula 2").from_memory();
const TOLERANCE: Source =
    Source::standard("ASME B1.1", "pitch-diameter tolerance and allowance").from_memory();
const HEX: Source = Source::standard("ASME B18.2.1, ASME B18.2.2, ISO 272", "widths across flats");

/// Dimensions of a Unified or ISO metric thread.
pub static THREAD_SIZE: Family = Family {
    name: "thread",
    group: Group::Fastening,
    title: "pitch, diameters and areas of a Unified or ISO metric thread",
    inputs: &[
        THREAD_OR_SIZE,
        DIAMETER,
        PITCH,
        TPI,
        Input::choice(
            "tolerance_class",
            &["2A", "3A"],
            Need::Default("2A"),
            "class of an inch external thread",
        )
        .also(&["fit", "thread_class"]),
        Input::optional(
            "engagement",
            Kind::Length,
            "length of engagement for the tolerance; without it d for UNC and UNF, 9 pitches otherwise",
        )
        .also(&["le", "length_of_engagement"]),
    ],
    outputs: &[
        Output::word("name", "thread", "designation with its series", B1_1),
        Output::word("series", "series", "series of the table", B1_1),
        Output::new("major", "basic major diameter d", Kind::Length, "nominal diameter", B1_1).style(FINE),
        Output::new("pitch", "pitch P", Kind::Length, "1 / threads per inch, or as designated", B1_1)
            .style(FINE),
        Output::new("tpi", "threads per inch", Kind::Number, "25.4 mm / P", B1_1),
        Output::new("pitch_diameter", "basic pitch diameter d2", Kind::Length, "d - 0.64951905 P", B1_1)
            .style(FINE),
        Output::new(
            "minor_internal",
            "basic minor diameter of the nut D1",
            Kind::Length,
            "d - 1.08253175 P",
            B1_1,
        )
        .style(FINE),
        Output::new(
            "minor_external",
            "minor diameter of the bolt",
            Kind::Length,
            "inch UNR: d - 1.19078 P; metric d3 = d - 1.22686935 P",
            B1_1,
        )
        .style(FINE),
        Output::new(
            "root",
            "diameter of the minor area",
            Kind::Length,
            "inch: d - 1.29903811 P; metric: d3",
            B1_1,
        )
        .style(FINE),
        Output::new(
            "stress_area",
            "tensile stress area, formula 1",
            Kind::Area,
            "inch: pi/4 (d - 0.9743 P)^2; metric: pi/4 ((d2 + d3)/2)^2",
            B1_1,
        )
        .range("inch: steels to 100 ksi tensile; all published tables use it"),
        Output::new("stress_area_printed", "tensile stress area as printed", Kind::Area, "table", B1_1),
        Output::new("minor_area", "minor-diameter area", Kind::Area, "pi/4 root^2", B1_1),
        Output::new("lead_angle", "lead angle", Kind::Angle, "atan(P / (pi d2))", B1_1)
            .style(Style::single(Form::decimal(unit::DEG, 0.01))),
        Output::new(
            "pitch_tolerance",
            "pitch-diameter tolerance",
            Kind::Length,
            "2A: 0.0015 d^(1/3) + 0.0015 Le^(1/2) + 0.015 P^(2/3) in; 3A: 0.75 of it",
            TOLERANCE,
        )
        .range("1/4 to 1-1/2 in")
        .style(FINE),
        Output::new("allowance", "allowance", Kind::Length, "2A: 0.300 of the tolerance; 3A: 0", TOLERANCE)
            .range("1/4 to 1-1/2 in")
            .style(FINE),
        Output::new(
            "pitch_diameter_min",
            "least pitch diameter of the bolt",
            Kind::Length,
            "d2 - allowance - tolerance, each rounded to 0.0001 in",
            TOLERANCE,
        )
        .range("1/4 to 1-1/2 in")
        .style(FINE),
        Output::new(
            "stress_area_high_strength",
            "tensile stress area, formula 2",
            Kind::Area,
            "pi (pitch_diameter_min/2 - 0.16238 P)^2",
            FORMULA_2,
        )
        .range("steels above 100 ksi; computed, no printed table was seen"),
        Output::new("head_flats", "bolt head across flats", Kind::Length, "table", HEX),
        Output::new("nut_flats", "nut across flats", Kind::Length, "table", HEX),
        Output::new(
            "clearance_hole",
            "medium clearance hole",
            Kind::Length,
            "table",
            Source::standard("ISO 273", "medium series"),
        ),
    ],
    example: "thread=\"1/2-20 UNF\"",
    run,
};

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thread = selection::thread_or_size(given)?;
    answer.put_word("name", thread.name.clone());
    answer.put_word("series", thread.series.word());
    answer.put("major", thread.major);
    answer.put("pitch", thread.pitch);
    answer.put("tpi", Number::from_si(1.0 / thread.pitch.to(unit::IN)));
    answer.put("pitch_diameter", profile::pitch_diameter(&thread));
    answer.put("minor_internal", profile::minor_internal(&thread));
    answer.put("minor_external", profile::minor_external(&thread));
    answer.put("root", profile::root(&thread));
    answer.put("stress_area", profile::stress_area(&thread));
    if let Some(printed) = thread.printed_stress_area() {
        answer.put("stress_area_printed", printed);
    }
    answer.put("minor_area", profile::root_area(&thread));
    answer.put("lead_angle", profile::lead_angle(&thread));
    if thread.is_metric() {
        for id in ["name", "series", "major", "pitch", "pitch_diameter", "minor_internal", "minor_external"] {
            answer.source(id, ISO_724);
        }
        for id in ["root", "stress_area", "stress_area_printed", "minor_area", "lead_angle", "tpi"] {
            answer.source(id, ISO_724);
        }
    } else {
        tolerances(given, answer, &thread)?;
    }
    let sizes = [
        ("head_flats", thread.head_flats()),
        ("nut_flats", thread.nut_flats()),
        ("clearance_hole", thread.clearance_hole()),
    ];
    for (id, size) in sizes {
        if let Some(size) = size {
            answer.put(id, size);
        }
    }
    if !thread.is_tabulated() {
        answer.warn(format!(
            "{} is not in the tables; its dimensions are computed from diameter and pitch alone.",
            thread.name
        ));
    }
    Ok(())
}

fn tolerances(given: &Given, answer: &mut Answer, thread: &selection::Thread) -> Result<(), Trouble> {
    let d = thread.major.to(unit::IN);
    if !(0.25 - 1e-9..=1.5 + 1e-9).contains(&d) {
        answer.warn("The class tolerances are given for 1/4 to 1-1/2 in and are left out for this size.");
        return Ok(());
    }
    let class = if given.maybe_word("tolerance_class")? == Some("3A") { Class::ThreeA } else { Class::TwoA };
    let engagement: Option<Length> = given.maybe("engagement")?;
    let limits = profile::pitch_limits(thread, class, engagement);
    answer.put("pitch_tolerance", limits.tolerance);
    answer.put("allowance", limits.allowance);
    answer.put("pitch_diameter_min", limits.least);
    answer.put("stress_area_high_strength", profile::stress_area_high_strength(thread, limits.least));
    Ok(())
}
