//! Proof, yield and tensile strength of a bolt by grade and size.

use super::selection::{self, AREA, GRADE, PROOF, THREAD, shigley};
use crate::figure::{Answer, Declared, Family, Given, Group, Output, Trouble};
use crate::quantity::{Dimensioned, Form, Kind, Number, Style, unit};
use crate::source::Source;

const TABLE: Source = Source::standard("the grade's standard", "strength by size");

/// Strength of a bolt, screw or stud.
pub static GRADE_STRENGTH: Family = Family {
    name: "grade",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "proof, yield and tensile strength and load of a bolt by grade and size",
    inputs: &[THREAD, GRADE, PROOF, AREA],
    outputs: &[
        Output::word("name", "grade", "standard and grade", TABLE),
        Output::new(
            "stress_area",
            "tensile stress area",
            Kind::Area,
            "as printed in the thread table, else formula 1",
            shigley("eq. 8-2"),
        ),
        Output::new("proof_stress", "proof stress", Kind::Stress, "table by size", TABLE),
        Output::new("yield_stress", "minimum yield strength", Kind::Stress, "table by size", TABLE),
        Output::new("tensile_stress", "minimum tensile strength", Kind::Stress, "table by size", TABLE),
        Output::new(
            "proof_load",
            "proof load",
            Kind::Force,
            "proof_stress x stress_area",
            shigley("eq. 8-32"),
        ),
        Output::new("yield_load", "load at yield", Kind::Force, "yield_stress x stress_area", TABLE),
        Output::new(
            "tensile_load",
            "minimum breaking load",
            Kind::Force,
            "tensile_stress x stress_area",
            TABLE,
        ),
        Output::new(
            "proof_over_yield",
            "proof over yield",
            Kind::Number,
            "proof_stress / yield_stress",
            TABLE,
        )
        .style(Style::single(Form::decimal(unit::ONE, 0.001))),
        Output::word("note", "note", "what the band of sizes is for", TABLE),
    ],
    example: "thread=\"1/2-13\" grade=\"grade 5\"",
    run,
};

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thread = selection::thread(given, answer)?;
    let strength = selection::strength(given, &thread, answer)?;
    let area = selection::stress_area(given, &thread)?;
    answer.put_word("name", strength.name.clone());
    answer.put("stress_area", area);
    answer.put("proof_stress", strength.proof);
    if let Some(yielding) = strength.yielding {
        answer.put("yield_stress", yielding);
    }
    if let Some(tensile) = strength.tensile {
        answer.put("tensile_stress", tensile);
    }
    answer.put("proof_load", strength.proof * area);
    if let Some(yielding) = strength.yielding {
        answer.put("yield_load", yielding * area);
    }
    if let Some(tensile) = strength.tensile {
        answer.put("tensile_load", tensile * area);
    }
    if let Some(yielding) = strength.yielding {
        answer.put("proof_over_yield", Number::from_si(strength.proof.si() / yielding.si()));
    }
    if !strength.note.is_empty() {
        answer.put_word("note", strength.note);
    }
    for id in ["name", "proof_stress", "yield_stress", "tensile_stress", "note"] {
        answer.source(id, strength.source);
    }
    Ok(())
}
