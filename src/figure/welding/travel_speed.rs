//! The travel speeds that keep a heat input inside its limits.

use super::look_up;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Current, Dimensioned, HeatInput, Kind, Length, Power, Speed, Voltage};
use crate::source::Source;

const INVERSE: Source = Source::derived(
    "arc energy formula of EN 1011-1 and ASME IX QW-409.1 solved for travel speed",
    "putting the speed back into the heat input",
);

/// Window of travel speed.
pub static TRAVEL_SPEED: Family = Family {
    name: "travel-speed",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "slowest and fastest travel that keep the heat input inside its limits",
    inputs: &[
        Input::optional("voltage", Kind::Voltage, "voltage at the arc").also(&["volts", "u", "v", "V", "arc_volts", "arc_voltage"]),
        Input::optional("current", Kind::Current, "welding current").also(&["amps", "i", "a", "A", "amperage", "welding_current"]),
        Input::optional("power", Kind::Power, "power meter reading, instead of volts and amps"),
        Input::optional("heat_input_min", Kind::HeatInput, "least heat input allowed")
            .also(&["min", "q_min", "minimum"]),
        Input::optional("heat_input_max", Kind::HeatInput, "greatest heat input allowed")
            .also(&["max", "q_max", "maximum", "heat_input", "q", "arc_energy"]),
        Input::name("process", Need::Optional, "process; then the limits are EN heat inputs, with k"),
        Input::optional("k", Kind::Number, "thermal efficiency; without it and without a process the limits are arc energies, as in US codes")
            .also(&["eta", "efficiency", "thermal_efficiency"]),
        Input::optional("weld_length", Kind::Length, "length to be timed with a stop watch").also(&["length"]),
    ],
    outputs: &[
        Output::new("travel_slowest", "slowest travel", Kind::Speed, "k U I / heat_input_max", INVERSE).up(),
        Output::new("travel_fastest", "fastest travel", Kind::Speed, "k U I / heat_input_min", INVERSE).down(),
        Output::new("arc_time_longest", "longest arc time over the length", Kind::Time, "weld_length / travel_slowest", INVERSE)
            .down(),
        Output::new("arc_time_shortest", "shortest arc time over the length", Kind::Time, "weld_length / travel_fastest", INVERSE)
            .up(),
    ],
    example: "process=GMAW voltage=\"19 V\" current=\"170 A\" heat_input_min=\"0.5 kJ/mm\" heat_input_max=\"1.0 kJ/mm\"",
    run,
};

/// Travel speed that gives a heat input at this arc power; `k` is one for an
/// arc energy.
#[must_use]
pub fn travel_for(power: Power, k: f64, heat_input: HeatInput) -> Speed {
    Speed::from_si(k * power.si() / heat_input.si())
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let power = match given.maybe::<Power>("power")? {
        Some(power) => given::positive("power", power)?,
        None => {
            given.require(&["voltage", "current"])?;
            let volts: Voltage = look_up::volts(given)?.ok_or(Trouble::Missing(vec!["voltage"]))?;
            let amps: Current = look_up::amps(given)?.ok_or(Trouble::Missing(vec!["current"]))?;
            Power::from_si(volts.si() * amps.si())
        }
    };
    let low: Option<HeatInput> = given.maybe("heat_input_min")?;
    let high: Option<HeatInput> = given.maybe("heat_input_max")?;
    if low.is_none() && high.is_none() {
        return Err(Trouble::Missing(vec!["heat_input_min", "heat_input_max"]));
    }
    if let (Some(low), Some(high)) = (low, high)
        && low > high
    {
        return Err(Trouble::impossible(
            "the least heat input is above the greatest",
            "check heat_input_min and heat_input_max",
        ));
    }
    let k = look_up::thermal_efficiency(given, answer)?;
    if k.is_none() {
        answer.warn(
            "No process or k was given: the limits are taken as arc energies, as ASME IX and AWS D1.1 set them; do \
             not use limits of EN standards here.",
        );
    }
    let k = k.map_or(1.0, Dimensioned::si);
    let length =
        given.maybe::<Length>("weld_length")?.map(|l| given::positive("weld_length", l)).transpose()?;
    let slowest =
        high.map(|h| given::positive("heat_input_max", h).map(|h| travel_for(power, k, h))).transpose()?;
    let fastest =
        low.map(|h| given::positive("heat_input_min", h).map(|h| travel_for(power, k, h))).transpose()?;
    if let Some(speed) = slowest {
        answer.put("travel_slowest", speed);
    }
    if let Some(speed) = fastest {
        answer.put("travel_fastest", speed);
    }
    if let (Some(length), Some(speed)) = (length, slowest) {
        answer.put("arc_time_longest", length / speed);
    }
    if let (Some(length), Some(speed)) = (length, fastest) {
        answer.put("arc_time_shortest", length / speed);
    }
    Ok(())
}
