//! Dimensions of a thread from its designation.

use super::limits::{self, Class};
use super::profile;
use super::selection::{self, DIAMETER, PITCH, THREAD_OR_SIZE, TPI};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble};
use crate::quantity::{Dimensioned, Form, Kind, Length, Number, Style, unit};
use crate::reference::thread::{B1_1, ISO_724};
use crate::reference::thread_tolerance::ISO_965;
use crate::source::Source;

const FINE: Style = Style::pair(Form::decimal(unit::IN, 0.0001), Form::decimal(unit::MM, 0.001));
const FORMULA_2: Source = Source::standard("ASME B1.1", "appendix B, formula 2").from_memory();
const TOLERANCE: Source = Source::standard("ASME B1.1", "clause 5, tolerances and allowance").from_memory();
const STRIP: Source =
    Source::handbook("FED-STD-H28 and Machinery's Handbook", "length of thread engagement").from_memory();
const SIZES: &str = "inch: 0.060 to 4 in; metric: M1.6 to M64, pitches of ISO 261";
const HEX: Source = Source::standard("ASME B18.2.1, ASME B18.2.2, ISO 272", "widths across flats");

/// Dimensions of a Unified or ISO metric thread.
pub static THREAD_SIZE: Family = Family {
    name: "thread",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "pitch, diameters and areas of a Unified or ISO metric thread",
    inputs: &[
        THREAD_OR_SIZE,
        DIAMETER,
        PITCH,
        TPI,
        Input::name(
            "tolerance_class",
            Need::Default("as designated, else 2A or 6g"),
            "tolerance class: 1A to 3A and 1B to 3B, metric 6g, 4h6h, 6H and the like",
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
        Output::word("tolerance_class", "tolerance class", "as designated or given, else 2A or 6g", TOLERANCE),
        Output::new("allowance", "allowance, or fundamental deviation", Kind::Length, "1A, 2A: 0.300 of the 2A pitch tolerance; 3A and nuts: 0; metric: table", TOLERANCE)
            .range(SIZES)
            .style(FINE),
        Output::new(
            "pitch_tolerance",
            "pitch-diameter tolerance",
            Kind::Length,
            "2A: 0.0015 d^(1/3) + 0.0015 Le^(1/2) + 0.015 P^(2/3) in; 1A 1.5, 3A 0.75, 1B 1.95, 2B 1.3, 3B 0.975 of it; metric: table",
            TOLERANCE,
        )
        .range(SIZES)
        .style(FINE),
        Output::new("pitch_diameter_max", "greatest pitch diameter", Kind::Length, "bolt: d2 - allowance; nut: d2 + tolerance", TOLERANCE)
            .range(SIZES)
            .style(FINE),
        Output::new("pitch_diameter_min", "least pitch diameter", Kind::Length, "bolt: d2 - allowance - tolerance, each rounded to 0.0001 in; nut: d2", TOLERANCE)
            .range(SIZES)
            .style(FINE),
        Output::new("major_max", "greatest major diameter of the bolt", Kind::Length, "d - allowance", TOLERANCE)
            .range(SIZES)
            .style(FINE),
        Output::new("major_min", "least major diameter of the bolt", Kind::Length, "d - allowance - 0.060 P^(2/3) in, 1A 0.090; metric: table", TOLERANCE)
            .range(SIZES)
            .style(FINE),
        Output::new("minor_min", "least minor diameter of the nut", Kind::Length, "D1, metric G with its deviation", TOLERANCE)
            .range(SIZES)
            .style(FINE),
        Output::new("minor_max", "greatest minor diameter of the nut", Kind::Length, "D1 + 0.25 P - 0.40 P^2 in; 3B 0.05 P^(2/3) + 0.03 P/d - 0.002 in; metric: table", TOLERANCE)
            .range(SIZES)
            .style(FINE),
        Output::new(
            "stripping_length",
            "least engagement so that the bolt breaks before its thread strips",
            Kind::Length,
            "2 At / (pi Kn [1/2 + 0.57735 (Es - Kn)/P]), Kn greatest minor diameter of the nut, Es least pitch diameter of the bolt",
            STRIP,
        )
        .range("nut as strong as the bolt, class of the same number, or 6H")
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
    let thread = selection::thread_or_size(given, answer)?;
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
    }
    tolerances(given, answer, &thread)?;
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
    Ok(())
}

/// The class given or designated; `None` if neither.
fn class(given: &Given, thread: &selection::Thread) -> Result<Option<(Class, String)>, Trouble> {
    let word = match (given.maybe_word("tolerance_class")?, &thread.class) {
        (Some(word), Some(own)) if !word.trim().eq_ignore_ascii_case(own) => {
            return Err(Trouble::impossible(
                format!("tolerance_class is {word} and the designation says {own}"),
                "give the class once",
            ));
        }
        (_, Some(own)) => own.as_str(),
        (Some(word), None) => word.trim(),
        (None, None) => return Ok(None),
    };
    // 2a is 2A; a metric letter keeps its case, which says bolt or nut.
    let text = if thread.is_metric() { word.to_owned() } else { word.to_ascii_uppercase() };
    let class = Class::read(&text).ok_or_else(|| Trouble::Unknown {
        input: "tolerance_class".to_owned(),
        given: word.to_owned(),
        choices: CLASSES.iter().map(|c| (*c).to_owned()).collect(),
    })?;
    Ok(Some((class, text)))
}

/// Classes in common use, for a refusal.
const CLASSES: [&str; 10] = ["1A", "2A", "3A", "1B", "2B", "3B", "6g", "6h", "4h6h", "6H"];

fn tolerances(given: &Given, answer: &mut Answer, thread: &selection::Thread) -> Result<(), Trouble> {
    let d = thread.major.to(unit::IN);
    let asked = class(given, thread)?;
    if !thread.is_metric() && !(0.06 - 1e-9..=4.0 + 1e-9).contains(&d) {
        answer.warn("The class tolerances are given for 0.060 to 4 in and are left out for this size.");
        return Ok(());
    }
    let named = asked.is_some();
    let (class, text) = match asked {
        Some(asked) => asked,
        None if thread.is_metric() => (Class::Metric { pitch: 6, crest: 6, position: 'g' }, "6g".to_owned()),
        None => (Class::Inch { number: 2, external: true }, "2A".to_owned()),
    };
    // A metric thread has no length of engagement here: its tables are for the normal one.
    let engagement: Option<Length> = if thread.is_metric() { None } else { given.maybe("engagement")? };
    let found = match limits::limits(thread, class, engagement) {
        Ok(found) => found,
        Err(trouble) if named => return Err(trouble),
        Err(_) => {
            answer.warn(format!("No tolerances are listed for {}; its limits are left out.", thread.name));
            return Ok(());
        }
    };
    answer.put_word("tolerance_class", text);
    answer.put("allowance", found.allowance);
    answer.put("pitch_tolerance", found.pitch_tolerance);
    answer.put("pitch_diameter_max", found.pitch_max);
    answer.put("pitch_diameter_min", found.pitch_min);
    let ids: &[&'static str] = if class.is_external() {
        answer.put("major_max", found.crest_max);
        answer.put("major_min", found.crest_min);
        &[
            "tolerance_class",
            "allowance",
            "pitch_tolerance",
            "pitch_diameter_max",
            "pitch_diameter_min",
            "major_max",
            "major_min",
        ]
    } else {
        answer.put("minor_min", found.crest_min);
        answer.put("minor_max", found.crest_max);
        &[
            "tolerance_class",
            "allowance",
            "pitch_tolerance",
            "pitch_diameter_max",
            "pitch_diameter_min",
            "minor_min",
            "minor_max",
        ]
    };
    if thread.is_metric() {
        for id in ids {
            answer.source(id, ISO_965);
        }
    }
    if class.is_external() {
        if let Ok(nut) = limits::limits(thread, class.partner(), None) {
            let area = profile::nominal_stress_area(thread);
            let length = limits::stripping_length(area, thread.pitch, nut.crest_max, found.pitch_min);
            answer.put("stripping_length", length);
        }
        if !thread.is_metric() {
            answer.put(
                "stress_area_high_strength",
                profile::stress_area_high_strength(thread, found.pitch_min),
            );
        }
    }
    Ok(())
}
