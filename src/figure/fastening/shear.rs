//! Bolts and pins in shear, and the plates they pass through.

use super::profile;
use super::selection::{self, AREA, GRADE, PROOF, THREAD, shigley};
use super::stages::count;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Area, Dimensioned, Force, Form, Kind, Length, Number, Stress, Style, unit};
use crate::source::Source;

const LAP: Source = shigley("ex. 8-7, p. 453-454");
const LOCATOR: Source = Source::practice("a centre pin locates; friction carries the load");
const FACTOR: Style = Style::single(Form::decimal(unit::ONE, 0.01)).down();
const KIP: Style = Style::pair(Form::decimal(unit::LBF, 10.0), Form::decimal(unit::KN, 0.1)).down();
/// Shear over tensile strength by distortion energy.
const DISTORTION: f64 = 0.577;

/// Bolts that carry a load across their axis.
pub static BOLT_SHEAR: Family = Family {
    name: "bolt-shear",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "load a bolted lap carries: bearing, bolt shear, edge shear, net tension",
    inputs: &[
        THREAD,
        GRADE,
        Input::defaulted("bolts", Kind::Number, "1", "bolts that share the load on one side of the splice")
            .also(&["n", "count"]),
        Input::defaulted("planes", Kind::Number, "1", "shear planes through each bolt")
            .also(&["shear_planes"]),
        Input::defaulted("design_factor", Kind::Number, "1", "design factor").also(&[
            "safety",
            "n_d",
            "nd",
            "safety_factor",
            "factor",
        ]),
        Input::optional("load", Kind::Force, "load, to find the factor that is there").also(&["force", "p"]),
        Input::optional(
            "plate_thickness",
            Kind::Length,
            "thickness of the plate that carries the whole load",
        )
        .also(&["thickness", "t"]),
        Input::optional("plate_yield", Kind::Stress, "yield strength of the plate").also(&[
            "member_yield_strength",
            "yield",
            "sy",
            "member_yield",
        ]),
        Input::optional("plate_width", Kind::Length, "width of the plate across the load")
            .also(&["width", "w"]),
        Input::defaulted("bolts_across", Kind::Number, "1", "bolts in one row across the plate"),
        Input::optional("edge_distance", Kind::Length, "bolt centre to the edge the load pulls toward")
            .also(&["edge", "a"]),
        Input::optional("hole", Kind::Length, "hole diameter; without it the bolt diameter")
            .also(&["hole_diameter"]),
        PROOF,
        AREA,
    ],
    outputs: &[
        Output::new("bearing_bolts", "bearing in the bolts", Kind::Force, "bolts t d Sp / nd", LAP)
            .style(KIP),
        Output::new("bearing_members", "bearing in the members", Kind::Force, "bolts t d Sy / nd", LAP)
            .style(KIP),
        Output::new(
            "shear_shank",
            "shear of the bolts, shank in the planes",
            Kind::Force,
            "0.577 Sp bolts planes Ad / nd",
            LAP,
        )
        .style(KIP),
        Output::new(
            "shear_threads",
            "shear of the bolts, thread in the planes",
            Kind::Force,
            "0.577 Sp bolts planes Ar / nd",
            LAP,
        )
        .style(KIP),
        Output::new("edge_shear", "shear out of the edge", Kind::Force, "2 bolts a t 0.577 Sy / nd", LAP)
            .style(KIP),
        Output::new(
            "net_tension",
            "tension across the holes",
            Kind::Force,
            "(width - bolts_across hole) t Sy / nd",
            LAP,
        )
        .style(KIP),
        Output::new(
            "capacity",
            "load the joint carries, thread in the planes",
            Kind::Force,
            "lowest of the figures above",
            LAP,
        )
        .style(KIP),
        Output::word("governs", "what governs", "lowest of the figures above", LAP),
        Output::new("thread_loss", "lost when the thread is in the plane", Kind::Percent, "1 - Ar / Ad", LAP),
        Output::new(
            "shear_stress",
            "shear stress in the thread under the load",
            Kind::Stress,
            "load / (bolts planes Ar)",
            LAP,
        ),
        Output::new("factor", "factor against the load", Kind::Number, "nd capacity / load", LAP)
            .style(FACTOR),
    ],
    example: "thread=\"3/4-16\" grade=\"grade 5\" bolts=2 planes=2 design_factor=1.5 plate_thickness=\"1 in\" plate_yield=\"54 ksi\" plate_width=\"4 in\" bolts_across=2 edge_distance=\"1.125 in\"",
    run: run_lap,
};

fn run_lap(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thread = selection::thread(given, answer)?;
    let strength = selection::strength(given, &thread, answer)?;
    let whole = |name, default: f64| -> Result<f64, Trouble> {
        #[expect(clippy::cast_precision_loss, reason = "a count up to 200")]
        let value = count(given, name, Some(default), 1.0)? as f64;
        Ok(value)
    };
    let (bolts, planes) = (whole("bolts", 1.0)?, whole("planes", 1.0)?);
    let nd: Number = given::positive("design_factor", given.or("design_factor", Number::from_si(1.0))?)?;
    if nd.si() < 1.0 {
        return Err(Trouble::impossible(
            "a design factor below 1 overloads the joint",
            "check design_factor",
        ));
    }
    let sp = strength.proof;
    let d = thread.major;
    let (shank, root) = (profile::circle(d), profile::nominal_root_area(&thread));
    let mut found: Vec<(&'static str, &'static str, Force)> = Vec::new();
    let thickness: Option<Length> = given.maybe("plate_thickness")?;
    let plate: Option<Stress> = given.maybe("plate_yield")?;
    if let Some(t) = thickness {
        let t = given::positive("plate_thickness", t)?;
        found.push(("bearing_bolts", "bearing in the bolts", t * d * sp * (bolts / nd.si())));
        if let Some(sy) = plate {
            let sy = given::positive("plate_yield", sy)?;
            found.push(("bearing_members", "bearing in the members", t * d * sy * (bolts / nd.si())));
        }
    }
    let shear = |area: Area| area * sp * (DISTORTION * bolts * planes / nd.si());
    found.push(("shear_shank", "shear of the bolts, shank in the planes", shear(shank)));
    found.push(("shear_threads", "shear of the bolts, thread in the planes", shear(root)));
    let needs_plate = given.has("edge_distance") || given.has("plate_width");
    if needs_plate {
        given.require(&["plate_thickness", "plate_yield"])?;
    }
    if let (Some(t), Some(sy)) = (thickness, plate) {
        if let Some(edge) = given.maybe::<Length>("edge_distance")? {
            let edge = given::positive("edge_distance", edge)?;
            found.push((
                "edge_shear",
                "shear out of the edge",
                edge * t * sy * (2.0 * bolts * DISTORTION / nd.si()),
            ));
        }
        if let Some(width) = given.maybe::<Length>("plate_width")? {
            let hole: Length = given.or("hole", d)?;
            let net = width - hole * whole("bolts_across", 1.0)?;
            if net.si() <= 0.0 {
                return Err(Trouble::impossible(
                    "the holes leave nothing of the plate",
                    "check plate_width and bolts_across",
                ));
            }
            found.push(("net_tension", "tension across the holes", net * t * sy / nd.si()));
        }
    }
    for (id, _, force) in &found {
        answer.put(id, *force);
    }
    if let Some((_, word, least)) = found.iter().min_by(|a, b| a.2.si().total_cmp(&b.2.si())) {
        answer.put("capacity", *least);
        answer.put_word("governs", *word);
        answer.put("thread_loss", crate::quantity::Percent::from_si(1.0 - (root / shank).value));
        if let Some(load) = given.maybe::<Force>("load")? {
            let load = given::positive("load", load)?;
            answer.put("shear_stress", load / (root * (bolts * planes)));
            let factor = nd.si() * least.si() / load.si();
            answer.put("factor", Number::from_si(factor));
            if factor < nd.si() * (1.0 - 1e-9) {
                answer.warn("The load exceeds what the joint carries with its design factor.");
            }
        }
    }
    if thickness.is_none() {
        answer.warn("Without plate_thickness only the bolts are checked; bearing and edge may govern.");
    }
    Ok(())
}

/// Centre pin of a spring pack, if it had to carry the load alone.
pub static CENTRE_PIN: Family = Family {
    name: "centre-pin",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "shear in a centre bolt or pin if it carried the load alone",
    inputs: &[
        Input::required("diameter", Kind::Length, "diameter of the pin in the shear plane").also(&[
            "bolt_diameter",
            "d",
            "pin",
            "pin_diameter",
        ]),
        Input::required("load", Kind::Force, "load across the pin").also(&["force", "fore_aft", "f"]),
        Input::defaulted("planes", Kind::Number, "1", "shear planes").also(&["shear_planes"]),
        Input::name("grade", Need::Optional, "grade of the pin; or give proof").also(&["class"]),
        PROOF,
        Input::name("thread", Need::Optional, "thread size, if the thread is in the plane: its root is used")
            .also(&["size"]),
    ],
    outputs: &[
        Output::new(
            "shear_area",
            "area in one plane",
            Kind::Area,
            "pi/4 d^2, or the minor area of the thread",
            LAP,
        ),
        Output::new("shear_stress", "shear stress", Kind::Stress, "load / (planes x shear_area)", LAP),
        Output::new("shear_strength", "shear stress allowed", Kind::Stress, "0.577 proof stress", LAP),
        Output::new("factor", "factor", Kind::Number, "shear_strength / shear_stress", LOCATOR).style(FACTOR),
    ],
    example: "diameter=\"3/8 in\" load=\"1050 lbf\" grade=\"grade 5\"",
    run: run_pin,
};

fn run_pin(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let diameter: Length = given::positive("diameter", given.need("diameter")?)?;
    let load: Force = given::positive("load", given.need("load")?)?;
    #[expect(clippy::cast_precision_loss, reason = "a count up to 200")]
    let planes = count(given, "planes", Some(1.0), 1.0)? as f64;
    let proof: Stress = match given.maybe("proof")? {
        Some(proof) => given::positive("proof", proof)?,
        None => {
            let text = given.maybe_word("grade")?.ok_or_else(|| Trouble::Missing(vec!["grade"]))?;
            let bands = crate::reference::grade::find(text);
            let band = bands.iter().find(|b| b.holds_for(diameter)).ok_or_else(|| Trouble::Unknown {
                input: "grade".to_owned(),
                given: text.to_owned(),
                choices: crate::reference::grade::names(),
            })?;
            band.proof().unwrap_or(band.yielding() * 0.85)
        }
    };
    let area = if given.has("thread") {
        profile::nominal_root_area(&selection::thread(given, answer)?)
    } else {
        profile::circle(diameter)
    };
    let stress = load / (area * planes);
    let strength = proof * DISTORTION;
    answer.put("shear_area", area);
    answer.put("shear_stress", stress);
    answer.put("shear_strength", strength);
    answer.put("factor", Number::from_si(strength.si() / stress.si()));
    answer.warn("The pin is a locator: friction of the clamp should carry the load. Check the clamp first.");
    if strength.si() < stress.si() {
        answer.warn("The pin alone would shear under this load.");
    }
    Ok(())
}
