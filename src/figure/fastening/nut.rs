//! Whether a nut develops its bolt.

use super::selection::{Graded, Named, Section};
use crate::figure::prelude::*;
use crate::reference::nut::{self, Style};

const PROOF_LOAD: Source =
    Source::standard("SAE J995 and ISO 898-2", "proof load = proof stress x stress area of the bolt");
const LABEL: Source = Source::practice(
    "nut grade at least the bolt grade; metric nut class at least the first number of the bolt class",
);
const DEVELOPS: Source =
    Source::standard("SAE J995 and ISO 898-2", "nut proof load against proof load of the bolt");

words! {
    /// Shape of a nut.
    pub NutStyle {
        /// Full hexagon, also high nuts.
        Hex = "hex" | "high",
        /// Heavy hexagon.
        Heavy = "heavy",
        /// Jam or thin nut.
        Jam = "jam" | "thin",
        /// Slotted nut.
        Slotted = "slotted",
    }
}

words! {
    /// Whether a nut develops its bolt.
    pub Develops {
        /// It carries the breaking load, and the grades are a usual pair or none is listed.
        Yes = "the nut develops the bolt",
        /// A usual pair whose nut is listed below the breaking load of its bolt.
        Pair = "a usual pair, but the nut is not proven to outlast the bolt",
        /// No pair is listed, and nothing shows that it carries the breaking load.
        NotProven = "not proven: the nut carries the proof load, and nothing shows that it outlasts the bolt",
        /// It carries the proof load, and a higher nut belongs on the bolt.
        Unusual = "no: the grades are not a usual pair, though the nut carries the proof load",
        /// It does not carry the proof load.
        No = "the nut does not develop the bolt",
        /// No proof stress is listed for the nut as it is made.
        NotJudged = "not judged: no proof stress is listed for this nut tapped oversize",
    }
}

family! {
    pub NUT_MATCH = "nut-match" in Fastening:
        "whether a nut carries the proof load and the breaking load of its bolt";
    also "nut", "nut-grade", "nut-strength", "nut-proof-load";
    reads Pair {
        ..bolt: Named;
        ..graded: Graded;
        ..section: Section;
        required nut: String, "nut grade or class, such as SAE J995 8, A194 2H, DH3, 10, A2-70",
            "nut_grade", "nut_class";
        optional nut_style: NutStyle, "shape of the nut; without it the full nut of the grade", "style";
        flag overtapped: bool, "whether the nut is zinc coated and tapped oversize", "galvanized", "galvanised";
    }
    gives PairStrength {
        name: String, "nut", "standard, grade and style", PROOF_LOAD;
        nut_proof_stress: Stress, "proof stress of the nut", "table", PROOF_LOAD;
        nut_proof_load: Force, "proof load of the nut", "nut_proof_stress x stress area", PROOF_LOAD;
        bolt_proof_load: Force, "proof load of the bolt", "proof stress x stress area", PROOF_LOAD;
        bolt_tensile_load: Force, "breaking load of the bolt", "tensile strength x stress area", PROOF_LOAD;
        ratio: Number, "nut proof over bolt proof", "nut_proof_load / bolt_proof_load", DEVELOPS => .style(THOUSANDTH.down());
        ratio_tensile: Number, "nut proof over bolt breaking load", "nut_proof_load / bolt_tensile_load", DEVELOPS
            => .style(THOUSANDTH.down());
        develops: bool, "the nut carries the bolt's proof load", "nut_proof_load >= bolt_proof_load", DEVELOPS;
        develops_tensile: bool, "the nut carries the bolt's breaking load, so the bolt breaks first", "nut_proof_load >= bolt_tensile_load",
            DEVELOPS;
        label_matches: bool, "the grades are a usual pair", "table of pairs", LABEL;
        verdict: Develops, "verdict", "develops, develops_tensile and label_matches", DEVELOPS
            => .claims(&[Develops::Yes.word()]);
        matching_nuts: Vec<String>, "usual nuts for this bolt", "table of pairs", LABEL;
    }
    asked verdict;
    example "thread=\"3/4-16\" grade=\"grade 8\" nut=\"grade 5\"";
    by pair
}

fn pair(given: &Pair, answer: &mut PairStrength) -> Result<()> {
    let thread = given.bolt.find(&mut answer.said)?;
    let strength = given.graded.of(&thread, &mut answer.said)?;
    let area = given.section.of(&thread)?;
    let style = given.nut_style.map(|style| match style {
        NutStyle::Hex => Style::Hex,
        NutStyle::Heavy => Style::Heavy,
        NutStyle::Jam => Style::Jam,
        NutStyle::Slotted => Style::Slotted,
    });
    let overtapped = *given.overtapped;
    let row = nut::find(&given.nut, &thread, style, overtapped).ok_or_else(|| Trouble::Unknown {
        input: "nut".to_owned(),
        given: match style {
            Some(style) => format!("{}, {}, on {}", *given.nut, style.word(), thread.name),
            None => format!("{} on {}", *given.nut, thread.name),
        },
        choices: nut::names_for(&thread, style),
    })?;
    let nut_load = row.proof() * area;
    let bolt_load = strength.proof * area;
    let breaking = strength.tensile.map(|tensile| tensile * area);
    let share = |load: Force| nut_load.si() / load.si();
    let name = format!("{} {}", row.name(), row.style.word());
    answer.name.put(name.clone());
    answer.nut_proof_stress.put(row.proof());
    answer.nut_proof_stress.source(row.source);
    answer.nut_proof_load.put(nut_load);
    answer.nut_proof_load.source(row.source);
    answer.bolt_proof_load.put(bolt_load);
    answer.bolt_tensile_load.put_some(breaking);
    answer.ratio.put(Number::from_si(share(bolt_load)));
    answer.ratio_tensile.put_some(breaking.map(|load| Number::from_si(share(load))));
    // The plain nut's proof stress is too high for one tapped oversize: what it
    // does not carry is certain, what it does is not.
    let unlisted = overtapped && !row.overtapped;
    let carries = |load: Force| share(load) >= 1.0 - 1e-9;
    let develops = carries(bolt_load);
    let outlasts = breaking.map(carries);
    answer.develops.put_some((!(unlisted && develops)).then_some(develops));
    answer.develops_tensile.put_some(outlasts.filter(|outlasts| !(unlisted && *outlasts)));
    let mut pairs = nut::matching(strength.standard, strength.grade);
    let listed = !pairs.is_empty();
    // Some grades are made in coarse threads only.
    pairs.retain(|name| nut::find(name, &thread, None, overtapped).is_some());
    let full = matches!(row.style, Style::Hex | Style::Heavy);
    let usual = full && pairs.contains(&row.name().as_str());
    answer.label_matches.put_some(listed.then_some(usual));
    answer.verdict.put(match (outlasts == Some(true), listed, usual) {
        _ if !develops => Develops::No,
        _ if unlisted => Develops::NotJudged,
        (_, true, false) => Develops::Unusual,
        (true, ..) => Develops::Yes,
        (false, true, true) => Develops::Pair,
        (false, false, _) => Develops::NotProven,
    });
    if !pairs.is_empty() {
        answer.matching_nuts.put(pairs.into_iter().map(str::to_owned).collect::<Vec<_>>());
    }
    if !develops {
        answer.warn(format!(
            "The proof load of {name} is below that of the bolt; use a higher nut, or hold the preload to what the nut carries."
        ));
    } else if outlasts == Some(false) {
        answer.warn("The nut's proof load is below the breaking load of the bolt: over-tightening may strip the nut and not be seen.");
    }
    if row.is_metric() && row.grade.starts_with('A') {
        answer.warn("The proof stress of stainless nuts is from memory; ask the maker, and use anti-seize: stainless threads gall.");
    }
    if unlisted {
        answer.warn("No proof stress is listed for this nut tapped oversize; the figure is for the plain nut and is too high. Ask the maker.");
    }
    Ok(())
}
