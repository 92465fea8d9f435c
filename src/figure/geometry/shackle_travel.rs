//! Axle movement, caster and rate through travel of a leaf spring on a shackle.

use super::leaf_arc;
use super::shackle_model::{Hung, Pose, Ride};
use crate::figure::{Answer, Family, Given, Group, Input, Need, Output, Trouble, given};
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
const FLAT_RATE: Source = Source::derived(
    "horizontal shackle force along a flat spring of equal halves",
    "tangent rate of the constant-curvature model",
);

/// Axle path, caster and rate on a shackle.
pub static SHACKLE_TRAVEL: Family = Family {
    name: "shackle-travel",
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
            .also(&["c", "half_clamp"]),
        Input::required("rate", Kind::SpringRate, "rate of the spring alone, about flat").also(&[
            "flat_rate",
            "k",
            "spring_rate",
        ]),
        Input::required("load", Kind::Force, "load on this spring at ride").also(&["p", "ride_load"]),
        Input::required("shackle", Kind::Length, "shackle length, pin to pin").also(&["shackle_length"]),
        Input::choice(
            "fixed_eye",
            &["front", "rear"],
            Need::Default("front"),
            "end that carries the fixed eye",
        )
        .also(&["fixed"]),
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
        Input::optional("bump", Kind::Length, "travel up from ride").also(&["bump_travel", "up"]),
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
    let front = given.maybe_word("fixed_eye")?.unwrap_or("front") == "front";
    // The model runs from the fixed eye; forward and nose-up turn with the end it is at.
    let forward = if front { -1.0 } else { 1.0 };
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
    let mut swing = None;
    if let Some(bump) = given.maybe::<Length>("bump")? {
        given::positive("bump", bump)?;
        let pose = hung.moved(&ride, bump, |p| watch.see(p))?;
        let x = (pose.run - ride.run) * forward;
        answer.put("bump_x", x);
        answer.put("bump_caster", (pose.pitch - ride.pitch) * forward);
        answer.put("bump_lean", pose.lean);
        answer.put("bump_load", pose.force);
        answer.put("rate_up", SpringRate::from_si((pose.force - ride.force).si() / bump.si()));
        swing = Some(if x.si() > 0.0 { "forward" } else { "rearward" });
    }
    if let Some(droop) = given.maybe::<Length>("droop")? {
        given::positive("droop", droop)?;
        let pose = hung.moved(&ride, -droop, |p| watch.see(p))?;
        answer.put("droop_x", (pose.run - ride.run) * forward);
        answer.put("droop_caster", (pose.pitch - ride.pitch) * forward);
        answer.put("droop_lean", pose.lean);
        answer.put("droop_load", pose.force);
        answer.put("rate_down", SpringRate::from_si((ride.force - pose.force).si() / droop.si()));
    }
    answer.put("worst_lean", watch.worst);
    if let Some(word) = swing {
        answer.put_word("swing", word);
    }
    watch.warn(&ride, answer);
    Ok(())
}

/// What the shackle does on the way.
#[derive(Default)]
struct Watch {
    worst: Angle,
    crossed: bool,
    unloaded: bool,
    softened: bool,
}

impl Watch {
    fn see(&mut self, pose: &Pose) {
        if pose.lean.si().abs() > self.worst.si() {
            self.worst = Angle::from_si(pose.lean.si().abs());
        }
        self.crossed |= pose.to_eye_line.si() <= 0.0;
        self.unloaded |= pose.force.si() < 0.0;
        self.softened |= pose.rate.si() <= 0.0;
    }

    fn warn(&self, ride: &Pose, answer: &mut Answer) {
        if self.worst.to(unit::DEG) > 45.0 {
            answer.warn("The shackle passes 45 deg from vertical; use a longer shackle or move the frame pin, or limit the travel.");
        }
        if self.crossed {
            answer.warn("The shackle crosses the line of the eyes and can invert; limit the droop or use a longer shackle.");
        }
        if self.softened {
            answer.warn("The seat force stops falling with droop before full droop; the shackle is close to inverting, so limit the droop.");
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

/// Rate effect of a leaning shackle on a flat spring.
pub static SHACKLE_RATE: Family =
    Family {
        name: "shackle-rate",
        group: Group::Geometry,
        title: "how the lean of a shackle stiffens or softens a flat leaf spring",
        inputs: &[
            Input::required("rate", Kind::SpringRate, "rate of the flat spring without shackle effect")
                .also(&["k", "k0", "flat_rate"]),
            Input::required("half_length", Kind::Length, "active half length").also(&["a", "half"]),
            Input::required("load", Kind::Force, "load on the seat").also(&["p"]),
            Input::required(
                "lean",
                Kind::Angle,
                "shackle from vertical, positive with the lower eye away from the axle",
            )
            .also(&["shackle_lean", "shackle_angle"]),
        ],
        outputs: &[
            Output::new(
                "horizontal_force",
                "pull along the spring",
                Kind::Force,
                "load / 2 x tan lean",
                FLAT_RATE,
            ),
            Output::new(
                "rate_change",
                "change of rate",
                Kind::SpringRate,
                "8/3 x horizontal_force / half_length",
                FLAT_RATE,
            ),
            Output::new(
                "loaded_rate",
                "rate with the shackle",
                Kind::SpringRate,
                "rate + rate_change",
                FLAT_RATE,
            )
            .range("flat spring of equal halves, level eye line"),
        ],
        example: "rate=\"40 N/mm\" half_length=\"550 mm\" load=\"4000 N\" lean=\"25 deg\"",
        run: shackle_rate,
    };

fn shackle_rate(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let rate: SpringRate = given::positive("rate", given.need("rate")?)?;
    let half: Length = given::positive("half_length", given.need("half_length")?)?;
    let load: Force = given::positive("load", given.need("load")?)?;
    let lean: Angle = given.need("lean")?;
    given::within("lean", lean, unit::DEG, -60.0..=60.0, FLAT_RATE)?;
    let pull = load * (0.5 * math::tan(lean));
    let change = rate_change(pull, half);
    answer.put("horizontal_force", pull);
    answer.put("rate_change", change);
    answer.put("loaded_rate", rate + change);
    if (rate + change).si() <= 0.0 {
        answer.warn(
            "The shackle takes away the whole rate of the spring; it would invert, so move the frame pin.",
        );
    }
    Ok(())
}

/// Rate a pull along a flat spring of equal halves adds, 8/3 H / a; a push takes away.
#[must_use]
pub fn rate_change(pull: Force, half: Length) -> SpringRate {
    SpringRate::from_si(8.0 / 3.0 * pull.si() / half.si())
}
