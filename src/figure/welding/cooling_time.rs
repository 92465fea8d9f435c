//! Cooling time from 800 to 500 degrees Celsius, and the heat input that
//! keeps it inside limits.

use super::look_up;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{Form, GAUGE, Style};
use crate::quantity::{Dimensioned, HeatInput, Kind, Length, Number, Temperature, Time, unit};
use crate::source::Source;

const T85: Source = Source::standard("EN 1011-2:2001", "annex D.5; also SEW 088");
const FACTORS: Source = Source::standard("EN 1011-2:2001", "annex D, table D.1").from_memory();
const INVERSE: Source = Source::derived(
    "annex D of EN 1011-2 solved for the heat input",
    "putting the heat input back into the cooling time",
);

/// Seconds to a tenth.
const SECONDS: Style = Style::single(Form::decimal(unit::SECOND, 0.1));

/// Words for the joint.
pub(super) const JOINTS: &[&str] = &[
    "run-on-plate",
    "bead-on-plate",
    "butt",
    "corner-fillet",
    "t-fillet",
    "t-joint",
    "tee",
    "fillet",
    "butt-weld",
    "butt-joint",
    "fillet-weld",
];

const PREHEAT: Input =
    Input::defaulted("preheat", Kind::Temperature, "20 degC", "preheat or interpass temperature T0").also(&[
        "t0",
        "interpass",
        "temperature",
        "preheat_temperature",
        "tp",
        "ti",
    ]);
const THICKNESS: Input = Input::required("thickness", Kind::Length, "plate thickness").also(&[
    "d",
    "t",
    "plate_thickness",
    "plate",
    "wall",
]);
const JOINT: Input =
    Input::choice("joint", JOINTS, Need::Default("run-on-plate"), "kind of joint; gives F2 and F3")
        .also(&["joint_type", "weld_type"]);
const F2: Input = Input::optional("f2", Kind::Number, "factor of the joint in two-dimensional heat flow");
const F3: Input = Input::optional("f3", Kind::Number, "factor of the joint in three-dimensional heat flow");

/// Cooling time.
pub static COOLING_TIME: Family = Family {
    name: "cooling-time",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "cooling time t8/5 by EN 1011-2 annex D, in thick or thin plate",
    inputs: &[
        PREHEAT,
        Input::optional("heat_input", Kind::HeatInput, "heat input with the k of EN 1011-1")
            .also(&["heat", "q"]),
        look_up::ARC[0],
        look_up::ARC[1],
        look_up::ARC[2],
        THICKNESS,
        JOINT,
        F2,
        F3,
    ],
    outputs: &[
        Output::new(
            "f2",
            "factor F2",
            Kind::Number,
            "by kind of joint; the upper end where there is a range",
            FACTORS,
        ),
        Output::new("f3", "factor F3", Kind::Number, "by kind of joint", FACTORS),
        Output::new(
            "transition_thickness",
            "transition thickness",
            Kind::Length,
            "sqrt((4300 - 4.3 T0)/(6700 - 5 T0) 1e5 Q (1/(500-T0) + 1/(800-T0)) F2/F3)",
            T85,
        )
        .style(GAUGE),
        Output::new(
            "time_3d",
            "cooling time in thick plate",
            Kind::Time,
            "(6700 - 5 T0) Q (1/(500-T0) - 1/(800-T0)) F3",
            T85,
        )
        .style(SECONDS),
        Output::new(
            "time_2d",
            "cooling time in thin plate",
            Kind::Time,
            "(4300 - 4.3 T0) 1e5 Q^2/d^2 (1/(500-T0)^2 - 1/(800-T0)^2) F2",
            T85,
        )
        .style(SECONDS),
        Output::word(
            "heat_flow",
            "heat flow",
            "2-D where d is below the transition thickness, else 3-D",
            T85,
        ),
        Output::new("cooling_time", "cooling time t8/5", Kind::Time, "max(time_2d, time_3d)", T85)
            .range("unalloyed and low-alloy steel, peak above about 900 degC")
            .style(SECONDS),
        Output::new(
            "cooling_time_least",
            "cooling time with the low end of F2",
            Kind::Time,
            "max(time_2d, time_3d) with the lower F2",
            FACTORS,
        )
        .style(SECONDS),
    ],
    example: "preheat=\"100 degC\" heat_input=\"1.5 kJ/mm\" thickness=\"12 mm\" joint=butt",
    run,
};

/// Window of heat input.
pub static HEAT_INPUT_WINDOW: Family = Family {
    name: "heat-input-window",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "heat input that keeps the cooling time t8/5 inside its limits",
    inputs: &[
        Input::optional("cooling_time_min", Kind::Time, "shortest t8/5 allowed (hardness)")
            .also(&["min", "t_low", "time_min", "tmin", "t_min", "t85_min", "t8/5_min"]),
        Input::optional("cooling_time_max", Kind::Time, "longest t8/5 allowed (strength, toughness)")
            .also(&["max", "t_high", "time_max", "tmax", "t_max", "t85_max"]),
        Input::optional("cooling_time", Kind::Time, "t8/5 wanted, instead of limits")
            .also(&["t85", "target"]),
        PREHEAT,
        THICKNESS,
        JOINT,
        F2,
        F3,
    ],
    outputs: &[
        Output::new(
            "heat_input_min",
            "least heat input",
            Kind::HeatInput,
            "min(t/(c3 F3), d sqrt(t/(c2 F2))) at the shortest time, low end of F2",
            INVERSE,
        )
        .range("with k; as annex D of EN 1011-2")
        .up(),
        Output::new(
            "heat_input_max",
            "greatest heat input",
            Kind::HeatInput,
            "min(t/(c3 F3), d sqrt(t/(c2 F2))) at the longest time, upper end of F2",
            INVERSE,
        )
        .range("with k; as annex D of EN 1011-2")
        .down(),
        Output::new(
            "heat_input",
            "heat input that gives the cooling time wanted",
            Kind::HeatInput,
            "min(t/(c3 F3), d sqrt(t/(c2 F2))), upper end of F2",
            INVERSE,
        )
        .range("with k; as annex D of EN 1011-2"),
        Output::word("heat_flow_min", "heat flow at the least heat input", "2-D or 3-D", INVERSE),
        Output::word("heat_flow_max", "heat flow at the greatest heat input", "2-D or 3-D", INVERSE),
        Output::new(
            "heat_input_transition",
            "heat input where this thickness turns from thick to thin",
            Kind::HeatInput,
            "d^2 / (transition thickness at 1 kJ/mm)^2",
            INVERSE,
        ),
    ],
    example: "cooling_time_min=\"8 s\" cooling_time_max=\"20 s\" preheat=\"100 degC\" thickness=\"12 mm\" joint=butt",
    run: window,
};

/// What the cooling time depends on besides the heat input.
#[derive(Debug, Clone, Copy)]
pub struct Plate {
    /// Preheat or interpass temperature.
    pub preheat: Temperature,
    /// Thickness.
    pub thickness: Length,
    /// Factor in two-dimensional heat flow.
    pub f2: Number,
    /// Factor in three-dimensional heat flow.
    pub f3: Number,
}

impl Plate {
    /// Seconds per kJ/mm in thick plate.
    fn c3(&self) -> f64 {
        let t0 = self.preheat.to(unit::DEGC);
        (6700.0 - 5.0 * t0) * (1.0 / (500.0 - t0) - 1.0 / (800.0 - t0)) * self.f3.si()
    }

    /// Seconds per (kJ/mm)^2 times mm^2 in thin plate.
    fn c2(&self) -> f64 {
        let t0 = self.preheat.to(unit::DEGC);
        let (a, b) = (1.0 / (500.0 - t0), 1.0 / (800.0 - t0));
        (4300.0 - 4.3 * t0) * 1e5 * (a * a - b * b) * self.f2.si()
    }

    /// Cooling time in thick plate.
    #[must_use]
    pub fn time_3d(&self, heat_input: HeatInput) -> Time {
        Time::of(self.c3() * heat_input.to(unit::KJ_MM), unit::SECOND)
    }

    /// Cooling time in thin plate.
    #[must_use]
    pub fn time_2d(&self, heat_input: HeatInput) -> Time {
        let ratio = heat_input.to(unit::KJ_MM) / self.thickness.to(unit::MM);
        Time::of(self.c2() * ratio * ratio, unit::SECOND)
    }

    /// Cooling time: the longer of the two, which is the thin plate's below
    /// the transition thickness.
    #[must_use]
    pub fn time(&self, heat_input: HeatInput) -> Time {
        let (thin, thick) = (self.time_2d(heat_input), self.time_3d(heat_input));
        if thin > thick { thin } else { thick }
    }

    /// Thickness at which both times are equal.
    #[must_use]
    pub fn transition(&self, heat_input: HeatInput) -> Length {
        Length::of((self.c2() / self.c3() * heat_input.to(unit::KJ_MM)).sqrt(), unit::MM)
    }

    /// Heat input at which this thickness is the transition thickness.
    #[must_use]
    pub fn transition_heat_input(&self) -> HeatInput {
        let d = self.thickness.to(unit::MM);
        HeatInput::of(d * d * self.c3() / self.c2(), unit::KJ_MM)
    }

    /// Heat input that gives a cooling time: exact in both regimes, since the
    /// time is the larger of two rising functions of the heat input.
    #[must_use]
    pub fn heat_input_for(&self, time: Time) -> HeatInput {
        let t = time.to(unit::SECOND);
        let thick = t / self.c3();
        let thin = self.thickness.to(unit::MM) * (t / self.c2()).sqrt();
        HeatInput::of(thick.min(thin), unit::KJ_MM)
    }

    fn heat_flow(&self, heat_input: HeatInput) -> &'static str {
        if self.thickness < self.transition(heat_input) { "2-D" } else { "3-D" }
    }
}

/// F2 (low and high end) and F3 of a joint.
#[must_use]
pub fn factors(joint: &str) -> ((f64, f64), f64) {
    match joint {
        "butt" | "butt-weld" | "butt-joint" => ((0.9, 0.9), 0.9),
        "corner-fillet" => ((0.67, 0.9), 0.67),
        "t-fillet" | "t-joint" | "tee" | "fillet" | "fillet-weld" => ((0.45, 0.67), 0.67),
        _ => ((1.0, 1.0), 1.0),
    }
}

/// The plate with the upper end of F2, and with the lower end.
fn plates(given: &Given) -> Result<(Plate, Plate), Trouble> {
    let preheat: Temperature = given.or("preheat", Temperature::of(20.0, unit::DEGC))?;
    given::within("preheat", preheat, unit::DEGC, -40.0..=450.0, T85)?;
    let thickness: Length = given::positive("thickness", given.need("thickness")?)?;
    let ((low, high), three) = factors(given.maybe_word("joint")?.unwrap_or("run-on-plate"));
    let f2: Option<Number> = given.maybe("f2")?;
    let f3 = given::positive("f3", given.or("f3", Number::from_si(three))?)?;
    let plate = |f2| Plate { preheat, thickness, f2, f3 };
    Ok(match f2 {
        Some(f2) => {
            given::positive("f2", f2)?;
            (plate(f2), plate(f2))
        }
        None => (plate(Number::from_si(high)), plate(Number::from_si(low))),
    })
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let (plate, least) = plates(given)?;
    let q: HeatInput = given::positive("heat_input", look_up::net_heat(given, answer)?)?;
    answer.put("f2", plate.f2);
    answer.put("f3", plate.f3);
    answer.put("transition_thickness", plate.transition(q));
    answer.put("time_3d", plate.time_3d(q));
    answer.put("time_2d", plate.time_2d(q));
    answer.put_word("heat_flow", plate.heat_flow(q));
    answer.put("cooling_time", plate.time(q));
    if least.f2 != plate.f2 {
        answer.put("cooling_time_least", least.time(q));
        answer.note(format!(
            "F2 of this joint is between {} and {}: use the longer time where softening or toughness limits, the \
             shorter where hardness limits.",
            least.f2.si(),
            plate.f2.si()
        ));
    }
    if !given.has("joint") && given.has("f2") != given.has("f3") {
        answer.warn(
            "Only one of f2 and f3 was given: the other is 1, a run on plate. Give both, or the joint.",
        );
    }
    if !given.has("joint") && !given.has("f2") && !given.has("f3") {
        answer.warn("No joint was given: F2 and F3 are 1, a run on plate, which overstates the cooling time of a fillet.");
    }
    Ok(())
}

fn window(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let (plate, least) = plates(given)?;
    let low: Option<Time> = given.maybe("cooling_time_min")?;
    let high: Option<Time> = given.maybe("cooling_time_max")?;
    let target: Option<Time> = given.maybe("cooling_time")?;
    if low.is_none() && high.is_none() && target.is_none() {
        return Err(Trouble::Missing(vec!["cooling_time_min", "cooling_time_max"]));
    }
    if let Some(target) = target {
        answer.put("heat_input", plate.heat_input_for(given::positive("cooling_time", target)?));
    }
    let low = low.map(|t| given::positive("cooling_time_min", t)).transpose()?;
    let high = high.map(|t| given::positive("cooling_time_max", t)).transpose()?;
    // The least heat input must be enough even where F2 is at its low end.
    let from = low.map(|t| least.heat_input_for(t));
    let to = high.map(|t| plate.heat_input_for(t));
    if let (Some(from), Some(to)) = (from, to)
        && from > to
    {
        return Err(Trouble::impossible(
            "no heat input keeps the cooling time inside these limits over the whole range of F2",
            "widen the limits, change the preheat, or give f2",
        ));
    }
    if let Some(q) = from {
        answer.put("heat_input_min", q);
    }
    if let Some(q) = to {
        answer.put("heat_input_max", q);
    }
    if let Some(q) = from {
        answer.put_word("heat_flow_min", least.heat_flow(q));
    }
    if let Some(q) = to {
        answer.put_word("heat_flow_max", plate.heat_flow(q));
    }
    answer.put("heat_input_transition", plate.transition_heat_input());
    answer.warn(
        "These are heat inputs with k: divide by k of the process to get the arc energy on the meters.",
    );
    Ok(())
}
