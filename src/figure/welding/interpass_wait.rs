//! How long to wait between passes.

use super::cooling_time::{Flow, factors};
use super::heat_flow::{LineSource, Thermal};
use crate::figure::prelude::*;
use crate::figure::usual::{HEAT_INPUT, PLATE};

const WAIT: Source = Source::derived(
    "instantaneous line source far behind the arc, thick T - T0 = q/(2 pi k t), thin T - T0 = q/(d sqrt(4 pi k rho c t))",
    "finite differences of the heat equation",
);
const NEWTON: Source = Source::derived(
    "Newton's law of cooling through two readings, T - Ta = (T1 - Ta) exp(-t/tau)",
    "stepwise integration of dT/dt = -(T - Ta)/tau",
);

family! {
    pub INTERPASS_WAIT = "interpass-wait" in Welding:
        "estimate of the wait until a pass has cooled to the interpass temperature";
    also "interpass", "interpass-time", "interpass-waiting-time", "waiting-time";
    reads InterpassWait {
        ..metal: Thermal;
        required heat_input: HeatInput in HEAT_INPUT, "heat input with k", "heat", "q";
        required thickness: Length in PLATE, "plate thickness", "d", "t";
        required interpass_max: Temperature, "highest interpass temperature", "interpass_limit", "target",
            "interpass";
        default preheat: Temperature = "20 degC", "part temperature before the pass, away from the weld", "t0";
        optional interpass_min: Temperature, "least interpass temperature, to know how long there is",
            "preheat_min", "interpass_minimum";
        default joint: Flow = Run, "kind of joint; shortens the wait where more metal carries heat away";
        optional loss_time: Time in ABOVE_ZERO,
            "time in which the air alone would take 63 % of the heat; none if not given", "time_constant", "tau";
    }
    rules { ordered(interpass_min, interpass_max); }
    gives InterpassWaitAnswer {
        wait_3d: Time, "wait in thick plate", "F3 q / (2 pi k (Ti - T0))", WAIT;
        wait_2d: Time, "wait in thin plate", "F2 q^2 / (4 pi k rho c d^2 (Ti - T0)^2)", WAIT;
        heat_flow: String, "heat flow", "2-D where the thin-plate wait is the longer", WAIT;
        wait: Time, "wait after the pass", "the longer of both", WAIT => .range(
            "an estimate for a large part; a small part soaks through and needs longer").at_least();
        pass_again_by: Time, "weld again before", "the same, to interpass_min", WAIT => .range("an estimate"
            ).at_most();
    }
    asked wait;
    example "heat_input=\"1.2 kJ/mm\" thickness=\"10 mm\" interpass_max=\"200 degC\" preheat=\"100 degC\"";
    by run
}

family! {
    pub COOLING_WAIT = "cooling-wait" in Welding:
        "wait until a soaked part has cooled to the interpass temperature, from two readings";
    reads CoolingWait {
        required reading_1: Temperature, "first reading of the part", "first", "t1", "start", "start_temperature";
        required reading_2: Temperature, "second, later reading", "second", "t2", "now", "temperature_now";
        required interval: Time in ABOVE_ZERO, "time between the readings", "elapsed", "elapsed_time", "time_between";
        required interpass_max: Temperature, "temperature to wait for", "interpass", "target";
        default ambient: Temperature = "20 degC", "temperature of the air";
    }
    gives CoolingWaitAnswer {
        time_constant: Time, "time constant of the part", "interval / ln((T1 - Ta)/(T2 - Ta))", NEWTON;
        wait: Time, "wait after the second reading", "tau ln((T2 - Ta)/(Ti - Ta))", NEWTON => .range(
            "an estimate for a part that has soaked through, in still air").at_least();
    }
    asked wait;
    example "reading_1=\"320 degC\" reading_2=\"280 degC\" interval=\"4 min\" interpass_max=\"200 degC\"";
    by from_readings
}

fn run(given: &InterpassWait, answer: &mut InterpassWaitAnswer) -> Result<()> {
    let (highest, preheat, thickness) = (*given.interpass_max, *given.preheat, *given.thickness);
    (highest <= preheat).refuse(
        "the interpass temperature is not above that of the part before the pass, so it is never reached",
        "let the whole part cool first, or check interpass_max and preheat",
    )?;
    let source = given.metal.source(*given.heat_input, preheat);
    // The low F2 would shorten the wait; the high end keeps it long.
    let ((_, f2), f3) = factors(*given.joint);
    // In thin plate the time goes with the square of the heat input.
    let shared = LineSource { heat_input: source.heat_input * f2.sqrt(), ..source };
    let wait = |at: Temperature| {
        let thin = match *given.loss_time {
            Some(loss) => shared.time_thin_with_loss(at, thickness, loss),
            None => shared.time_thin(at, thickness),
        };
        (source.time_thick(at) * f3, thin)
    };
    let (thick, thin) = wait(highest);
    if given.loss_time.given() {
        // Loss towards the plate's own temperature: less than to the air, so
        // the wait errs long.
        answer.wait_2d.formula("root of F2 q^2 exp(-2 t/tau) / (4 pi k rho c d^2 t) = (Ti - T0)^2");
    }
    answer.wait_3d.put(thick);
    answer.wait_2d.put(thin);
    answer.heat_flow.put(if thin > thick { "2-D" } else { "3-D" }.to_owned());
    answer.wait.put(larger(thick, thin));
    if let Some(least) = *given.interpass_min {
        (least >= highest).refuse(
            "the least interpass temperature is not below the highest",
            "check interpass_min and interpass_max",
        )?;
        if least > preheat {
            let (thick, thin) = wait(least);
            answer.pass_again_by.put(larger(thick, thin));
        } else {
            answer.warn(
                "The part stays above interpass_min by itself: it is no cooler than that before the pass.",
            );
        }
    }
    answer.note(
        "This is an estimate for a large part at an even temperature: always measure the interpass temperature beside \
         the joint before the next pass.",
    );
    Ok(())
}

fn from_readings(given: &CoolingWait, answer: &mut CoolingWaitAnswer) -> Result<()> {
    let (ambient, first, second) = (*given.ambient, *given.reading_1, *given.reading_2);
    let target = *given.interpass_max;
    (!(first > second && second > ambient)).refuse(
        "the part must read cooler the second time and still be warmer than the air",
        "check reading_1, reading_2 and ambient",
    )?;
    (target <= ambient).refuse("the part never cools below the air", "check interpass_max and ambient")?;
    let over = |t: Temperature| t.si() - ambient.si();
    let constant = *given.interval / math::log(over(first) / over(second));
    answer.time_constant.put(constant);
    answer.wait.put(constant * math::log(over(second) / over(target)).max(0.0));
    answer.warn(
        "This is an estimate: measure the interpass temperature beside the joint before the next pass.",
    );
    Ok(())
}
