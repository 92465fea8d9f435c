//! How long to wait between passes.

use super::cooling_time;
use super::heat_flow::{CONDUCTIVITY, HEAT_CAPACITY, LineSource};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Dimensioned, HeatInput, Kind, Length, Temperature, Time, math, unit};
use crate::source::Source;

const WAIT: Source = Source::derived(
    "instantaneous line source far behind the arc, thick T - T0 = q/(2 pi k t), thin T - T0 = q/(d sqrt(4 pi k rho c t))",
    "finite differences of the heat equation",
);
const NEWTON: Source = Source::derived(
    "Newton's law of cooling through two readings, T - Ta = (T1 - Ta) exp(-t/tau)",
    "stepwise integration of dT/dt = -(T - Ta)/tau",
);

/// Wait after one pass.
pub static INTERPASS_WAIT: Family = Family {
    name: "interpass-wait",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "estimate of the wait until a pass has cooled to the interpass temperature",
    inputs: &[
        Input::required("heat_input", Kind::HeatInput, "heat input with k").also(&["heat", "q"]),
        Input::required("thickness", Kind::Length, "plate thickness").also(&["d", "t"]),
        Input::required("interpass_max", Kind::Temperature, "highest interpass temperature").also(&[
            "interpass_limit",
            "target",
            "interpass",
            "interpass_temperature",
            "interpass_maximum",
        ]),
        Input::defaulted(
            "preheat",
            Kind::Temperature,
            "20 degC",
            "part temperature before the pass, away from the weld",
        )
        .also(&["t0"]),
        Input::optional(
            "interpass_min",
            Kind::Temperature,
            "least interpass temperature, to know how long there is",
        )
        .also(&["preheat_min", "interpass_minimum"]),
        Input::choice(
            "joint",
            cooling_time::JOINTS,
            Need::Default("run-on-plate"),
            "kind of joint; shortens the wait where more metal carries heat away",
        ),
        Input::optional(
            "loss_time",
            Kind::Time,
            "time in which the air alone would take 63 % of the heat; none if not given",
        )
        .also(&["time_constant", "tau"]),
        CONDUCTIVITY,
        HEAT_CAPACITY,
    ],
    outputs: &[
        Output::new("wait_3d", "wait in thick plate", Kind::Time, "F3 q / (2 pi k (Ti - T0))", WAIT),
        Output::new(
            "wait_2d",
            "wait in thin plate",
            Kind::Time,
            "F2 q^2 / (4 pi k rho c d^2 (Ti - T0)^2)",
            WAIT,
        ),
        Output::word("heat_flow", "heat flow", "2-D where the thin-plate wait is the longer", WAIT),
        Output::new("wait", "wait after the pass", Kind::Time, "the longer of both", WAIT)
            .range("an estimate for a large part; a small part soaks through and needs longer")
            .up(),
        Output::new("pass_again_by", "weld again before", Kind::Time, "the same, to interpass_min", WAIT)
            .range("an estimate")
            .down(),
    ],
    example: "heat_input=\"1.2 kJ/mm\" thickness=\"10 mm\" interpass_max=\"200 degC\" preheat=\"100 degC\"",
    run,
};

/// Wait from two readings.
pub static COOLING_WAIT: Family = Family {
    name: "cooling-wait",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "wait until a soaked part has cooled to the interpass temperature, from two readings",
    inputs: &[
        Input::required("reading_1", Kind::Temperature, "first reading of the part").also(&["first", "t1"]),
        Input::required("reading_2", Kind::Temperature, "second, later reading").also(&["second", "t2"]),
        Input::required("interval", Kind::Time, "time between the readings"),
        Input::required("interpass_max", Kind::Temperature, "temperature to wait for")
            .also(&["interpass", "target"]),
        Input::defaulted("ambient", Kind::Temperature, "20 degC", "temperature of the air"),
    ],
    outputs: &[
        Output::new(
            "time_constant",
            "time constant of the part",
            Kind::Time,
            "interval / ln((T1 - Ta)/(T2 - Ta))",
            NEWTON,
        ),
        Output::new(
            "wait",
            "wait after the second reading",
            Kind::Time,
            "tau ln((T2 - Ta)/(Ti - Ta))",
            NEWTON,
        )
        .range("an estimate for a part that has soaked through, in still air")
        .up(),
    ],
    example: "reading_1=\"320 degC\" reading_2=\"280 degC\" interval=\"4 min\" interpass_max=\"200 degC\"",
    run: from_readings,
};

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let heat_input: HeatInput = given::positive("heat_input", given.need("heat_input")?)?;
    let thickness: Length = given::positive("thickness", given.need("thickness")?)?;
    let highest: Temperature = given.need("interpass_max")?;
    let preheat: Temperature = given.or("preheat", Temperature::of(20.0, unit::DEGC))?;
    if highest <= preheat {
        return Err(Trouble::impossible(
            "the interpass temperature is not above that of the part before the pass, so it is never reached",
            "let the whole part cool first, or check interpass_max and preheat",
        ));
    }
    let source = LineSource::of(given, heat_input, preheat)?;
    let loss = given.maybe::<Time>("loss_time")?.map(|t| given::positive("loss_time", t)).transpose()?;
    // The low F2 would shorten the wait; the high end keeps it long.
    let ((_, f2), f3) = cooling_time::factors(given.maybe_word("joint")?.unwrap_or("run-on-plate"));
    // In thin plate the time goes with the square of the heat input.
    let shared = LineSource { heat_input: heat_input * f2.sqrt(), ..source };
    let wait = |at: Temperature| {
        let thin = match loss {
            Some(loss) => shared.time_thin_with_loss(at, thickness, loss),
            None => shared.time_thin(at, thickness),
        };
        (source.time_thick(at) * f3, thin)
    };
    let (thick, thin) = wait(highest);
    if loss.is_some() {
        // Loss towards the plate's own temperature: less than to the air, so
        // the wait errs long.
        answer.formula("wait_2d", "root of F2 q^2 exp(-2 t/tau) / (4 pi k rho c d^2 t) = (Ti - T0)^2");
    }
    answer.put("wait_3d", thick);
    answer.put("wait_2d", thin);
    answer.put_word("heat_flow", if thin > thick { "2-D" } else { "3-D" });
    answer.put("wait", if thin > thick { thin } else { thick });
    if let Some(least) = given.maybe::<Temperature>("interpass_min")? {
        if least >= highest {
            return Err(Trouble::impossible(
                "the least interpass temperature is not below the highest",
                "check interpass_min and interpass_max",
            ));
        }
        if least > preheat {
            let (thick, thin) = wait(least);
            answer.put("pass_again_by", if thin > thick { thin } else { thick });
        }
    }
    answer.note(
        "This is an estimate for a large part at an even temperature: always measure the interpass temperature beside \
         the joint before the next pass.",
    );
    Ok(())
}

fn from_readings(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let ambient: Temperature = given.or("ambient", Temperature::of(20.0, unit::DEGC))?;
    let first: Temperature = given.need("reading_1")?;
    let second: Temperature = given.need("reading_2")?;
    let target: Temperature = given.need("interpass_max")?;
    let interval: Time = given::positive("interval", given.need("interval")?)?;
    if !(first > second && second > ambient) {
        return Err(Trouble::impossible(
            "the part must read cooler the second time and still be warmer than the air",
            "check reading_1, reading_2 and ambient",
        ));
    }
    if target <= ambient {
        return Err(Trouble::impossible(
            "the part never cools below the air",
            "check interpass_max and ambient",
        ));
    }
    let over = |t: Temperature| t.si() - ambient.si();
    let constant = interval / math::log(over(first) / over(second));
    answer.put("time_constant", constant);
    let left = math::log(over(second) / over(target)).max(0.0);
    answer.put("wait", constant * left);
    answer.warn(
        "This is an estimate: measure the interpass temperature beside the joint before the next pass.",
    );
    Ok(())
}
