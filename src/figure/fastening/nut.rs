//! Whether a nut develops its bolt.

use super::selection::{self, AREA, GRADE, PROOF, THREAD};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble};
use crate::quantity::{Dimensioned, Form, Kind, Number, Style as Shown, unit};
use crate::reference::nut::{self, Style};
use crate::source::Source;

const PROOF_LOAD: Source =
    Source::standard("SAE J995 and ISO 898-2", "proof load = proof stress x stress area of the bolt");
const LABEL: Source = Source::practice(
    "nut grade at least the bolt grade; metric nut class at least the first number of the bolt class",
);
const DEVELOPS: Source =
    Source::standard("SAE J995 and ISO 898-2", "nut proof load against proof load of the bolt");
const RATIO: Shown = Shown::single(Form::decimal(unit::ONE, 0.001)).down();

/// Does the nut carry what the bolt can?
pub static NUT_MATCH: Family = Family {
    name: "nut-match",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "whether a nut carries the proof load and the breaking load of its bolt",
    inputs: &[
        THREAD,
        GRADE,
        Input::name("nut", Need::Required, "nut grade or class, such as SAE J995 8, A194 2H, DH3, 10, A2-70")
            .also(&["nut_grade", "nut_class"]),
        Input::choice(
            "nut_style",
            &["hex", "heavy", "high", "jam", "thin", "slotted"],
            Need::Optional,
            "shape of the nut; without it the full nut of the grade",
        )
        .also(&["style"]),
        Input::flag("overtapped", "whether the nut is zinc coated and tapped oversize")
            .also(&["galvanized", "galvanised"]),
        PROOF,
        AREA,
    ],
    outputs: &[
        Output::word("name", "nut", "standard, grade and style", PROOF_LOAD),
        Output::new("nut_proof_stress", "proof stress of the nut", Kind::Stress, "table", PROOF_LOAD),
        Output::new(
            "nut_proof_load",
            "proof load of the nut",
            Kind::Force,
            "nut_proof_stress x stress area",
            PROOF_LOAD,
        ),
        Output::new(
            "bolt_proof_load",
            "proof load of the bolt",
            Kind::Force,
            "proof stress x stress area",
            PROOF_LOAD,
        ),
        Output::new(
            "bolt_tensile_load",
            "breaking load of the bolt",
            Kind::Force,
            "tensile strength x stress area",
            PROOF_LOAD,
        ),
        Output::new(
            "ratio",
            "nut proof over bolt proof",
            Kind::Number,
            "nut_proof_load / bolt_proof_load",
            DEVELOPS,
        )
        .style(RATIO),
        Output::new(
            "ratio_tensile",
            "nut proof over bolt breaking load",
            Kind::Number,
            "nut_proof_load / bolt_tensile_load",
            DEVELOPS,
        )
        .style(RATIO),
        Output::flag("develops", "the nut develops the bolt", "nut_proof_load >= bolt_proof_load", DEVELOPS),
        Output::flag(
            "develops_tensile",
            "the bolt breaks before the nut strips",
            "nut_proof_load >= bolt_tensile_load",
            DEVELOPS,
        ),
        Output::flag("label_matches", "the grades are a usual pair", "table of pairs", LABEL),
        Output::word("verdict", "verdict", "develops and label_matches", DEVELOPS),
        Output::words("matching_nuts", "usual nuts for this bolt", "table of pairs", LABEL),
    ],
    example: "thread=\"3/4-16\" grade=\"grade 8\" nut=\"grade 5\"",
    run,
};

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thread = selection::thread(given, answer)?;
    let strength = selection::strength(given, &thread, answer)?;
    let area = selection::stress_area(given, &thread)?;
    let text = given.word("nut")?;
    let style = match given.maybe_word("nut_style")? {
        Some("heavy") => Some(Style::Heavy),
        Some("jam" | "thin") => Some(Style::Jam),
        Some("slotted") => Some(Style::Slotted),
        Some(_) => Some(Style::Hex),
        None => None,
    };
    let overtapped = given.flag("overtapped")?;
    let row = nut::find(text, &thread, style, overtapped).ok_or_else(|| Trouble::Unknown {
        input: "nut".to_owned(),
        given: match style {
            Some(style) => format!("{text}, {}, on {}", style.word(), thread.name),
            None => format!("{text} on {}", thread.name),
        },
        choices: nut::names_for(&thread, style),
    })?;
    let nut_load = row.proof() * area;
    let bolt_load = strength.proof * area;
    let ratio = nut_load.si() / bolt_load.si();
    answer.put_word("name", format!("{} {}", row.name(), row.style.word()));
    answer.put("nut_proof_stress", row.proof());
    answer.source("nut_proof_stress", row.source);
    answer.put("nut_proof_load", nut_load);
    answer.source("nut_proof_load", row.source);
    answer.put("bolt_proof_load", bolt_load);
    if let Some(tensile) = strength.tensile {
        answer.put("bolt_tensile_load", tensile * area);
    }
    answer.put("ratio", Number::from_si(ratio));
    let mut breaks_first = None;
    if let Some(tensile) = strength.tensile {
        let of_tensile = nut_load.si() / (tensile * area).si();
        answer.put("ratio_tensile", Number::from_si(of_tensile));
        breaks_first = Some(of_tensile >= 1.0 - 1e-9);
    }
    let develops = ratio >= 1.0 - 1e-9;
    answer.put_flag("develops", develops);
    if let Some(breaks_first) = breaks_first {
        answer.put_flag("develops_tensile", breaks_first);
    }
    let mut pairs = nut::matching(strength.standard, strength.grade);
    let listed = !pairs.is_empty();
    // Some grades are made in coarse threads only.
    pairs.retain(|name| nut::find(name, &thread, None, overtapped).is_some());
    let full = matches!(row.style, Style::Hex | Style::Heavy);
    let usual = full && pairs.contains(&row.name().as_str());
    if listed {
        answer.put_flag("label_matches", usual);
    }
    answer.put_word(
        "verdict",
        match (develops, usual || !listed) {
            (true, true) => "the nut develops the bolt",
            (true, false) => "the nut carries the proof load, but the grades are not a usual pair",
            (false, _) => "the nut does not develop the bolt",
        },
    );
    answer.put_words("matching_nuts", pairs.into_iter().map(str::to_owned));
    if !develops {
        answer.warn(format!(
            "The proof load of {} {} is below that of the bolt; use a higher nut, or hold the preload to what the nut carries.",
            row.name(),
            row.style.word()
        ));
    } else if breaks_first == Some(false) {
        answer.warn("The nut's proof load is below the breaking load of the bolt: over-tightening may strip the nut and not be seen.");
    }
    if row.is_metric() && row.grade.starts_with('A') {
        answer.warn("The proof stress of stainless nuts is from memory; ask the maker, and use anti-seize: stainless threads gall.");
    }
    if overtapped && !row.overtapped {
        answer.warn("No proof stress is listed for this nut tapped oversize; the figure is for the plain nut and is too high. Ask the maker.");
    }
    Ok(())
}
