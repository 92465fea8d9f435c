//! A tube clamped by U-bolts: what friction carries and what braking asks of it.

use std::f64::consts::PI;

use super::selection::{self, FINE_TORQUE, THREAD};
use super::stages::count;
use super::torque::given_preload;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{
    Acceleration, Dimensioned, Force, Form, Kind, Length, Number, Percent, Style, Torque, unit,
};
use crate::source::Source;

const CLAMP: Source =
    Source::handbook("split-clamp formulas of machine-design texts", "Coulomb friction on a clamped tube")
        .from_memory();
const STATICS: Source = Source::derived("moment and force of braking on one wheel", "statics by hand");
const VERDICT: Source =
    Source::practice("a spring seat that friction alone cannot hold with margin is welded or keyed");
const FACTOR: Style = Style::single(Form::decimal(unit::ONE, 0.01)).down();
/// Factor below which friction is not relied on: a quarter is lost by the usual
/// scatter of a torque wrench, and as much in mu.
const RELIED_ON: f64 = 1.5;

/// U-bolts on an axle tube.
pub static UBOLT_CLAMP: Family = Family {
    name: "ubolt-clamp",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "whether U-bolts hold a spring seat on its tube against brake wind-up and fore-aft force",
    inputs: &[
        Input { need: Need::Optional, help: "thread of the legs; not needed with preload", ..THREAD },
        Input::optional("torque", Kind::Torque, "torque on each leg nut").also(&["leg_torque"]),
        Input::name("finish", Need::Default("unknown"), "finish of the threads, for the nut factor")
            .also(&["lubrication", "lube"]),
        Input::optional("k", Kind::Number, "nut factor, if known").also(&["nut_factor"]),
        Input::choice(
            "k_table",
            &["textbook", "joint-handbook", "trade", "shop-rule"],
            Need::Optional,
            "table of nut factors",
        ),
        Input::optional("preload", Kind::Force, "preload of each leg, instead of torque").also(&[
            "preload_per_leg",
            "leg_force",
            "f",
            "leg_preload",
        ]),
        Input::defaulted("legs", Kind::Number, "4", "legs that clamp one seat").also(&[
            "leg_count",
            "count",
            "n",
        ]),
        Input::required("tube_od", Kind::Length, "outside diameter of the tube").also(&[
            "d",
            "tube_diameter",
            "od",
            "tube",
            "diameter",
        ]),
        Input::defaulted("mu", Kind::Number, "0.15", "friction between tube and seat, lowest to be expected")
            .also(&["friction"]),
        Input::defaulted("relaxation", Kind::Percent, "20 %", "preload lost by settling").also(&["loss"]),
        Input::optional("wheel_load", Kind::Force, "load on one wheel").also(&[
            "load_per_wheel",
            "corner_load",
            "load",
        ]),
        Input::defaulted("deceleration", Kind::Acceleration, "0.6 g", "braking deceleration")
            .also(&["braking", "decel"]),
        Input::optional("radius", Kind::Length, "loaded radius of the tire").also(&[
            "loaded_radius",
            "r",
            "tyre_radius",
            "tire_radius",
            "wheel_radius",
            "rolling_radius",
        ]),
        Input::optional(
            "brake_torque",
            Kind::Torque,
            "wind-up moment on one seat, instead of wheel load and radius",
        )
        .also(&["wind_up", "windup"]),
        Input::optional("fore_aft", Kind::Force, "fore-aft force on one seat, instead of wheel load")
            .also(&["fore_aft_force"]),
        Input::defaulted("planes", Kind::Number, "1", "friction planes that carry the fore-aft force"),
    ],
    outputs: &[
        Output::new(
            "leg_preload",
            "preload of one leg",
            Kind::Force,
            "torque / (K d)",
            super::selection::shigley("eq. 8-27"),
        ),
        Output::new("clamp_force", "clamp force of all legs N", Kind::Force, "legs x leg_preload", CLAMP),
        Output::new(
            "slip_torque",
            "torque that slips the tube, two-line contact",
            Kind::Torque,
            "mu N D",
            CLAMP,
        )
        .range("lowest of the three contact models")
        .style(FINE_TORQUE.down()),
        Output::new(
            "slip_torque_cosine",
            "torque that slips the tube, saddle",
            Kind::Torque,
            "(4/pi) mu N D",
            CLAMP,
        )
        .style(FINE_TORQUE.down()),
        Output::new(
            "slip_torque_uniform",
            "torque that slips the tube, uniform wrap",
            Kind::Torque,
            "(pi/2) mu N D",
            CLAMP,
        )
        .style(FINE_TORQUE.down()),
        Output::new("slip_force", "force that slips the seat along", Kind::Force, "planes x mu N", CLAMP)
            .down(),
        Output::new(
            "brake_force",
            "fore-aft force on one seat",
            Kind::Force,
            "wheel_load x deceleration / g",
            STATICS,
        )
        .up(),
        Output::new("wind_up", "wind-up moment on one seat", Kind::Torque, "brake_force x radius", STATICS)
            .style(FINE_TORQUE.up()),
        Output::new(
            "factor",
            "slip torque over wind-up, two-line contact",
            Kind::Number,
            "slip_torque / wind_up",
            CLAMP,
        )
        .style(FACTOR),
        Output::new(
            "factor_cosine",
            "slip torque over wind-up, saddle",
            Kind::Number,
            "slip_torque_cosine / wind_up",
            CLAMP,
        )
        .style(FACTOR),
        Output::new(
            "factor_relaxed",
            "factor after settling",
            Kind::Number,
            "factor (1 - relaxation)",
            CLAMP,
        )
        .style(FACTOR),
        Output::new(
            "fore_aft_factor",
            "slip force over fore-aft force",
            Kind::Number,
            "slip_force / brake_force",
            CLAMP,
        )
        .style(FACTOR),
        Output::new(
            "fore_aft_factor_relaxed",
            "the same after settling",
            Kind::Number,
            "fore_aft_factor (1 - relaxation)",
            CLAMP,
        )
        .style(FACTOR),
        Output::word(
            "verdict",
            "how the seat is held",
            "factor_relaxed and fore_aft_factor_relaxed at least 1.5 for friction alone",
            VERDICT,
        ),
    ],
    example: "thread=\"1/2-20\" torque=\"65 lbf-ft\" k=0.2 tube_od=\"3 in\" wheel_load=\"1750 lbf\" radius=\"13.5 in\"",
    run,
};

/// How the seat touches the tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Contact {
    /// Two lines: the lowest friction torque.
    TwoLines,
    /// A saddle with cosine pressure.
    Saddle,
    /// A wrap with uniform pressure.
    Uniform,
}

/// Torque about the tube axis at which a clamped tube slips, mu N D times 1,
/// 4/pi or pi/2.
#[must_use]
pub fn slip_torque(clamp: Force, tube: Length, mu: Number, contact: Contact) -> Torque {
    let shape = match contact {
        Contact::TwoLines => 1.0,
        Contact::Saddle => 4.0 / PI,
        Contact::Uniform => PI / 2.0,
    };
    Torque::from_si(shape * mu.si() * clamp.si() * tube.si())
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let leg = match given.maybe::<Force>("preload")? {
        Some(preload) => {
            // The thread is only told: the preload is what it would serve for.
            if given.has("thread") {
                selection::thread(given, answer)?;
            }
            given::positive("preload", preload)?
        }
        None => {
            let thread = selection::thread(given, answer)?;
            given_preload(given, answer, &thread)?
        }
    };
    let legs = count(given, "legs", Some(4.0), 1.0)?;
    #[expect(clippy::cast_precision_loss, reason = "a number of legs up to 200")]
    let clamp = leg * legs as f64;
    let tube: Length = given::positive("tube_od", given.need("tube_od")?)?;
    let mu: Number = given.or("mu", Number::from_si(0.15))?;
    given::within("mu", mu, unit::ONE, 0.01..=0.6, CLAMP)?;
    let relaxation: Percent = given.or("relaxation", Percent::from_si(0.2))?;
    given::within("relaxation", relaxation, unit::PCT, 0.0..=90.0, VERDICT)?;
    let planes = count(given, "planes", Some(1.0), 1.0)?;
    answer.put("leg_preload", leg);
    if given.has("preload") {
        answer.formula("leg_preload", "as entered");
        answer.source("leg_preload", Source::entered("preload of one leg"));
    }
    answer.put("clamp_force", clamp);
    let slip = slip_torque(clamp, tube, mu, Contact::TwoLines);
    let saddle = slip_torque(clamp, tube, mu, Contact::Saddle);
    answer.put("slip_torque", slip);
    answer.put("slip_torque_cosine", saddle);
    answer.put("slip_torque_uniform", slip_torque(clamp, tube, mu, Contact::Uniform));
    #[expect(clippy::cast_precision_loss, reason = "a number of planes up to 200")]
    let along = clamp * (mu.si() * planes as f64);
    answer.put("slip_force", along);
    let (force, moment) = demand(given)?;
    if let Some(force) = force {
        answer.put("brake_force", force);
    }
    if let Some(moment) = moment {
        answer.put("wind_up", moment);
    }
    let left = 1.0 - relaxation.si();
    let mut worst = f64::INFINITY;
    if let Some(moment) = moment {
        let factor = slip.si() / moment.si();
        answer.put("factor", Number::from_si(factor));
        answer.put("factor_cosine", Number::from_si(saddle.si() / moment.si()));
        answer.put("factor_relaxed", Number::from_si(factor * left));
        worst = worst.min(factor * left);
    }
    if let Some(force) = force {
        let factor = along.si() / force.si();
        answer.put("fore_aft_factor", Number::from_si(factor));
        answer.put("fore_aft_factor_relaxed", Number::from_si(factor * left));
        worst = worst.min(factor * left);
    }
    if worst.is_finite() {
        verdict(answer, worst);
    }
    answer.warn("Torque put on before welding near the clamp is void: torque again after the heat, and after settling.");
    Ok(())
}

fn verdict(answer: &mut Answer, worst: f64) {
    if worst >= RELIED_ON {
        answer.put_word("verdict", "friction holds with margin");
        return;
    }
    answer.put_word("verdict", "weld or key the seat: friction is not to be relied on");
    answer.warn(format!(
        "After settling the clamp holds {worst:.2} times the braking demand; below {RELIED_ON} the seat is welded or keyed to the tube and the U-bolts only clamp the spring."
    ));
}

/// Fore-aft force and wind-up moment on one seat, as far as they are given.
fn demand(given: &Given) -> Result<(Option<Force>, Option<Torque>), Trouble> {
    let deceleration: Acceleration = given.or("deceleration", Acceleration::of(0.6, unit::GRAVITY))?;
    given::within("deceleration", deceleration, unit::GRAVITY, 0.01..=2.0, STATICS)?;
    let from_load = match given.maybe::<Force>("wheel_load")? {
        Some(load) => Some(given::positive("wheel_load", load)? * deceleration.to(unit::GRAVITY)),
        None => None,
    };
    let force = match given.maybe::<Force>("fore_aft")? {
        Some(force) => Some(given::positive("fore_aft", force)?),
        None => from_load,
    };
    let moment = match (given.maybe::<Torque>("brake_torque")?, given.maybe::<Length>("radius")?, from_load) {
        (Some(moment), _, _) => Some(given::positive("brake_torque", moment)?),
        (None, Some(radius), Some(force)) => {
            Some(Torque::from_si(force.si() * given::positive("radius", radius)?.si()))
        }
        _ => None,
    };
    Ok((force, moment))
}

const BEND: Source = Source::practice("inside width is the tube diameter plus about 1/16 in");
const PAST_NUT: Source = Source::standard(
    "COMAR 11.14.05.03",
    "less than 1/4 in of leg past the tight nut is rejected; one state's code",
);

/// Size of a U-bolt.
pub static UBOLT_SIZE: Family = Family {
    name: "ubolt-size",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "inside width, leg spacing and leg length of a U-bolt for a tube",
    inputs: &[
        THREAD,
        Input::required("tube_od", Kind::Length, "outside diameter of the tube")
            .also(&["d", "od", "tube", "diameter"]),
        Input::defaulted("clearance", Kind::Length, "1/16 in", "inside width over tube diameter"),
        Input::optional(
            "stack",
            Kind::Length,
            "from the tube at the inside of the bend to the face the nuts sit on: tube, seat, pack, plate",
        )
        .also(&["pack", "grip", "height"]),
        Input::optional("nut_height", Kind::Length, "height of nut and washer together").also(&["nut"]),
        Input::defaulted("past_nut", Kind::Length, "1/4 in", "leg that stands past the tight nut")
            .also(&["protrusion", "stick_out"]),
    ],
    outputs: &[
        Output::new("inside_width", "inside width", Kind::Length, "tube_od + clearance", BEND),
        Output::new("leg_spacing", "leg spacing, centre to centre", Kind::Length, "inside_width + d", BEND),
        Output::new(
            "leg_length",
            "least leg length, inside of the bend to the end",
            Kind::Length,
            "stack + nut_height + past_nut",
            PAST_NUT,
        )
        .up(),
    ],
    example: "thread=\"1/2-20\" tube_od=\"3 in\" stack=\"5-1/2 in\" nut_height=\"5/8 in\"",
    run: run_size,
};

fn run_size(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thread = selection::thread(given, answer)?;
    let tube: Length = given::positive("tube_od", given.need("tube_od")?)?;
    let clearance: Length = given.or("clearance", Length::of(1.0 / 16.0, unit::IN))?;
    let past: Length = given.or("past_nut", Length::of(0.25, unit::IN))?;
    if clearance.si() < 0.0 || past.si() < 0.0 {
        return Err(Trouble::impossible("a clearance can't be negative", "check clearance and past_nut"));
    }
    answer.put("inside_width", tube + clearance);
    answer.put("leg_spacing", tube + clearance + thread.major);
    if given.has("stack") || given.has("nut_height") {
        given.require(&["stack", "nut_height"])?;
        let stack: Length = given::positive("stack", given.need("stack")?)?;
        let nut: Length = given::positive("nut_height", given.need("nut_height")?)?;
        if stack < tube {
            return Err(Trouble::impossible(
                "the stack is less than the tube it goes round",
                "measure it from the inside of the bend",
            ));
        }
        answer.put("leg_length", stack + nut + past);
    }
    if past.to(unit::IN) < 0.25 - 1e-9 {
        answer.warn("Inspection rejects less than 1/4 in of leg past the nut in at least one state; check the local rule.");
    }
    answer.warn("U-bolts are bent cold from rod with rolled thread and used once; take grade 8 or better with high nuts and hardened washers for suspensions.");
    Ok(())
}
