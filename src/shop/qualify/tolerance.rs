//! How far a shop range may leave the values a procedure was qualified with.

use crate::quantity::{Current, Dimensioned, Flow, Speed, Temperature, TemperatureRise, Voltage, unit};
use crate::shop::Band;
use crate::shop::process;
use crate::source::Source;

/// Limits read in a copy: current and voltage.
pub const SEEN: Source = Source::standard("AWS D1.1:2015", "table 4.5 (2020: table 6.5), current, voltage");
/// Limits recalled: the rest.
pub const RECALLED: Source =
    Source::standard("AWS D1.1:2015", "table 4.5 (2020: table 6.5), wire feed, travel, gas flow, preheat")
        .from_memory();

fn band<T: Dimensioned>(value: T, down: f64, up: f64) -> Band<T> {
    Band::between(T::from_si(value.si() * (1.0 - down)), T::from_si(value.si() * (1.0 + up)))
}

/// Current range about a qualified current. None where the code leaves it to
/// the electrode maker (stick) or says nothing.
#[must_use]
pub fn current(name: &str, qualified: Current) -> Option<Band<Current>> {
    let share = match process::counted(name)?.us {
        "SAW" | "GMAW" | "FCAW-G" | "FCAW-S" => 0.10,
        "GTAW" => 0.25,
        _ => return None,
    };
    Some(band(qualified, share, share))
}

/// Voltage range about a qualified voltage: 7 % for wire processes.
#[must_use]
pub fn voltage(name: &str, qualified: Voltage) -> Option<Band<Voltage>> {
    wire(name).then(|| band(qualified, 0.07, 0.07))
}

/// Wire feed range: 10 % for wire processes.
#[must_use]
pub fn wire_feed(name: &str, qualified: Speed) -> Option<Band<Speed>> {
    wire(name).then(|| band(qualified, 0.10, 0.10))
}

/// Travel range: 15 % for submerged arc, 25 % for gas metal and flux-cored arc,
/// 50 % for gas tungsten arc.
#[must_use]
pub fn travel(name: &str, qualified: Speed) -> Option<Band<Speed>> {
    let share = match process::counted(name)?.us {
        "SAW" => 0.15,
        "GMAW" | "FCAW-G" | "FCAW-S" => 0.25,
        "GTAW" => 0.50,
        _ => return None,
    };
    Some(band(qualified, share, share))
}

/// Gas flow: 50 % more, 20 % less.
#[must_use]
pub fn gas_flow(qualified: Flow) -> Band<Flow> {
    band(qualified, 0.20, 0.50)
}

/// Lowest preheat: 25 °F below the qualified one, 100 °F for gas tungsten arc.
#[must_use]
pub fn preheat(name: &str, qualified: Temperature) -> Temperature {
    let gtaw = process::counted(name).is_some_and(|c| c.us == "GTAW");
    let drop = TemperatureRise::of(if gtaw { 100.0 } else { 25.0 }, unit::DEGF_RISE);
    Temperature::from_si(qualified.si() - drop.si())
}

fn wire(name: &str) -> bool {
    process::counted(name).is_some_and(|c| matches!(c.us, "SAW" | "GMAW" | "FCAW-G" | "FCAW-S"))
}
