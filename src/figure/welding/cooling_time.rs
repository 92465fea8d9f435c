//! Cooling time from 800 to 500 degrees Celsius, and the heat input that
//! keeps it inside limits.

use super::look_up::NetHeat;
use crate::figure::prelude::*;
use crate::figure::usual::PLATE;

const T85: Source = Source::standard("EN 1011-2:2001", "annex D.5; also SEW 088");
const FACTORS: Source = Source::standard("EN 1011-2:2001", "annex D, table D.1").from_memory();
const INVERSE: Source = Source::derived(
    "annex D of EN 1011-2 solved for the heat input",
    "putting the heat input back into the cooling time",
);

words! {
    /// Joint, by how its heat flows away.
    pub Flow {
        Run = "run-on-plate" | "bead-on-plate" | "plate" | "bead",
        Butt = "butt" | "butt-weld" | "butt-joint" | "groove",
        Corner = "corner-fillet" | "corner",
        Tee = "t-fillet" | "t-joint" | "tee" | "fillet" | "fillet-weld" | "t" | "t-joint-fillet",
    }
}

family! {
    /// Plate, preheat and joint.
    reads Plates {
        default preheat: Temperature = "20 degC" in within(-40.0, 450.0, unit::DEGC, T85),
            "preheat or interpass temperature T0", "t0", "interpass", "temperature", "preheat_temperature", "tp";
        required thickness: Length in PLATE, "plate thickness", "d", "t", "plate_thickness", "plate", "wall";
        default joint: Flow = Run, "kind of joint; gives F2 and F3", "joint_type", "weld_type";
        optional f2: Number in ABOVE_ZERO, "factor of the joint in two-dimensional heat flow";
        optional f3: Number in ABOVE_ZERO, "factor of the joint in three-dimensional heat flow";
    }
}

family! {
    pub COOLING_TIME = "cooling-time" in Welding:
        "cooling time t8/5 by EN 1011-2 annex D, in thick or thin plate";
    also "t8/5", "t85", "t8-5", "cooling-time-t8/5";
    reads CoolingTime {
        ..heat: NetHeat;
        ..plate: Plates;

    }
    gives CoolingTimeAnswer {
        f2: Number, "factor F2", "by kind of joint; the upper end where there is a range", FACTORS;
        f3: Number, "factor F3", "by kind of joint", FACTORS;
        transition_thickness: Length, "transition thickness",
            "sqrt((4300 - 4.3 T0)/(6700 - 5 T0) 1e5 Q (1/(500-T0) + 1/(800-T0)) F2/F3)", T85 => .style(GAUGE);
        time_3d: Time, "cooling time in thick plate", "(6700 - 5 T0) Q (1/(500-T0) - 1/(800-T0)) F3", T85 =>
            .style(SECONDS);
        time_2d: Time, "cooling time in thin plate",
            "(4300 - 4.3 T0) 1e5 Q^2/d^2 (1/(500-T0)^2 - 1/(800-T0)^2) F2", T85 => .style(SECONDS);
        heat_flow: String, "heat flow", "2-D where d is below the transition thickness, else 3-D", T85;
        cooling_time: Time, "cooling time t8/5", "max(time_2d, time_3d)", T85 => .range(
            "unalloyed and low-alloy steel, peak above about 900 degC").style(SECONDS);
        cooling_time_least: Time, "cooling time with the low end of F2",
            "max(time_2d, time_3d) with the lower F2", FACTORS => .style(SECONDS);
    }
    asked cooling_time;
    example "preheat=\"100 degC\" heat_input=\"1.5 kJ/mm\" thickness=\"12 mm\" joint=butt";
    by run
}

family! {
    pub HEAT_INPUT_WINDOW = "heat-input-window" in Welding:
        "heat input that keeps the cooling time t8/5 inside its limits";
    also "t8/5-window", "heat-window", "t85-window", "cooling-time-window";
    reads HeatInputWindow {
        ..plate: Plates;
        optional cooling_time_min: Time in ABOVE_ZERO, "shortest t8/5 allowed (hardness)", "min", "t_low",
            "time_min", "t85_min";
        optional cooling_time_max: Time in ABOVE_ZERO, "longest t8/5 allowed (strength, toughness)", "max",
            "t_high", "time_max", "t85_max";
        optional cooling_time: Time in ABOVE_ZERO, "t8/5 wanted, instead of limits", "t85", "target";
    }
    rules {
        some_of(cooling_time_min, cooling_time_max, cooling_time);
        ordered(cooling_time_min, cooling_time, cooling_time_max);
    }
    gives HeatInputWindowAnswer {
        heat_input_min: HeatInput, "least heat input",
            "min(t/(c3 F3), d sqrt(t/(c2 F2))) at the shortest time, low end of F2", INVERSE => .range(
            "with k; as annex D of EN 1011-2").at_least();
        heat_input_max: HeatInput, "greatest heat input",
            "min(t/(c3 F3), d sqrt(t/(c2 F2))) at the longest time, upper end of F2", INVERSE => .range(
            "with k; as annex D of EN 1011-2").at_most();
        heat_input: HeatInput, "heat input that gives the cooling time wanted",
            "min(t/(c3 F3), d sqrt(t/(c2 F2))), upper end of F2", INVERSE => .range(
            "with k; as annex D of EN 1011-2");
        heat_flow_min: String, "heat flow at the least heat input", "2-D or 3-D", INVERSE;
        heat_flow_max: String, "heat flow at the greatest heat input", "2-D or 3-D", INVERSE;
        heat_input_transition: HeatInput, "heat input where this thickness turns from thick to thin",
            "d^2 / (transition thickness at 1 kJ/mm)^2", INVERSE;
    }
    example "cooling_time_min=\"8 s\" cooling_time_max=\"20 s\" preheat=\"100 degC\" thickness=\"12 mm\" joint=butt";
    by window
}

/// What the cooling time depends on besides the heat input.
#[derive(Debug, Clone, Copy)]
pub struct Plate {
    /// Preheat or interpass temperature.
    pub preheat: Temperature,
    /// Thickness the heat flows away through.
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
        larger(self.time_2d(heat_input), self.time_3d(heat_input))
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
pub const fn factors(joint: Flow) -> ((f64, f64), f64) {
    match joint {
        Flow::Run => ((1.0, 1.0), 1.0),
        Flow::Butt => ((0.9, 0.9), 0.9),
        Flow::Corner => ((0.67, 0.9), 0.67),
        Flow::Tee => ((0.45, 0.67), 0.67),
    }
}

impl Plates {
    /// The plate with the upper end of F2, and with the lower end.
    fn read(&self) -> (Plate, Plate) {
        let ((low, high), three) = factors(*self.joint);
        let f3 = self.f3.unwrap_or(Number::from_si(three));
        let plate = |f2: f64| Plate {
            preheat: *self.preheat,
            thickness: *self.thickness,
            f2: self.f2.unwrap_or(Number::from_si(f2)),
            f3,
        };
        (plate(high), plate(low))
    }
}

fn run(given: &CoolingTime, answer: &mut CoolingTimeAnswer) -> Result<()> {
    let (plate, least) = given.plate.read();
    let q = given.heat.heat(&mut answer.said)?;
    answer.f2.put(plate.f2);
    answer.f3.put(plate.f3);
    answer.transition_thickness.put(plate.transition(q));
    answer.time_3d.put(plate.time_3d(q));
    answer.time_2d.put(plate.time_2d(q));
    answer.heat_flow.put(plate.heat_flow(q).to_owned());
    answer.cooling_time.put(plate.time(q));
    if least.f2 != plate.f2 {
        answer.cooling_time_least.put(least.time(q));
        answer.note(format!(
            "F2 of this joint is between {} and {}: use the longer time where softening or toughness limits, the \
             shorter where hardness limits.",
            least.f2.si(),
            plate.f2.si()
        ));
    }
    if !given.plate.joint.given() {
        match (given.plate.f2.given(), given.plate.f3.given()) {
            (true, true) => {}
            (false, false) => answer.warn(
                "No joint was given: F2 and F3 are 1, a run on plate, which overstates the cooling time of a fillet.",
            ),
            _ => answer.warn(
                "Only one of f2 and f3 was given: the other is 1, a run on plate. Give both, or the joint.",
            ),
        }
    }
    Ok(())
}

fn window(given: &HeatInputWindow, answer: &mut HeatInputWindowAnswer) -> Result<()> {
    let (plate, least) = given.plate.read();
    answer.heat_input.put_some(given.cooling_time.map(|t| plate.heat_input_for(t)));
    // The least heat input must be enough even where F2 is at its low end.
    let from = given.cooling_time_min.map(|t| least.heat_input_for(t));
    let to = given.cooling_time_max.map(|t| plate.heat_input_for(t));
    if let (Some(from), Some(to)) = (from, to)
        && from > to
    {
        return Err(Trouble::impossible(
            "no heat input keeps the cooling time inside these limits over the whole range of F2",
            "widen the limits, change the preheat, or give f2",
        ));
    }
    answer.heat_input_min.put_some(from);
    answer.heat_input_max.put_some(to);
    answer.heat_flow_min.put_some(from.map(|q| least.heat_flow(q).to_owned()));
    answer.heat_flow_max.put_some(to.map(|q| plate.heat_flow(q).to_owned()));
    answer.heat_input_transition.put(plate.transition_heat_input());
    answer.warn(
        "These are heat inputs with k: divide by k of the process to get the arc energy on the meters.",
    );
    Ok(())
}
