//! Arc energy and heat input from the meters.

use super::look_up::{AMPS, Efficiency, TRAVEL, VOLTS, apart};
use crate::figure::prelude::*;
use crate::reference::process;

const ARC_ENERGY: Source =
    Source::standard("ISO/TR 18491:2015", "methods A, B and C; ASME BPVC IX:2023 QW-409.1(a) and (c)");
const HEAT_INPUT: Source = Source::standard("EN 1011-1:2009", "heat input, with k of table 1");
const RATE: Source = Source::definition("arc-on length over arc-on time");

/// Whole joules per inch and hundredths of a kilojoule per millimetre.
const J_PER_IN: Style = Style::pair(Form::decimal(unit::J_IN, 10.0), Form::decimal(unit::KJ_MM, 0.001));
/// Hundredths of a kilojoule per inch and thousandths of one per millimetre.
pub const KJ: Style = Style::pair(Form::decimal(unit::KJ_IN, 0.01), Form::decimal(unit::KJ_MM, 0.001));

family! {
    pub HEAT_INPUT_FAMILY = "heat-input" in Welding:
        "arc energy and heat input from volts, amps and travel, or from an energy or power meter";
    also "arc-energy", "welding-heat-input", "weld-energy", "heat";
    reads HeatInputs {
        ..efficiency: Efficiency;
        optional voltage: Voltage in VOLTS, "voltage measured at the arc, not on the dial", "volts", "u", "V";
        optional current: Current in AMPS, "welding current", "amps", "i", "A";
        optional travel_speed: Speed in TRAVEL, "travel speed while the arc is on", "v", "arc_speed", "travel",
            "speed", "s";
        optional weld_length: Length in ABOVE_ZERO, "length welded, instead of a travel speed", "l",
            "bead_length", "length";
        optional arc_time: Time in ABOVE_ZERO, "arc-on time for weld_length", "arc_on_time", "time", "t";
        optional energy: Energy in ABOVE_ZERO, "energy meter reading over weld_length", "energy_meter", "joules",
            "instantaneous_energy";
        optional power: Power in ABOVE_ZERO, "power meter reading", "power_meter", "watts",
            "instantaneous_power";
        flag waveform: bool, "the power source shapes the waveform (pulsed and the like)", "pulsed",
            "waveform_controlled";
    }
    gives HeatInputsAnswer {
        travel_speed: Speed, "travel speed", "weld_length / arc_time", RATE;
        power: Power, "arc power", "U x I", ARC_ENERGY;
        method: String, "how the energy was measured", "A: U x I; B: energy meter; C: power meter", ARC_ENERGY;
        arc_energy: HeatInput, "arc energy", "U x I / v", ARC_ENERGY => .range(
            "not waveform-controlled, with mean meter readings").style(KJ);
        heat_input_us: HeatInput, "heat input as US codes use the word (arc energy, no k)", "60 x U x I / S",
            Source::standard("ASME BPVC IX:2023", "QW-409.1; AWS D1.1 same form") => .range(
            "compare with limits of ASME IX and AWS D1.1 only").style(J_PER_IN);
        k: Number, "thermal efficiency", "by process", process::K_SOURCE;
        heat_input: HeatInput, "heat input with k", "k x arc energy", HEAT_INPUT => .range(
            "compare with limits of EN and ISO standards only").style(KJ);
    }
    asked heat_input, arc_energy;
    example "process=GMAW voltage=\"19 V\" current=\"170 A\" travel_speed=\"300 mm/min\"";
    by heat_input
}

/// Arc energy of method A: volts times amps over travel speed.
#[must_use]
pub fn arc_energy(voltage: Voltage, current: Current, travel: Speed) -> HeatInput {
    HeatInput::from_si(voltage.si() * current.si() / travel.si())
}

fn heat_input(given: &HeatInputs, answer: &mut HeatInputsAnswer) -> Result<()> {
    let product = given.voltage.zip(*given.current).map(|(u, i)| Power::from_si(u.si() * i.si()));
    if !given.energy.given() && !given.power.given() && product.is_none() {
        if given.travel_speed.given() || given.weld_length.given() {
            require(&[&given.voltage, &given.current])?;
        }
        require(&[&given.voltage, &given.current, &given.travel_speed])?;
    }
    let length = *given.weld_length;
    let travel = travel_speed(given, answer)?;
    if given.energy.given() && given.power.given() {
        answer.warn("Both an energy and a power reading were given: the energy reading was used.");
    }
    if !given.travel_speed.given() {
        answer.travel_speed.put_some(travel);
    }
    let waveform = *given.waveform || given.efficiency.known_process().is_some_and(|p| p.waveform);
    let per_length = |power: Power| {
        travel.map(|v| HeatInput::from_si(power.si() / v.si())).ok_or(Trouble::Missing(vec!["travel_speed"]))
    };
    let (word, energy) = if let Some(energy) = *given.energy {
        // Arc-on time at a steady travel gives the length as well.
        let run = || travel.zip(*given.arc_time).map(|(speed, time)| speed * time);
        let length = length.or_else(run).ok_or(Trouble::Missing(vec!["weld_length"]))?;
        answer.arc_energy.formula("energy / weld_length");
        answer.heat_input_us.formula("energy / weld_length");
        ("B: energy meter", HeatInput::from_si(energy.si() / length.si()))
    } else if let Some(power) = *given.power {
        answer.arc_energy.formula("power / v");
        answer.heat_input_us.formula("60 x power / S");
        ("C: power meter", per_length(power)?)
    } else {
        let power = product.ok_or(Trouble::Missing(vec!["voltage", "current"]))?;
        let energy = per_length(power)?;
        answer.power.put(power);
        if waveform {
            answer.warn(
                "The waveform is controlled: the product of mean volts and amps can be wrong by tens of per cent; read \
                 an energy meter or a power meter instead (ASME IX QW-409.1(c), ISO/TR 18491 B or C).",
            );
        }
        ("A: volts x amps", energy)
    };
    answer.method.put(word.to_owned());
    answer.arc_energy.put(energy);
    answer.heat_input_us.put(energy);
    match given.efficiency.share(&mut answer.said) {
        Some(k) => {
            if given.efficiency.k.given() {
                answer.k.source(Source::entered("thermal efficiency"));
            }
            answer.k.put(k);
            answer.heat_input.put(energy * k.si());
            answer.note(
                "US codes call the arc energy heat input: compare heat_input only with EN and ISO limits, and \
                 heat_input_us only with ASME and AWS limits.",
            );
        }
        None => answer.warn(
            "No process was given, so k is not applied: this is arc energy, which ASME IX and AWS D1.1 call heat \
             input; give process to get the heat input of EN 1011-1.",
        ),
    }
    if let (Some(product), Some(v), true) = (product, travel, given.energy.given() || given.power.given()) {
        let ratio = energy.si() * v.si() / product.si();
        if (ratio - 1.0).abs() > 0.05 {
            answer.warn(format!(
                "The meter reads {ratio:.2} times volts x amps: the meter was used; check where the volts were \
                 measured and whether the mode is waveform-controlled."
            ));
        }
    }
    Ok(())
}

/// Travel speed as given, or length over arc-on time.
fn travel_speed(given: &HeatInputs, answer: &mut HeatInputsAnswer) -> Result<Option<Speed>> {
    let length = *given.weld_length;
    let measured = length.zip(*given.arc_time).map(|(length, time)| length / time);
    let Some(speed) = *given.travel_speed else {
        if let Some(speed) = measured {
            TRAVEL.check("weld_length / arc_time", speed.into())?;
        } else if length.is_some() && !given.energy.given() {
            require(&[&given.arc_time])?;
        } else if given.arc_time.given() {
            require(&[&given.weld_length])?;
        }
        return Ok(measured);
    };
    // An energy reading takes the length; time and speed may still clash.
    if let Some(measured) = measured
        && apart(speed, measured)
    {
        answer.warn(format!(
            "weld_length over arc_time is {}, and travel_speed says {}: travel_speed was used; check which of them is \
             right.",
            show(measured),
            show(speed)
        ));
    }
    Ok(Some(speed))
}
