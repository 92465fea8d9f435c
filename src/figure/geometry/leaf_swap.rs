//! Two leaf packs side by side: more and thinner leaves against fewer and thicker.

use super::leaf_rate::{PACK, Pack, beyond_reason, deflection};
use crate::figure::prelude::*;
use crate::figure::usual::{MODULUS, STRENGTH};

family! {
    pub LEAF_SWAP = "leaf-swap" in Geometry:
        "old and new leaf pack compared: rate, stress at the load and stress per travel";
    also "leaf-pack", "leaf-comparison", "pack-comparison", "thinner-leaves";
    reads LeafSwap {
        required leaves_old: Number in count(1, 100, PACK), "number of leaves now", "n_old", "old_leaves";
        required thickness_old: Length in ABOVE_ZERO, "leaf thickness now", "t_old", "old_thickness";
        required leaves_new: Number in count(1, 100, PACK), "number of leaves planned", "n_new", "new_leaves";
        required thickness_new: Length in ABOVE_ZERO, "leaf thickness planned", "t_new", "new_thickness";
        required width: Length in ABOVE_ZERO, "leaf width", "b", "width_old";
        optional width_new: Length in ABOVE_ZERO, "leaf width planned, if it changes";
        required span: Length in ABOVE_ZERO, "active span, eye to eye less the clamp", "s", "length";
        optional span_new: Length in ABOVE_ZERO, "active span planned, if it changes";
        required load: Force in ABOVE_ZERO, "load on the seat", "p", "seat_load", "w";
        default travel: Length = "1 mm", "travel the added stress is given for";
        default modulus: Stress = "207 GPa" in MODULUS, "modulus of elasticity", "e";
        optional allowable: Stress in STRENGTH, "allowable bending stress";
    }
    gives LeafSwapAnswer {
        pack_old: Length, "pack thickness now", "n t", PACK => .style(GAUGE);
        pack_new: Length, "pack thickness planned", "n t", PACK => .style(GAUGE);
        rate_old: SpringRate, "rate now", "8 E n b t^3 / (3 S^3)",
            PACK => .range("graduated pack, equal halves, small deflection, no friction");
        rate_new: SpringRate, "rate planned", "8 E n b t^3 / (3 S^3)",
            PACK => .range("graduated pack, equal halves, small deflection, no friction");
        rate_ratio: Number, "rate planned over rate now", "rate_new / rate_old", PACK;
        deflection_old: Length, "deflection under the load now", "load / rate", PACK;
        deflection_new: Length, "deflection under the load planned", "load / rate", PACK;
        stress_old: Stress, "stress under the load now", "6 P L / (n b t^2)", PACK => .up();
        stress_new: Stress, "stress under the load planned", "6 P L / (n b t^2)", PACK => .up();
        stress_ratio: Number, "stress planned over stress now", "stress_new / stress_old", PACK;
        travel_stress_old: Stress, "stress added by the travel now", "stress x travel / deflection", PACK;
        travel_stress_new: Stress, "stress added by the travel planned", "stress x travel / deflection", PACK;
    }
    asked rate_new;
    example "leaves_old=5 thickness_old=\"8 mm\" leaves_new=8 thickness_new=\"5 mm\" width=\"60 mm\" span=\"1200 mm\" load=\"4 kN\"";
    by leaf_swap
}

fn leaf_swap(given: &LeafSwap, answer: &mut LeafSwapAnswer) -> Result<()> {
    let eye_load: Force = *given.load / 2.0;
    let travel = *given.travel;
    let pack = |leaves: Number, thickness: Length, width: Length, span: Length| Pack {
        full: Number::from_si(0.0),
        graduated: leaves,
        width,
        thickness,
        half: span / 2.0,
        modulus: *given.modulus,
    };
    let (width, span) = (*given.width, *given.span);
    let old = pack(*given.leaves_old, *given.thickness_old, width, span);
    let new = pack(
        *given.leaves_new,
        *given.thickness_new,
        given.width_new.unwrap_or(width),
        given.span_new.unwrap_or(span),
    );
    answer.pack_old.put(old.thickness * old.graduated.si());
    answer.pack_new.put(new.thickness * new.graduated.si());
    answer.rate_old.put(old.rate());
    answer.rate_new.put(new.rate());
    answer.rate_ratio.put(Number::from_si(new.rate() / old.rate()));
    let (sag_old, sag_new) = (deflection(eye_load, old.rate()), deflection(eye_load, new.rate()));
    answer.deflection_old.put(sag_old);
    answer.deflection_new.put(sag_new);
    let (stress_old, stress_new) = (old.stress_equal(eye_load), new.stress_equal(eye_load));
    answer.stress_old.put(stress_old);
    answer.stress_new.put(stress_new);
    answer.stress_ratio.put(Number::from_si(stress_new.si() / stress_old.si()));
    answer.travel_stress_old.put(stress_old * (travel.si() / sag_old.si()));
    answer.travel_stress_new.put(stress_new * (travel.si() / sag_new.si()));
    beyond_reason(stress_new, sag_new, new.half, &mut answer.said);
    if let Some(limit) = given.allowable.filter(|limit| stress_new.si() > limit.si()) {
        answer.warn(format!(
            "The planned pack is stressed to {:.0} MPa by the load, above the allowable {:.0} MPa; add leaves or keep the thicker ones.",
            stress_new.to(unit::MPA),
            limit.to(unit::MPA)
        ));
    }
    Ok(())
}
