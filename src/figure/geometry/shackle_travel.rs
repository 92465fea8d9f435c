//! Axle movement, caster and rate through travel of a leaf spring on a shackle.

use super::axle_path::{FIXED_EYE, away};
use super::leaf_arc;
use super::shackle_model::{Hung, Pose, Ride};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::{ANGLE, FINE_ANGLE, GAUGE};
use crate::quantity::{Angle, Curvature, Dimensioned, Force, Kind, Length, SpringRate, math, unit};
use crate::source::Source;

const MODEL: Source = Source::derived(
    "inextensible arcs of constant curvature on a rigid shackle, stationary energy",
    "direct minimisation of the energy",
);
const PRACTICE: Source =
    Source::practice("shackle about square to the eye line at ride, 10 to 20 deg outboard for many shops");
const RANGE: &str = "graduated pack, no friction, no eye offset, axle free fore-aft and in pitch";

/// Axle path, caster and rate on a shackle.
pub static SHACKLE_TRAVEL: Family = Family {
    name: "shackle-travel",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "shackle angle, axle movement, caster and rate of a leaf spring through its travel",
    inputs: &[
        Input::required("fixed_half", Kind::Length, "active half length on the side of the fixed eye")
            .also(&["half", "half_length", "a"]),
        Input::optional(
            "shackle_half",
            Kind::Length,
            "active half length on the side of the shackle; the same if absent",
        )
        .also(&["b"]),
        Input::defaulted("clamp_half", Kind::Length, "0", "rigid half clamp: centre bolt to clamp edge")
            .also(&["clamp_half_length", "c", "half_clamp"]),
        Input::required("rate", Kind::SpringRate, "rate of the spring alone, about flat").also(&[
            "flat_rate",
            "k",
            "spring_rate",
        ]),
        Input::required("load", Kind::Force, "load on this spring at ride").also(&["p", "ride_load"]),
        Input::required("shackle", Kind::Length, "shackle length, pin to pin").also(&["shackle_length"]),
        FIXED_EYE,
        Input::optional(
            "arch",
            Kind::Length,
            "height of the level eye line above the seat at ride; with lean",
        )
        .also(&["ride_arch", "loaded_arch"]),
        Input::optional(
            "lean",
            Kind::Angle,
            "shackle from vertical at ride, positive with the lower eye away from the axle",
        )
        .also(&["shackle_lean", "shackle_angle"]),
        Input::optional(
            "pin_run",
            Kind::Length,
            "frame pin from the fixed eye along the frame; instead of arch and lean",
        )
        .also(&["pin_x"]),
        Input::optional("pin_rise", Kind::Length, "frame pin above the fixed eye").also(&["pin_z"]),
        Input::optional(
            "free_curvature",
            Kind::Curvature,
            "free curvature of both halves, with pin_run; or give free_arch",
        ),
        Input::optional("free_arch", Kind::Length, "eye above the clamp edge in the free leaf of fixed_half"),
        Input::optional("bump", Kind::Length, "travel up from ride").also(&[
            "bump_move",
            "bump_travel",
            "up",
        ]),
        Input::optional("droop", Kind::Length, "travel down from ride, as a positive length")
            .also(&["droop_travel", "down"]),
    ],
    outputs: &[
        Output::new(
            "pin_run",
            "frame pin from the fixed eye along the frame",
            Kind::Length,
            "chord - shackle sin lean",
            MODEL,
        )
        .style(GAUGE),
        Output::new("pin_rise", "frame pin above the fixed eye", Kind::Length, "shackle cos lean", MODEL)
            .style(GAUGE),
        Output::new(
            "ride_drop",
            "seat below the fixed eye at ride",
            Kind::Length,
            "equilibrium under the load",
            MODEL,
        )
        .range(RANGE),
        Output::new(
            "ride_lean",
            "shackle from vertical at ride",
            Kind::Angle,
            "positive with the lower eye away from the axle",
            MODEL,
        )
        .style(ANGLE),
        Output::new(
            "ride_eye_angle",
            "shackle to the eye line at ride",
            Kind::Angle,
            "90 deg is square",
            PRACTICE,
        )
        .style(ANGLE),
        Output::new(
            "ride_rate",
            "rate at ride on this shackle",
            Kind::SpringRate,
            "slope of seat force by height",
            MODEL,
        )
        .range(RANGE),
        Output::new(
            "bump_x",
            "axle forward in bump",
            Kind::Length,
            "seat position by stationary energy",
            MODEL,
        )
        .range(RANGE)
        .style(GAUGE),
        Output::new(
            "bump_caster",
            "caster change in bump",
            Kind::Angle,
            "pitch of the seat, nose-up positive",
            MODEL,
        )
        .range(RANGE)
        .style(FINE_ANGLE),
        Output::new(
            "bump_lean",
            "shackle from vertical in bump",
            Kind::Angle,
            "positive with the lower eye away from the axle",
            MODEL,
        )
        .style(ANGLE),
        Output::new("bump_load", "load on the seat in bump", Kind::Force, "seat force at that height", MODEL)
            .range(RANGE),
        Output::new(
            "rate_up",
            "mean rate over the bump",
            Kind::SpringRate,
            "(bump_load - load) / bump",
            MODEL,
        )
        .range(RANGE),
        Output::new(
            "droop_x",
            "axle forward in droop",
            Kind::Length,
            "seat position by stationary energy",
            MODEL,
        )
        .range(RANGE)
        .style(GAUGE),
        Output::new(
            "droop_caster",
            "caster change in droop",
            Kind::Angle,
            "pitch of the seat, nose-up positive",
            MODEL,
        )
        .range(RANGE)
        .style(FINE_ANGLE),
        Output::new(
            "droop_lean",
            "shackle from vertical in droop",
            Kind::Angle,
            "positive with the lower eye away from the axle",
            MODEL,
        )
        .style(ANGLE),
        Output::new(
            "droop_load",
            "load on the seat in droop",
            Kind::Force,
            "seat force at that height",
            MODEL,
        )
        .range(RANGE),
        Output::new(
            "rate_down",
            "mean rate over the droop",
            Kind::SpringRate,
            "(load - droop_load) / droop",
            MODEL,
        )
        .range(RANGE),
        Output::new(
            "worst_lean",
            "greatest shackle angle from vertical over the travel",
            Kind::Angle,
            "largest size on the way",
            MODEL,
        )
        .style(ANGLE)
        .up(),
        Output::new(
            "closest_to_eye_line",
            "least angle between shackle and eye line over the travel",
            Kind::Angle,
            "0 deg is in line, where the shackle inverts",
            MODEL,
        )
        .style(ANGLE)
        .down(),
        Output::list(
            "travel",
            "travel of the table, up positive",
            Kind::Length,
            "quarters of droop and bump",
            MODEL,
        )
        .style(GAUGE),
        Output::list(
            "x_by_travel",
            "axle forward by travel",
            Kind::Length,
            "seat position by stationary energy",
            MODEL,
        )
        .range(RANGE)
        .style(GAUGE),
        Output::list(
            "caster_by_travel",
            "caster change by travel",
            Kind::Angle,
            "pitch of the seat, nose-up positive",
            MODEL,
        )
        .range(RANGE)
        .style(FINE_ANGLE),
        Output::list(
            "lean_by_travel",
            "shackle from vertical by travel",
            Kind::Angle,
            "positive with the lower eye away from the axle",
            MODEL,
        )
        .style(ANGLE),
        Output::word("swing", "axle in bump", "sign of bump_x", MODEL),
    ],
    example: "fixed_half=\"550 mm\" clamp_half=\"50 mm\" rate=\"40 N/mm\" load=\"4000 N\" shackle=\"110 mm\" arch=\"60 mm\" lean=\"15 deg\" bump=\"60 mm\" droop=\"60 mm\"",
    run: shackle_travel,
};

fn shackle_travel(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    if !given.has("bump") && !given.has("droop") {
        return Err(Trouble::Missing(vec!["bump", "droop"]));
    }
    let (hung, ride) = model(given)?;
    // The model runs from the fixed eye; forward and nose-up turn with the end it is at.
    let forward = away(given)?;
    answer.put("pin_run", hung.pin_run);
    answer.put("pin_rise", hung.pin_rise);
    if given.has("pin_run") {
        answer.formula("pin_run", "as entered");
        answer.formula("pin_rise", "as entered");
    }
    answer.put("ride_drop", -ride.height);
    answer.put("ride_lean", ride.lean);
    answer.put("ride_eye_angle", ride.to_eye_line);
    answer.put("ride_rate", ride.rate);
    let mut watch = Watch::default();
    watch.see(&ride);
    let bump: Option<Length> = given.maybe("bump")?;
    let droop: Option<Length> = given.maybe("droop")?;
    let mut up = Vec::new();
    if let Some(bump) = bump {
        up = quarters(&hung, &ride, given::positive("bump", bump)?, &mut watch)?;
    }
    let mut down = Vec::new();
    if let Some(droop) = droop {
        down = quarters(&hung, &ride, -given::positive("droop", droop)?, &mut watch)?;
    }
    let x = |pose: &Pose| (pose.run - ride.run) * forward;
    let caster = |pose: &Pose| (pose.pitch - ride.pitch) * forward;
    if let (Some(pose), Some(bump)) = (up.last(), bump) {
        answer.put("bump_x", x(pose));
        answer.put("bump_caster", caster(pose));
        answer.put("bump_lean", pose.lean);
        answer.put("bump_load", pose.force);
        answer.put("rate_up", SpringRate::from_si((pose.force - ride.force).si() / bump.si()));
    }
    if let (Some(pose), Some(droop)) = (down.last(), droop) {
        answer.put("droop_x", x(pose));
        answer.put("droop_caster", caster(pose));
        answer.put("droop_lean", pose.lean);
        answer.put("droop_load", pose.force);
        answer.put("rate_down", SpringRate::from_si((ride.force - pose.force).si() / droop.si()));
    }
    answer.put("worst_lean", watch.worst);
    if let Some(closest) = watch.closest {
        answer.put("closest_to_eye_line", closest);
    }
    let table: Vec<&Pose> = down.iter().rev().chain([&ride]).chain(&up).collect();
    answer.put_list("travel", table.iter().map(|p| p.height - ride.height));
    answer.put_list("x_by_travel", table.iter().map(|p| x(p)));
    answer.put_list("caster_by_travel", table.iter().map(|p| caster(p)));
    answer.put_list("lean_by_travel", table.iter().map(|p| p.lean));
    if let Some(pose) = up.last() {
        answer.put_word("swing", if x(pose).si() > 0.0 { "forward" } else { "rearward" });
    }
    watch.warn(&ride, answer);
    Ok(())
}

/// Equilibria at the quarters of a travel, each led from the one before.
fn quarters(hung: &Hung, ride: &Pose, travel: Length, watch: &mut Watch) -> Result<Vec<Pose>, Trouble> {
    let mut poses = Vec::with_capacity(4);
    for part in 1..=4 {
        let from = poses.last().unwrap_or(ride);
        let to = ride.height + travel * (0.25 * f64::from(part));
        let pose =
            hung.moved(from, to - from.height, |p| watch.see(p)).map_err(|_| inverts(hung, ride, travel))?;
        poses.push(pose);
    }
    Ok(poses)
}

/// The refusal, with the travel counted from ride.
fn inverts(hung: &Hung, ride: &Pose, travel: Length) -> Trouble {
    hung.moved(ride, travel, |_| {}).err().unwrap_or_else(|| {
        Trouble::impossible("the shackle is at the edge of inverting within the travel", "use less travel")
    })
}

/// What the shackle does on the way.
#[derive(Default)]
struct Watch {
    worst: Angle,
    closest: Option<Angle>,
    unloaded: bool,
}

impl Watch {
    fn see(&mut self, pose: &Pose) {
        if pose.lean.si().abs() > self.worst.si() {
            self.worst = Angle::from_si(pose.lean.si().abs());
        }
        // In line either way, stretched or folded, the shackle is about to invert.
        let off = math::asin(math::sin(pose.to_eye_line).abs());
        if self.closest.is_none_or(|closest| off.si() < closest.si()) {
            self.closest = Some(off);
        }
        self.unloaded |= pose.force.si() < 0.0;
    }

    fn warn(&self, ride: &Pose, answer: &mut Answer) {
        if self.worst.to(unit::DEG) > 45.0 {
            answer.warn("The shackle passes 45 deg from vertical; use a longer shackle or move the frame pin, or limit the travel.");
        }
        if self.closest.is_some_and(|closest| closest.to(unit::DEG) < 30.0) {
            answer.warn("The shackle comes within 30 deg of the line of the eyes, where it inverts; limit the travel, use a longer shackle or move the frame pin.");
        }
        if self.unloaded {
            answer.warn("The spring would pull the axle up at full droop; the axle does not hang that far by its own spring, so check the droop.");
        }
        // A reading of a digital angle finder and a set-up error are not a lean.
        if ride.lean.to(unit::DEG) < -2.0 {
            answer.warn("The shackle leans toward the axle at ride; most shops set it square to the eye line or 10 to 20 deg the other way (common practice).");
        }
    }
}

fn model(given: &Given) -> Result<(Hung, Pose), Trouble> {
    let fixed_half: Length = given::positive("fixed_half", given.need("fixed_half")?)?;
    let shackle_half: Length = given::positive("shackle_half", given.or("shackle_half", fixed_half)?)?;
    let clamp_half: Length = given.or("clamp_half", Length::from_si(0.0))?;
    if clamp_half.si() < 0.0 {
        given::positive("clamp_half", clamp_half)?;
    }
    let rate: SpringRate = given::positive("rate", given.need("rate")?)?;
    let load: Force = given::positive("load", given.need("load")?)?;
    let shackle: Length = given::positive("shackle", given.need("shackle")?)?;
    if given.has("pin_run") || given.has("pin_rise") {
        given.require(&["pin_run", "pin_rise"])?;
        let free = free_curvature(given, fixed_half)?;
        let hung = Hung {
            fixed_half,
            shackle_half,
            clamp_half,
            rate,
            fixed_free: free,
            shackle_free: free,
            pin_run: given::positive("pin_run", given.need("pin_run")?)?,
            pin_rise: given::positive("pin_rise", given.need("pin_rise")?)?,
            shackle,
        };
        let ride = hung.rest(load)?;
        return Ok((hung, ride));
    }
    given.require(&["arch", "lean"])?;
    let lean: Angle = given.need("lean")?;
    given::within("lean", lean, unit::DEG, -80.0..=80.0, MODEL)?;
    let arch: Length = given.need("arch")?;
    Hung::at_ride(&Ride { fixed_half, shackle_half, clamp_half, rate, arch, load, shackle, lean })
}

fn free_curvature(given: &Given, half: Length) -> Result<Curvature, Trouble> {
    match (given.maybe::<Curvature>("free_curvature")?, given.maybe::<Length>("free_arch")?) {
        (Some(curvature), _) => {
            given::within(
                "free_curvature x fixed_half",
                Angle::from_si(curvature.si() * half.si()),
                unit::DEG,
                -100.0..=100.0,
                MODEL,
            )?;
            Ok(curvature)
        }
        (None, Some(arch)) => leaf_arc::curvature_at_height(half, arch),
        (None, None) => Err(Trouble::Missing(vec!["free_arch"])),
    }
}
