//! The travel speeds that keep a heat input inside its limits.

use super::look_up::{AMPS, Efficiency, VOLTS};
use crate::figure::prelude::*;
use crate::figure::usual::HEAT_INPUT;

const INVERSE: Source = Source::derived(
    "arc energy formula of EN 1011-1 and ASME IX QW-409.1 solved for travel speed",
    "putting the speed back into the heat input",
);

family! {
    pub TRAVEL_SPEED = "travel-speed" in Welding:
        "slowest and fastest travel that keep the heat input inside its limits";
    also "travel-range", "welding-speed";
    reads TravelSpeed {
        ..efficiency: Efficiency;
        optional voltage: Voltage in VOLTS, "voltage at the arc", "volts", "u", "v", "V";
        optional current: Current in AMPS, "welding current", "amps", "i", "a", "A";
        optional power: Power in ABOVE_ZERO, "power meter reading, instead of volts and amps";
        optional heat_input_min: HeatInput in HEAT_INPUT, "least heat input allowed", "min", "q_min", "minimum";
        optional heat_input_max: HeatInput in HEAT_INPUT, "greatest heat input allowed", "max", "q_max",
            "maximum", "heat_input", "q", "arc_energy";
        optional weld_length: Length in ABOVE_ZERO, "length to be timed with a stop watch", "length";
    }
    rules {
        some_of(heat_input_min, heat_input_max);
        ordered(heat_input_min, heat_input_max);
    }
    gives TravelSpeedAnswer {
        travel_slowest: Speed, "slowest travel", "k U I / heat_input_max", INVERSE => .at_least();
        travel_fastest: Speed, "fastest travel", "k U I / heat_input_min", INVERSE => .at_most();
        arc_time_longest: Time, "longest arc time over the length", "weld_length / travel_slowest", INVERSE =>
            .at_most();
        arc_time_shortest: Time, "shortest arc time over the length", "weld_length / travel_fastest", INVERSE =>
            .at_least();
    }
    example "process=GMAW voltage=\"19 V\" current=\"170 A\" heat_input_min=\"0.5 kJ/mm\" heat_input_max=\"1.0 kJ/mm\"";
    by run
}

/// Travel speed that gives a heat input at this arc power; `k` is one for an
/// arc energy.
#[must_use]
pub fn travel_for(power: Power, k: f64, heat_input: HeatInput) -> Speed {
    Speed::from_si(k * power.si() / heat_input.si())
}

fn run(given: &TravelSpeed, answer: &mut TravelSpeedAnswer) -> Result<()> {
    let power = match *given.power {
        Some(power) => power,
        None => {
            require(&[&given.voltage, &given.current])?;
            Power::from_si(given.voltage.need()?.si() * given.current.need()?.si())
        }
    };
    let (low, high) = (*given.heat_input_min, *given.heat_input_max);
    let k = given.efficiency.share(&mut answer.said);
    if k.is_none() {
        answer.warn(
            "No process or k was given: the limits are taken as arc energies, as ASME IX and AWS D1.1 set them; do \
             not use limits of EN standards here.",
        );
    }
    let k = k.map_or(1.0, Dimensioned::si);
    let slowest = high.map(|h| travel_for(power, k, h));
    let fastest = low.map(|h| travel_for(power, k, h));
    answer.travel_slowest.put_some(slowest);
    answer.travel_fastest.put_some(fastest);
    let spread = answer.travel_slowest.expanded() + answer.travel_fastest.expanded();
    if let (Some(slowest), Some(fastest)) = (slowest, fastest)
        && spread.si() > 0.0
        && fastest - slowest < spread
    {
        answer.warn("Not proven: within the uncertainty stated no travel keeps the heat input inside both limits. Measure volts and amps better, or aim at other limits.");
    }
    if let Some(length) = *given.weld_length {
        answer.arc_time_longest.put_some(slowest.map(|speed| length / speed));
        answer.arc_time_shortest.put_some(fastest.map(|speed| length / speed));
    }
    Ok(())
}
