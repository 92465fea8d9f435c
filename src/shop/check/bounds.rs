//! Bounds of every quantity of a shop book. Usual: common practice of shops that weld
//! plate and tube from sheet to heavy frames, and use hand tools.

use crate::file::bounds::{Bound, row};
use crate::shop::model::Measures;

/// Every quantity of the shop book but those of an instrument, see [`of_instrument`].
#[rustfmt::skip]
pub const BOUNDS: &[Bound] = &[
    row("qualification.thickness", "in", (0.06, 2.0), (0.02, 8.0)),
    row("qualification.deposited", "in", (0.03, 2.0), (0.01, 8.0)),
    row("qualification.layers", "", (1.0, 20.0), (1.0, 100.0)),
    row("qualification.diameter", "in", (0.5, 30.0), (0.2, 120.0)),
    row("wps.thickness", "in", (0.02, 8.0), (0.005, 40.0)),
    row("wps.diameter", "in", (0.3, 60.0), (0.1, 400.0)),
    row("wps.wire", "in", (0.02, 0.26), (0.01, 0.6)),
    row("wps.gas_flow", "ft3/h", (8.0, 80.0), (1.0, 400.0)),
    row("wps.amps", "A", (10.0, 700.0), (2.0, 3000.0)),
    row("wps.volts", "V", (6.0, 45.0), (3.0, 110.0)),
    row("wps.wire_feed", "in/min", (40.0, 900.0), (5.0, 2500.0)),
    row("wps.travel", "in/min", (1.0, 60.0), (0.2, 400.0)),
    row("wps.preheat.thickness", "in", (0.0, 8.0), (0.0, 40.0)),
    row("wps.preheat.minimum", "degF", (32.0, 600.0), (-40.0, 1100.0)),
    row("wps.interpass_max", "degF", (120.0, 800.0), (32.0, 1300.0)),
    row("wps.heat_input_k", "", (0.6, 1.0), (0.2, 1.0)),
    row("wps.heat_input", "kJ/in", (3.0, 150.0), (0.2, 2000.0)),
    row("wps.single_pass", "in", (0.1, 0.6), (0.02, 2.0)),
    row("wps.qualified.amps", "A", (10.0, 700.0), (2.0, 3000.0)),
    row("wps.qualified.volts", "V", (6.0, 45.0), (3.0, 110.0)),
    row("wps.qualified.wire_feed", "in/min", (40.0, 900.0), (5.0, 2500.0)),
    row("wps.qualified.travel", "in/min", (1.0, 60.0), (0.2, 400.0)),
    row("wps.qualified.gas_flow", "ft3/h", (8.0, 80.0), (1.0, 400.0)),
    row("wps.qualified.preheat", "degF", (32.0, 600.0), (-40.0, 1100.0)),
    row("machine.amps", "A", (2.0, 900.0), (0.5, 5000.0)),
    row("machine.duty.amps", "A", (10.0, 900.0), (1.0, 5000.0)),
    // Nothing, and more than all of ten minutes, have a message of their own.
    row("machine.duty.cycle", "%", (10.0, 100.0), (0.0, 1000.0)),
    row("torque_tool.capacity", "lbf-ft", (1.0, 2500.0), (0.0, 20e3)),
    row("torque_tool.least", "lbf-ft", (0.1, 600.0), (0.001, 20e3)),
    row("torque_tool.increment", "lbf-ft", (0.005, 25.0), (0.0, 500.0)),
    // Above 25 % a tool is of no use, which is said in words of its own.
    row("torque_tool.uncertainty", "%", (0.1, 8.0), (0.0, 100.0)),
    row("torque_tool.deviation", "%", (0.5, 10.0), (0.0, 100.0)),
];

/// Bounds of an instrument by what it measures: of its step and uncertainty, and of
/// the values it reads.
#[must_use]
pub fn of_instrument(measures: Measures) -> (Bound, Bound) {
    let step =
        |unit, usual: f64, most: f64| row("instrument.resolution", unit, (most * 1e-6, usual), (0.0, most));
    let range = |unit, usual, possible| row("instrument.most", unit, usual, possible);
    match measures {
        Measures::Length => (step("in", 0.13, 2.0), range("in", (0.0, 1300.0), (-40.0, 12e3))),
        Measures::Angle => (step("deg", 1.0, 10.0), range("deg", (-180.0, 360.0), (-720.0, 720.0))),
        Measures::Temperature => (step("K", 30.0, 150.0), range("degF", (-60.0, 2200.0), (-459.0, 6000.0))),
        Measures::Current => (step("A", 10.0, 100.0), range("A", (0.0, 1500.0), (-10e3, 10e3))),
        Measures::Voltage => (step("V", 2.0, 20.0), range("V", (0.0, 1000.0), (-10e3, 10e3))),
        Measures::Speed => (step("in/min", 20.0, 200.0), range("in/min", (0.0, 2500.0), (0.0, 1e6))),
        Measures::Time => (step("s", 60.0, 3600.0), range("s", (0.0, 90e3), (0.0, 1e7))),
        Measures::Pressure => (step("psi", 50.0, 1000.0), range("psi", (-15.0, 6000.0), (-15.0, 100e3))),
        Measures::Mass => (step("lb", 50.0, 1000.0), range("lb", (0.0, 40e3), (0.0, 400e3))),
    }
}
