//! Dimensions of a thread from its designation.

use super::limits::{self, Class};
use super::profile;
use super::selection::{ByPitch, BySize, Thread};
use crate::figure::prelude::*;
use crate::reference::thread::{B1_1, ISO_724};
use crate::reference::thread_tolerance::ISO_965;

const LEAD: Style = Style::single(Form::decimal(unit::DEG, 0.01));
const FORMULA_2: Source = Source::standard("ASME B1.1", "appendix B, formula 2").from_memory();
const TOLERANCE: Source = Source::standard("ASME B1.1", "clause 5, tolerances and allowance").from_memory();
const STRIP: Source =
    Source::handbook("FED-STD-H28 and Machinery's Handbook", "length of thread engagement").from_memory();
const SIZES: &str = "inch: 0.060 to 4 in; metric: M1.6 to M64, pitches of ISO 261";
const HEX: Source = Source::standard("ASME B18.2.1, ASME B18.2.2, ISO 272", "widths across flats");
const HOLES: Source = Source::standard("ISO 273", "medium series");

family! {
    pub THREAD_SIZE = "thread" in Fastening: "pitch, diameters and areas of a Unified or ISO metric thread";
    also "pitch-diameter", "minor-diameter", "stripping", "thread-stripping", "thread-engagement", "length-of-engagement", "thread-tolerance", "thread-limits", "thread-geometry", "stress-area", "tensile-stress-area", "threads", "thread-data";
    reads Designated {
        ..size: BySize;
        ..fine: ByPitch;
        fallback tolerance_class: String = "as designated, else 2A or 6g",
            "tolerance class: 1A to 3A and 1B to 3B, metric 6g, 4h6h, 6H and the like", "fit", "thread_class", "class";
        optional engagement: Length in ABOVE_ZERO,
            "length of engagement for the tolerance; without it d for UNC and UNF, 9 pitches otherwise",
            "le", "length_of_engagement";
    }
    gives Dimensions {
        name: String, "thread", "designation with its series", B1_1;
        series: String, "series", "series of the table", B1_1;
        major: Length, "basic major diameter d", "nominal diameter", B1_1 => .style(FINE_LENGTH);
        pitch: Length, "pitch P", "1 / threads per inch, or as designated", B1_1 => .style(FINE_LENGTH);
        tpi: Number, "threads per inch", "25.4 mm / P", B1_1;
        pitch_diameter: Length, "basic pitch diameter d2", "d - 0.64951905 P", B1_1 => .style(FINE_LENGTH);
        minor_internal: Length, "basic minor diameter of the nut D1", "d - 1.08253175 P", B1_1 => .style(FINE_LENGTH);
        minor_external: Length, "minor diameter of the bolt", "inch UNR: d - 1.19078 P; metric d3 = d - 1.22686935 P", B1_1
            => .style(FINE_LENGTH);
        root: Length, "diameter of the minor area", "inch: d - 1.29903811 P; metric: d3", B1_1 => .style(FINE_LENGTH);
        stress_area: Area, "tensile stress area, formula 1",
            "inch: pi/4 (d - 0.9743 P)^2; metric: pi/4 ((d2 + d3)/2)^2", B1_1
            => .range("inch: steels to 100 ksi tensile; all published tables use it");
        stress_area_printed: Area, "tensile stress area as printed", "table", B1_1;
        minor_area: Area, "minor-diameter area", "pi/4 root^2", B1_1;
        lead_angle: Angle, "lead angle", "atan(P / (pi d2))", B1_1 => .style(LEAD);
        tolerance_class: String, "tolerance class", "as designated or given, else 2A or 6g", TOLERANCE;
        allowance: Length, "allowance, or fundamental deviation",
            "1A, 2A: 0.300 of the 2A pitch tolerance; 3A and nuts: 0; metric: table", TOLERANCE
            => .range(SIZES).style(FINE_LENGTH);
        pitch_tolerance: Length, "pitch-diameter tolerance",
            "2A: 0.0015 d^(1/3) + 0.0015 Le^(1/2) + 0.015 P^(2/3) in; 1A 1.5, 3A 0.75, 1B 1.95, 2B 1.3, 3B 0.975 of it; metric: table",
            TOLERANCE => .range(SIZES).style(FINE_LENGTH);
        pitch_diameter_max: Length, "greatest pitch diameter", "bolt: d2 - allowance; nut: d2 + tolerance", TOLERANCE
            => .range(SIZES).style(FINE_LENGTH);
        pitch_diameter_min: Length, "least pitch diameter",
            "bolt: d2 - allowance - tolerance, each rounded to 0.0001 in; nut: d2", TOLERANCE
            => .range(SIZES).style(FINE_LENGTH);
        major_max: Length, "greatest major diameter of the bolt", "d - allowance", TOLERANCE => .range(SIZES).style(FINE_LENGTH);
        major_min: Length, "least major diameter of the bolt",
            "d - allowance - 0.060 P^(2/3) in, 1A 0.090; metric: table", TOLERANCE => .range(SIZES).style(FINE_LENGTH);
        minor_min: Length, "least minor diameter of the nut", "D1, metric G with its deviation", TOLERANCE
            => .range(SIZES).style(FINE_LENGTH);
        minor_max: Length, "greatest minor diameter of the nut",
            "D1 + 0.25 P - 0.40 P^2 in; 3B 0.05 P^(2/3) + 0.03 P/d - 0.002 in; metric: table", TOLERANCE
            => .range(SIZES).style(FINE_LENGTH);
        stripping_length: Length, "least engagement so that the bolt breaks before its thread strips",
            "2 At / (pi Kn [1/2 + 0.57735 (Es - Kn)/P]), Kn greatest minor diameter of the nut, Es least pitch diameter of the bolt",
            STRIP => .range("nut as strong as the bolt, class of the same number, or 6H").style(FINE_LENGTH).at_least();
        stress_area_high_strength: Area, "tensile stress area, formula 2",
            "pi (pitch_diameter_min/2 - 0.16238 P)^2", FORMULA_2
            => .range("steels above 100 ksi; computed, no printed table was seen");
        head_flats: Length, "bolt head across flats", "table", HEX;
        nut_flats: Length, "nut across flats", "table", HEX;
        clearance_hole: Length, "medium clearance hole", "table", HOLES;
    }
    asked stress_area;
    example "thread=\"1/2-20 UNF\"";
    by dimensions
}

fn dimensions(given: &Designated, answer: &mut Dimensions) -> Result<()> {
    let thread = given.size.find(Some(&given.fine), &mut answer.said)?;
    answer.name.put(thread.name.clone());
    answer.series.put(thread.series.word());
    answer.major.put(thread.major);
    answer.pitch.put(thread.pitch);
    answer.tpi.put(Number::from_si(1.0 / thread.pitch.to(unit::IN)));
    answer.pitch_diameter.put(profile::pitch_diameter(&thread));
    answer.minor_internal.put(profile::minor_internal(&thread));
    answer.minor_external.put(profile::minor_external(&thread));
    answer.root.put(profile::root(&thread));
    answer.stress_area.put(profile::stress_area(&thread));
    answer.stress_area_printed.put_some(thread.printed_stress_area());
    answer.minor_area.put(profile::root_area(&thread));
    answer.lead_angle.put(profile::lead_angle(&thread));
    answer.head_flats.put_some(thread.head_flats());
    answer.nut_flats.put_some(thread.nut_flats());
    answer.clearance_hole.put_some(thread.clearance_hole());
    if thread.is_metric() {
        answer.name.source(ISO_724);
        answer.series.source(ISO_724);
        for length in [
            &mut answer.major,
            &mut answer.pitch,
            &mut answer.pitch_diameter,
            &mut answer.minor_internal,
            &mut answer.minor_external,
            &mut answer.root,
        ] {
            length.source(ISO_724);
        }
        for area in [&mut answer.stress_area, &mut answer.stress_area_printed, &mut answer.minor_area] {
            area.source(ISO_724);
        }
        answer.lead_angle.source(ISO_724);
        answer.tpi.source(ISO_724);
    }
    tolerances(given, answer, &thread)
}

/// The class given or designated; `None` if neither.
fn class(given: &Designated, thread: &Thread) -> Result<Option<(Class, String)>> {
    let word = match (given.tolerance_class.as_deref(), &thread.class) {
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

fn tolerances(given: &Designated, answer: &mut Dimensions, thread: &Thread) -> Result<()> {
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
    let engagement = if thread.is_metric() { None } else { *given.engagement };
    let found = match limits::limits(thread, class, engagement) {
        Ok(found) => found,
        Err(trouble) if named => return Err(trouble),
        Err(_) => {
            answer.warn(format!("No tolerances are listed for {}; its limits are left out.", thread.name));
            return Ok(());
        }
    };
    answer.tolerance_class.put(text);
    answer.allowance.put(found.allowance);
    answer.pitch_tolerance.put(found.pitch_tolerance);
    answer.pitch_diameter_max.put(found.pitch_max);
    answer.pitch_diameter_min.put(found.pitch_min);
    if class.is_external() {
        answer.major_max.put(found.crest_max);
        answer.major_min.put(found.crest_min);
    } else {
        answer.minor_min.put(found.crest_min);
        answer.minor_max.put(found.crest_max);
    }
    if thread.is_metric() {
        answer.tolerance_class.source(ISO_965);
        for length in [
            &mut answer.allowance,
            &mut answer.pitch_tolerance,
            &mut answer.pitch_diameter_max,
            &mut answer.pitch_diameter_min,
            &mut answer.major_max,
            &mut answer.major_min,
            &mut answer.minor_min,
            &mut answer.minor_max,
        ] {
            length.source(ISO_965);
        }
    }
    if class.is_external() {
        if let Ok(nut) = limits::limits(thread, class.partner(), None) {
            let area = profile::nominal_stress_area(thread);
            let length = limits::stripping_length(area, thread.pitch, nut.crest_max, found.pitch_min);
            answer.stripping_length.put(length);
        }
        if !thread.is_metric() {
            answer.stress_area_high_strength.put(profile::stress_area_high_strength(thread, found.pitch_min));
        }
    }
    Ok(())
}
