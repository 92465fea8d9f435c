//! Bolts and pins in shear, and the plates they pass through.

use super::profile;
use super::selection::{self, Graded, Named, shigley};
use super::stages::SOME;
use crate::figure::prelude::*;
use crate::figure::range::Range;
use crate::figure::rule::agree;
use crate::figure::usual::STRENGTH;
use crate::reference::grade;

const LAP: Source = shigley("ex. 8-7, p. 453-454");
const LOCATOR: Source = Source::practice("a centre pin locates; friction carries the load");
const KIP: Style = Style::pair(Form::decimal(unit::LBF, 10.0), Form::decimal(unit::KN, 0.1)).down();
/// Shear over tensile strength by distortion energy.
const DISTORTION: f64 = 0.577;
/// Share of the thread diameter a shank may be off it: rolled threads stand over a
/// reduced shank by no more.
const REDUCED: f64 = 0.15;
/// A lap has one shear plane through a bolt, a fork two; four is a pin between
/// five plates.
const PLANES: Range = count(1, 4, Source::definition("shear planes of a bolted lap"));
/// A factor below 1 overloads the joint.
const DESIGN: Range = within(1.0, 100.0, unit::ONE, Source::definition("a design factor"));

family! {
    pub BOLT_SHEAR = "bolt-shear" in Fastening:
        "load a bolted lap carries: bearing, bolt shear, edge shear, net tension";
    also "single-shear", "double-shear", "bolted-lap", "shear", "bolt-bearing", "shear-joint";
    reads Lap {
        ..bolt: Named;
        ..graded: Graded;
        default bolts: Number = "1" in SOME, "bolts that share the load on one side of the splice",
            "n", "count", "number_of_bolts";
        default planes: Number = "1" in PLANES, "shear planes through each bolt", "shear_planes";
        default design_factor: Number = "1" in DESIGN, "design factor",
            "safety", "n_d", "nd", "safety_factor", "factor", "FS", "factor_of_safety";
        optional load: Force in ABOVE_ZERO, "load, to find the factor that is there",
            "force", "p", "F", "V", "shear", "shear_load", "shear_force";
        optional plate_thickness: Length in ABOVE_ZERO, "thickness of the plate that carries the whole load",
            "thickness", "t";
        optional plate_yield: Stress in STRENGTH, "yield strength of the plate",
            "member_yield_strength", "yield", "sy", "member_yield";
        optional plate_width: Length in ABOVE_ZERO, "width of the plate across the load", "width", "w";
        default bolts_across: Number = "1" in SOME, "bolts in one row across the plate";
        optional edge_distance: Length in ABOVE_ZERO, "bolt centre to the edge the load pulls toward", "edge", "a";
        optional hole: Length in ABOVE_ZERO, "hole diameter; without it the bolt diameter", "hole_diameter";
    }
    rules { needs(edge_distance, plate_thickness, plate_yield); needs(plate_width, plate_thickness, plate_yield); }
    gives LapStrength {
        bearing_bolts: Force, "bearing in the bolts", "bolts t d Sp / nd", LAP => .style(KIP);
        bearing_members: Force, "bearing in the members", "bolts t d Sy / nd", LAP => .style(KIP);
        shear_shank: Force, "shear of the bolts, shank in the planes", "0.577 Sp bolts planes Ad / nd", LAP
            => .style(KIP);
        shear_threads: Force, "shear of the bolts, thread in the planes", "0.577 Sp bolts planes Ar / nd", LAP
            => .style(KIP);
        edge_shear: Force, "shear out of the edge", "2 bolts a t 0.577 Sy / nd", LAP => .style(KIP);
        net_tension: Force, "tension across the holes", "(width - bolts_across hole) t Sy / nd", LAP => .style(KIP);
        capacity: Force, "load the joint carries, thread in the planes", "lowest of the figures above", LAP => .style(KIP);
        governs: String, "what governs", "lowest of the figures above", LAP;
        thread_loss: Percent, "lost when the thread is in the plane", "1 - Ar / Ad", LAP;
        shear_stress: Stress, "shear stress in the thread under the load", "load / (bolts planes Ar)", LAP;
        factor: Number, "factor against the load", "nd capacity / load", LAP => .style(HUNDREDTH.down());
    }
    asked capacity;
    example "thread=\"3/4-16\" grade=\"grade 5\" bolts=2 planes=2 design_factor=1.5 plate_thickness=\"1 in\" plate_yield=\"54 ksi\" plate_width=\"4 in\" bolts_across=2 edge_distance=\"1.125 in\"";
    by lap
}

fn lap(given: &Lap, answer: &mut LapStrength) -> Result<()> {
    let thread = given.bolt.find(&mut answer.said)?;
    let sp = given.graded.of(&thread, &mut answer.said)?.proof;
    let (bolts, planes, nd) = (given.bolts.si(), given.planes.si(), given.design_factor.si());
    (given.bolts_across.si() > bolts).refuse(
        "there are more bolts in one row than bolts that share the load",
        "check bolts and bolts_across",
    )?;
    let d = thread.major;
    let (shank, root) = (profile::circle(d), profile::nominal_root_area(&thread));
    let shear = |area: Area| area * sp * (DISTORTION * bolts * planes / nd);
    answer.shear_shank.put(shear(shank));
    answer.shear_threads.put(shear(root));
    match *given.plate_thickness {
        Some(t) => plate(given, answer, t, d, sp)?,
        None => {
            answer.warn("Without plate_thickness only the bolts are checked; bearing and edge may govern.");
        }
    }
    if given.plate_thickness.given() {
        let unchecked = [
            ("bearing in the members (give plate_yield)", given.plate_yield.given()),
            ("shear out of the edge (give edge_distance)", given.edge_distance.given()),
            ("tension across the holes (give plate_width)", given.plate_width.given()),
        ];
        let unchecked: Vec<&str> =
            unchecked.iter().filter(|(_, told)| !told).map(|(what, _)| *what).collect();
        if !unchecked.is_empty() {
            answer.warn(format!("Not checked, and it may govern: {}.", unchecked.join("; ")));
        }
    }
    let found = [
        (&answer.bearing_bolts, "bearing in the bolts"),
        (&answer.bearing_members, "bearing in the members"),
        (&answer.shear_shank, "shear of the bolts, shank in the planes"),
        (&answer.shear_threads, "shear of the bolts, thread in the planes"),
        (&answer.edge_shear, "shear out of the edge"),
        (&answer.net_tension, "tension across the holes"),
    ];
    let found = found.into_iter().filter_map(|(out, word)| Some((*out.get()?, word)));
    let Some((least, word)) = found.min_by(|a, b| a.0.si().total_cmp(&b.0.si())) else { return Ok(()) };
    answer.capacity.put(least);
    answer.governs.put(word);
    answer.thread_loss.put(Percent::from_si(1.0 - (root / shank).value));
    if let Some(load) = *given.load {
        answer.shear_stress.put(load / (root * (bolts * planes)));
        let factor = nd * least.si() / load.si();
        answer.factor.put(Number::from_si(factor));
        if factor - answer.factor.expanded().si() < nd * (1.0 - 1e-9) {
            answer.warn("The load exceeds what the joint carries with its design factor.");
        }
    }
    Ok(())
}

/// What the plate carries.
fn plate(given: &Lap, answer: &mut LapStrength, t: Length, d: Length, sp: Stress) -> Result<()> {
    let (bolts, nd) = (given.bolts.si(), given.design_factor.si());
    answer.bearing_bolts.put(t * d * sp * (bolts / nd));
    let Some(sy) = *given.plate_yield else { return Ok(()) };
    answer.bearing_members.put(t * d * sy * (bolts / nd));
    answer
        .edge_shear
        .put_some(given.edge_distance.map(|edge| edge * t * sy * (2.0 * bolts * DISTORTION / nd)));
    (*given.hole)
        .is_some_and(|hole| hole.si() < d.si() * (1.0 - 1e-9))
        .refuse("the hole is smaller than the bolt", "check hole and thread")?;
    if let Some(width) = *given.plate_width {
        let net = width - given.hole.unwrap_or(d) * given.bolts_across.si();
        (net.si() <= 0.0)
            .refuse("the holes leave nothing of the plate", "check plate_width and bolts_across")?;
        answer.net_tension.put(net * t * sy / nd);
    }
    Ok(())
}

family! {
    pub CENTRE_PIN = "centre-pin" in Fastening: "shear in a centre bolt or pin if it carried the load alone";
    also "centre-bolt", "pin-shear", "center-pin-shear", "locating-pin";
    reads Pin {
        ..graded: Graded;
        required diameter: Length in ABOVE_ZERO, "diameter of the pin in the shear plane",
            "bolt_diameter", "d", "pin", "pin_diameter";
        required load: Force in ABOVE_ZERO, "load across the pin", "force", "fore_aft", "f";
        default planes: Number = "1" in PLANES, "shear planes", "shear_planes";
        optional thread: String, "thread size, if the thread is in the plane: its root is used", "size";
    }
    gives PinShear {
        shear_area: Area, "area in one plane", "pi/4 d^2, or the minor area of the thread", LAP;
        shear_stress: Stress, "shear stress", "load / (planes x shear_area)", LAP;
        shear_strength: Stress, "shear stress allowed", "0.577 proof stress", LAP;
        factor: Number, "factor", "shear_strength / shear_stress", LOCATOR => .style(HUNDREDTH.down());
    }
    asked factor;
    example "diameter=\"3/8 in\" load=\"1050 lbf\" grade=\"grade 5\"";
    by pin
}

fn pin(given: &Pin, answer: &mut PinShear) -> Result<()> {
    let diameter = *given.diameter;
    let proof = match *given.graded.proof {
        Some(proof) => proof,
        None => {
            require(&[&given.graded.grade])?;
            let text = given.graded.grade.need()?;
            let bands = grade::find(&text);
            let band = bands.iter().find(|b| b.holds_for(diameter)).ok_or_else(|| Trouble::Unknown {
                input: "grade".to_owned(),
                given: text.clone(),
                choices: grade::names(),
            })?;
            band.proof().unwrap_or(band.yielding() * 0.85)
        }
    };
    let area = match given.thread.as_deref() {
        Some(text) => {
            let thread = selection::known(text, &mut answer.said)?;
            // A reduced shank is a little thinner than its thread, never by a size.
            agree(("diameter", diameter), ("that of the thread", thread.major), thread.major * REDUCED)?;
            profile::nominal_root_area(&thread)
        }
        None => profile::circle(diameter),
    };
    (area > profile::circle(diameter) * (1.0 + 1e-9))
        .refuse("the thread is larger than the pin", "check thread and diameter")?;
    let stress = *given.load / (area * given.planes.si());
    let strength = proof * DISTORTION;
    let factor = strength.si() / stress.si();
    answer.shear_area.put(area);
    answer.shear_stress.put(stress);
    answer.shear_strength.put(strength);
    answer.factor.put(Number::from_si(factor));
    answer.warn("The pin is a locator: friction of the clamp should carry the load. Check the clamp first.");
    if factor - answer.factor.expanded().si() < 1.0 {
        answer.warn("The pin alone would shear under this load.");
    }
    Ok(())
}
