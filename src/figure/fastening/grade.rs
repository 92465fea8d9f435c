//! Proof, yield and tensile strength of a bolt by grade and size.

use super::selection::{Graded, Named, Section, shigley};
use crate::figure::prelude::*;

const TABLE: Source = Source::standard("the grade's standard", "strength by size");

family! {
    pub GRADE_STRENGTH = "grade" in Fastening:
        "proof, yield and tensile strength and load of a bolt by grade and size";
    also "bolt-proof-load", "bolt-grade", "proof-load", "bolt-strength", "strength-grade", "property-class";
    reads Grade {
        ..bolt: Named;
        ..graded: Graded;
        ..section: Section;
    }
    gives GradeStrength {
        name: String, "grade", "standard and grade", TABLE;
        stress_area: Area, "tensile stress area", "as printed in the thread table, else formula 1", shigley("eq. 8-2");
        proof_stress: Stress, "proof stress", "table by size", TABLE;
        yield_stress: Stress, "minimum yield strength", "table by size", TABLE;
        tensile_stress: Stress, "minimum tensile strength", "table by size", TABLE;
        proof_load: Force, "proof load", "proof_stress x stress_area", shigley("eq. 8-32");
        yield_load: Force, "load at yield", "yield_stress x stress_area", TABLE;
        tensile_load: Force, "minimum breaking load", "tensile_stress x stress_area", TABLE;
        proof_over_yield: Number, "proof over yield", "proof_stress / yield_stress", TABLE => .style(THOUSANDTH);
        note: String, "note", "what the band of sizes is for", TABLE;
    }
    asked proof_load;
    example "thread=\"1/2-13\" grade=\"grade 5\"";
    by strength
}

fn strength(given: &Grade, answer: &mut GradeStrength) -> Result<()> {
    let thread = given.bolt.find(&mut answer.said)?;
    let strength = given.graded.of(&thread, &mut answer.said)?;
    let area = given.section.of(&thread)?;
    answer.name.put(strength.name);
    answer.stress_area.put(area);
    answer.proof_stress.put(strength.proof);
    answer.yield_stress.put_some(strength.yielding);
    answer.tensile_stress.put_some(strength.tensile);
    answer.proof_load.put(strength.proof * area);
    answer.yield_load.put_some(strength.yielding.map(|s| s * area));
    answer.tensile_load.put_some(strength.tensile.map(|s| s * area));
    answer
        .proof_over_yield
        .put_some(strength.yielding.map(|s| Number::from_si(strength.proof.si() / s.si())));
    if !strength.note.is_empty() {
        answer.note.put(strength.note);
    }
    answer.name.source(strength.source);
    answer.proof_stress.source(strength.source);
    answer.yield_stress.source(strength.source);
    answer.tensile_stress.source(strength.source);
    answer.note.source(strength.source);
    Ok(())
}
