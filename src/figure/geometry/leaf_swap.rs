//! Two leaf packs side by side: more and thinner leaves against fewer and thicker.

use super::leaf_rate::{PACK, Pack, SPRING_STEEL, beyond_reason, deflection, whole_leaves};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::GAUGE;
use crate::quantity::{Dimensioned, Force, Kind, Length, Number, Stress, unit};

/// Two packs compared.
pub static LEAF_SWAP: Family = Family {
    name: "leaf-swap",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "old and new leaf pack compared: rate, stress at the load and stress per travel",
    inputs: &[
        Input::required("leaves_old", Kind::Number, "number of leaves now").also(&["n_old", "old_leaves"]),
        Input::required("thickness_old", Kind::Length, "leaf thickness now")
            .also(&["t_old", "old_thickness"]),
        Input::required("leaves_new", Kind::Number, "number of leaves planned")
            .also(&["n_new", "new_leaves"]),
        Input::required("thickness_new", Kind::Length, "leaf thickness planned")
            .also(&["t_new", "new_thickness"]),
        Input::required("width", Kind::Length, "leaf width").also(&["b", "width_old"]),
        Input::optional("width_new", Kind::Length, "leaf width planned, if it changes"),
        Input::required("span", Kind::Length, "active span, eye to eye less the clamp")
            .also(&["s", "length"]),
        Input::optional("span_new", Kind::Length, "active span planned, if it changes"),
        Input::required("load", Kind::Force, "load on the seat").also(&["p", "seat_load", "w"]),
        Input::defaulted("travel", Kind::Length, "1 mm", "travel the added stress is given for"),
        Input::defaulted("modulus", Kind::Stress, SPRING_STEEL.1, "modulus of elasticity").also(&["e"]),
        Input::optional("allowable", Kind::Stress, "allowable bending stress"),
    ],
    outputs: &[
        Output::new("pack_old", "pack thickness now", Kind::Length, "n t", PACK).style(GAUGE),
        Output::new("pack_new", "pack thickness planned", Kind::Length, "n t", PACK).style(GAUGE),
        Output::new("rate_old", "rate now", Kind::SpringRate, "8 E n b t^3 / (3 S^3)", PACK)
            .range("graduated pack, equal halves, small deflection, no friction"),
        Output::new("rate_new", "rate planned", Kind::SpringRate, "8 E n b t^3 / (3 S^3)", PACK)
            .range("graduated pack, equal halves, small deflection, no friction"),
        Output::new("rate_ratio", "rate planned over rate now", Kind::Number, "rate_new / rate_old", PACK),
        Output::new("deflection_old", "deflection under the load now", Kind::Length, "load / rate", PACK),
        Output::new("deflection_new", "deflection under the load planned", Kind::Length, "load / rate", PACK),
        Output::new("stress_old", "stress under the load now", Kind::Stress, "6 P L / (n b t^2)", PACK).up(),
        Output::new("stress_new", "stress under the load planned", Kind::Stress, "6 P L / (n b t^2)", PACK)
            .up(),
        Output::new(
            "stress_ratio",
            "stress planned over stress now",
            Kind::Number,
            "stress_new / stress_old",
            PACK,
        ),
        Output::new(
            "travel_stress_old",
            "stress added by the travel now",
            Kind::Stress,
            "stress x travel / deflection",
            PACK,
        ),
        Output::new(
            "travel_stress_new",
            "stress added by the travel planned",
            Kind::Stress,
            "stress x travel / deflection",
            PACK,
        ),
    ],
    example: "leaves_old=5 thickness_old=\"8 mm\" leaves_new=8 thickness_new=\"5 mm\" width=\"60 mm\" span=\"1200 mm\" load=\"4 kN\"",
    run: leaf_swap,
};

fn leaf_swap(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let eye_load: Force = given::positive("load", given.need::<Force>("load")?)? / 2.0;
    let travel: Length = given.or("travel", Length::of(1.0, unit::MM))?;
    let old = pack(given, "leaves_old", "thickness_old", None)?;
    let new = pack(given, "leaves_new", "thickness_new", Some(("width_new", "span_new")))?;
    answer.put("pack_old", old.thickness * old.graduated.si());
    answer.put("pack_new", new.thickness * new.graduated.si());
    answer.put("rate_old", old.rate());
    answer.put("rate_new", new.rate());
    answer.put("rate_ratio", Number::from_si(new.rate() / old.rate()));
    let (sag_old, sag_new) = (deflection(eye_load, old.rate()), deflection(eye_load, new.rate()));
    answer.put("deflection_old", sag_old);
    answer.put("deflection_new", sag_new);
    let (stress_old, stress_new) = (old.stress_equal(eye_load), new.stress_equal(eye_load));
    answer.put("stress_old", stress_old);
    answer.put("stress_new", stress_new);
    answer.put("stress_ratio", Number::from_si(stress_new.si() / stress_old.si()));
    answer.put("travel_stress_old", stress_old * (travel.si() / sag_old.si()));
    answer.put("travel_stress_new", stress_new * (travel.si() / sag_new.si()));
    beyond_reason(stress_new, sag_new, new.half, answer);
    if let Some(limit) = given.maybe::<Stress>("allowable")?.filter(|limit| stress_new.si() > limit.si()) {
        answer.warn(format!(
            "The planned pack is stressed to {:.0} MPa by the load, above the allowable {:.0} MPa; add leaves or keep the thicker ones.",
            stress_new.to(unit::MPA),
            limit.to(unit::MPA)
        ));
    }
    Ok(())
}

fn pack(
    given: &Given,
    leaves: &'static str,
    thickness: &'static str,
    changed: Option<(&'static str, &'static str)>,
) -> Result<Pack, Trouble> {
    let mut width: Length = given.need("width")?;
    let mut span: Length = given.need("span")?;
    if let Some((width_new, span_new)) = changed {
        width = given.or(width_new, width)?;
        span = given.or(span_new, span)?;
    }
    Ok(Pack {
        full: Number::from_si(0.0),
        graduated: whole_leaves(leaves, given::positive(leaves, given.need(leaves)?)?)?,
        width: given::positive("width", width)?,
        thickness: given::positive(thickness, given.need(thickness)?)?,
        half: given::positive("span", span)? / 2.0,
        modulus: given::positive("modulus", given.or("modulus", Stress::of(SPRING_STEEL.0, unit::GPA))?)?,
    })
}
