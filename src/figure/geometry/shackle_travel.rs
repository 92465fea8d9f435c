//! Axle movement, caster and rate through travel of a leaf spring on a shackle.

use super::axle_path::SpringEnd;
use super::leaf_arc;
use super::shackle_model::{Hung, Pose, Ride};
use crate::figure::prelude::*;
use crate::figure::usual::{LEAF_RATE, TRAVEL};

const MODEL: Source = Source::derived(
    "inextensible arcs of constant curvature on a rigid shackle, stationary energy",
    "direct minimisation of the energy",
);
const PRACTICE: Source =
    Source::practice("shackle about square to the eye line at ride, 10 to 20 deg outboard for many shops");
const RANGE: &str = "graduated pack, no friction, no eye offset, axle free fore-aft and in pitch";

family! {
    pub SHACKLE_TRAVEL = "shackle-travel" in Geometry:
        "shackle angle, axle movement, caster and rate of a leaf spring through its travel";
    also "shackle", "shackle-angle", "shackle-swing";
    reads ShackleTravel {
        ..spring: SpringEnd;
        required fixed_half: Length in ABOVE_ZERO, "active half length on the side of the fixed eye", "half",
            "half_length", "a";
        optional shackle_half: Length in ABOVE_ZERO,
            "active half length on the side of the shackle; the same if absent", "b";
        default clamp_half: Length = "0" in NOT_NEGATIVE, "rigid half clamp: centre bolt to clamp edge",
            "clamp_half_length", "c", "half_clamp";
        required rate: SpringRate in LEAF_RATE, "rate of the spring alone, about flat", "flat_rate", "k",
            "spring_rate";
        required load: Force in ABOVE_ZERO, "load on this spring at ride", "p", "ride_load";
        required shackle: Length in ABOVE_ZERO, "shackle length, pin to pin", "shackle_length";
        optional arch: Length, "height of the level eye line above the seat at ride; with lean", "ride_arch",
            "loaded_arch";
        optional lean: Angle in within(-80.0, 80.0, unit::DEG, MODEL),
            "shackle from vertical at ride, positive with the lower eye away from the axle", "shackle_lean",
            "shackle_angle";
        optional pin_run: Length in ABOVE_ZERO,
            "frame pin from the fixed eye along the frame; instead of arch and lean", "pin_x";
        optional pin_rise: Length in ABOVE_ZERO, "frame pin above the fixed eye", "pin_z";
        optional free_curvature: Curvature, "free curvature of both halves, with pin_run; or give free_arch";
        optional free_arch: Length, "eye above the clamp edge in the free leaf of fixed_half";
        optional bump: Length in TRAVEL, "travel up from ride", "bump_move", "bump_travel", "up";
        optional droop: Length in TRAVEL, "travel down from ride, as a positive length", "droop_travel", "down";
    }
    rules { some_of(bump, droop); some_of(arch, pin_run, pin_rise); together(pin_run, pin_rise); together(arch, lean); }
    gives ShackleTravelAnswer {
        pin_run: Length, "frame pin from the fixed eye along the frame", "chord - shackle sin lean",
            MODEL => .style(GAUGE);
        pin_rise: Length, "frame pin above the fixed eye", "shackle cos lean", MODEL => .style(GAUGE);
        ride_drop: Length, "seat below the fixed eye at ride", "equilibrium under the load", MODEL => .range(RANGE);
        ride_lean: Angle, "shackle from vertical at ride", "positive with the lower eye away from the axle",
            MODEL => .style(ANGLE);
        ride_eye_angle: Angle, "shackle to the eye line at ride", "90 deg is square", PRACTICE => .style(ANGLE);
        ride_rate: SpringRate, "rate at ride on this shackle", "slope of seat force by height",
            MODEL => .range(RANGE);
        bump_x: Length, "axle forward in bump", "seat position by stationary energy",
            MODEL => .range(RANGE).style(GAUGE);
        bump_caster: Angle, "caster change in bump", "pitch of the seat, nose-up positive",
            MODEL => .range(RANGE).style(FINE_ANGLE);
        bump_lean: Angle, "shackle from vertical in bump", "positive with the lower eye away from the axle",
            MODEL => .style(ANGLE);
        bump_load: Force, "load on the seat in bump", "seat force at that height", MODEL => .range(RANGE);
        rate_up: SpringRate, "mean rate over the bump", "(bump_load - load) / bump", MODEL => .range(RANGE);
        droop_x: Length, "axle forward in droop", "seat position by stationary energy",
            MODEL => .range(RANGE).style(GAUGE);
        droop_caster: Angle, "caster change in droop", "pitch of the seat, nose-up positive",
            MODEL => .range(RANGE).style(FINE_ANGLE);
        droop_lean: Angle, "shackle from vertical in droop", "positive with the lower eye away from the axle",
            MODEL => .style(ANGLE);
        droop_load: Force, "load on the seat in droop", "seat force at that height", MODEL => .range(RANGE);
        rate_down: SpringRate, "mean rate over the droop", "(load - droop_load) / droop", MODEL => .range(RANGE);
        worst_lean: Angle, "greatest shackle angle from vertical over the travel", "largest size on the way",
            MODEL => .style(ANGLE).up();
        closest_to_eye_line: Angle, "least angle between shackle and eye line over the travel",
            "0 deg is in line, where the shackle inverts", MODEL => .style(ANGLE).down();
        travel: Vec<Length>, "travel of the table, up positive", "quarters of droop and bump",
            MODEL => .style(GAUGE);
        x_by_travel: Vec<Length>, "axle forward by travel", "seat position by stationary energy",
            MODEL => .range(RANGE).style(GAUGE);
        caster_by_travel: Vec<Angle>, "caster change by travel", "pitch of the seat, nose-up positive",
            MODEL => .range(RANGE).style(FINE_ANGLE);
        lean_by_travel: Vec<Angle>, "shackle from vertical by travel",
            "positive with the lower eye away from the axle", MODEL => .style(ANGLE);
        swing: String, "axle in bump", "sign of bump_x", MODEL;
    }
    example "fixed_half=\"550 mm\" clamp_half=\"50 mm\" rate=\"40 N/mm\" load=\"4000 N\" shackle=\"110 mm\" arch=\"60 mm\" lean=\"15 deg\" bump=\"60 mm\" droop=\"60 mm\"";
    by shackle_travel
}

fn shackle_travel(given: &ShackleTravel, answer: &mut ShackleTravelAnswer) -> Result<()> {
    let (hung, ride) = model(given)?;
    // The model runs from the fixed eye; forward and nose-up turn with the end it is at.
    let forward = given.spring.away();
    answer.pin_run.put(hung.pin_run);
    answer.pin_rise.put(hung.pin_rise);
    if given.pin_run.given() {
        answer.pin_run.formula("as entered");
        answer.pin_rise.formula("as entered");
    }
    answer.ride_drop.put(-ride.height);
    answer.ride_lean.put(ride.lean);
    answer.ride_eye_angle.put(ride.to_eye_line);
    answer.ride_rate.put(ride.rate);
    let mut watch = Watch::default();
    watch.see(&ride);
    let bump = *given.bump;
    let droop = *given.droop;
    let mut up = Vec::new();
    if let Some(bump) = bump {
        up = quarters(&hung, &ride, bump, &mut watch)?;
    }
    let mut down = Vec::new();
    if let Some(droop) = droop {
        down = quarters(&hung, &ride, -droop, &mut watch)?;
    }
    let x = |pose: &Pose| (pose.run - ride.run) * forward;
    let caster = |pose: &Pose| (pose.pitch - ride.pitch) * forward;
    if let (Some(pose), Some(bump)) = (up.last(), bump) {
        answer.bump_x.put(x(pose));
        answer.bump_caster.put(caster(pose));
        answer.bump_lean.put(pose.lean);
        answer.bump_load.put(pose.force);
        answer.rate_up.put(SpringRate::from_si((pose.force - ride.force).si() / bump.si()));
    }
    if let (Some(pose), Some(droop)) = (down.last(), droop) {
        answer.droop_x.put(x(pose));
        answer.droop_caster.put(caster(pose));
        answer.droop_lean.put(pose.lean);
        answer.droop_load.put(pose.force);
        answer.rate_down.put(SpringRate::from_si((ride.force - pose.force).si() / droop.si()));
    }
    answer.worst_lean.put(watch.worst);
    answer.closest_to_eye_line.put_some(watch.closest);
    let table: Vec<&Pose> = down.iter().rev().chain([&ride]).chain(&up).collect();
    answer.travel.list(table.iter().map(|p| p.height - ride.height));
    answer.x_by_travel.list(table.iter().map(|p| x(p)));
    answer.caster_by_travel.list(table.iter().map(|p| caster(p)));
    answer.lean_by_travel.list(table.iter().map(|p| p.lean));
    if let Some(pose) = up.last() {
        answer.swing.put(if x(pose).si() > 0.0 { "forward" } else { "rearward" });
    }
    watch.warn(&ride, answer);
    Ok(())
}

/// Equilibria at the quarters of a travel, each led from the one before.
fn quarters(hung: &Hung, ride: &Pose, travel: Length, watch: &mut Watch) -> Result<Vec<Pose>> {
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

    fn warn(&self, ride: &Pose, answer: &mut ShackleTravelAnswer) {
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

fn model(given: &ShackleTravel) -> Result<(Hung, Pose)> {
    let fixed_half = *given.fixed_half;
    let shackle_half: Length = given.shackle_half.unwrap_or(fixed_half);
    let clamp_half = *given.clamp_half;
    let rate = *given.rate;
    let load = *given.load;
    let shackle = *given.shackle;
    if given.pin_run.given() || given.pin_rise.given() {
        let free = free_curvature(given, fixed_half)?;
        let hung = Hung {
            fixed_half,
            shackle_half,
            clamp_half,
            rate,
            fixed_free: free,
            shackle_free: free,
            pin_run: given.pin_run.need()?,
            pin_rise: given.pin_rise.need()?,
            shackle,
        };
        let ride = hung.rest(load)?;
        return Ok((hung, ride));
    }
    let lean = given.lean.need()?;
    let arch = given.arch.need()?;
    Hung::at_ride(&Ride { fixed_half, shackle_half, clamp_half, rate, arch, load, shackle, lean })
}

fn free_curvature(given: &ShackleTravel, half: Length) -> Result<Curvature> {
    match (*given.free_curvature, *given.free_arch) {
        (Some(curvature), _) => {
            within(-100.0, 100.0, unit::DEG, MODEL)
                .check("free_curvature x fixed_half", Angle::from_si(curvature.si() * half.si()).into())?;
            Ok(curvature)
        }
        (None, Some(arch)) => leaf_arc::curvature_at_height(half, arch),
        (None, None) => Err(Trouble::Missing(vec!["free_arch"])),
    }
}
