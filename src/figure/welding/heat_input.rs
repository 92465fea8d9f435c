//! Arc energy and heat input from the meters.

use super::look_up;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{Form, Style};
use crate::quantity::{
    Current, Dimensioned, Energy, HeatInput, Kind, Length, Power, Speed, Time, Voltage, unit,
};
use crate::reference::process;
use crate::source::Source;

const ARC_ENERGY: Source =
    Source::standard("ISO/TR 18491:2015", "methods A, B and C; ASME BPVC IX:2023 QW-409.1(a) and (c)");
const HEAT_INPUT: Source = Source::standard("EN 1011-1:2009", "heat input, with k of table 1");
const RATE: Source = Source::definition("arc-on length over arc-on time");

/// Whole joules per inch and hundredths of a kilojoule per millimetre.
const J_PER_IN: Style = Style::pair(Form::decimal(unit::J_IN, 10.0), Form::decimal(unit::KJ_MM, 0.001));
const KJ: Style = Style::pair(Form::decimal(unit::KJ_IN, 0.01), Form::decimal(unit::KJ_MM, 0.001));

/// Arc energy and heat input.
pub static HEAT_INPUT_FAMILY: Family =
    Family {
        declared: Declared::OLD,
        name: "heat-input",
        group: Group::Welding,
        title: "arc energy and heat input from volts, amps and travel, or from an energy or power meter",
        inputs: &[
            Input::optional("voltage", Kind::Voltage, "voltage measured at the arc, not on the dial")
                .also(&["volts", "u", "V", "arc_voltage", "arc_volts"]),
            Input::optional("current", Kind::Current, "welding current").also(&[
                "amps",
                "i",
                "A",
                "amperage",
                "welding_current",
            ]),
            Input::optional("travel_speed", Kind::Speed, "travel speed while the arc is on").also(&[
                "v",
                "arc_speed",
                "travel",
                "speed",
                "s",
                "welding_speed",
                "weld_speed",
                "travel_rate",
            ]),
            Input::optional("weld_length", Kind::Length, "length welded, instead of a travel speed").also(&[
                "l",
                "bead_length",
                "length",
                "run_length",
                "run_out_length",
            ]),
            Input::optional("arc_time", Kind::Time, "arc-on time for weld_length").also(&[
                "arc_on_time",
                "time",
                "t",
            ]),
            Input::name("process", Need::Optional, "ISO 4063 number or US word (135, GMAW); gives k"),
            Input::optional("k", Kind::Number, "thermal efficiency, instead of a process").also(&[
                "eta",
                "efficiency",
                "thermal_efficiency",
                "arc_efficiency",
            ]),
            Input::optional("energy", Kind::Energy, "energy meter reading over weld_length").also(&[
                "energy_meter",
                "joules",
                "instantaneous_energy",
                "ie",
            ]),
            Input::optional("power", Kind::Power, "power meter reading").also(&[
                "power_meter",
                "watts",
                "instantaneous_power",
                "ip",
                "average_power",
                "avg_power",
            ]),
            Input::flag("waveform", "the power source shapes the waveform (pulsed and the like)")
                .also(&["pulsed", "waveform_controlled"]),
        ],
        outputs: &[
            Output::new("travel_speed", "travel speed", Kind::Speed, "weld_length / arc_time", RATE),
            Output::new("power", "arc power", Kind::Power, "U x I", ARC_ENERGY),
            Output::word(
                "method",
                "how the energy was measured",
                "A: U x I; B: energy meter; C: power meter",
                ARC_ENERGY,
            ),
            Output::new("arc_energy", "arc energy", Kind::HeatInput, "U x I / v", ARC_ENERGY)
                .range("not waveform-controlled, with mean meter readings")
                .style(KJ),
            Output::new(
                "heat_input_us",
                "heat input as US codes use the word (arc energy, no k)",
                Kind::HeatInput,
                "60 x U x I / S",
                Source::standard("ASME BPVC IX:2023", "QW-409.1; AWS D1.1 same form"),
            )
            .range("compare with limits of ASME IX and AWS D1.1 only")
            .style(J_PER_IN),
            Output::new("k", "thermal efficiency", Kind::Number, "by process", process::K_SOURCE),
            Output::new("heat_input", "heat input with k", Kind::HeatInput, "k x arc energy", HEAT_INPUT)
                .range("compare with limits of EN and ISO standards only")
                .style(KJ),
        ],
        example: "process=GMAW voltage=\"19 V\" current=\"170 A\" travel_speed=\"300 mm/min\"",
        run: heat_input,
    };

/// Arc energy of method A: volts times amps over travel speed.
#[must_use]
pub fn arc_energy(voltage: Voltage, current: Current, travel: Speed) -> HeatInput {
    HeatInput::from_si(voltage.si() * current.si() / travel.si())
}

/// How the meters were read.
enum Meter {
    Energy(Energy),
    Power(Power),
    VoltsAndAmps(Power),
}

fn heat_input(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let volts: Option<Voltage> = look_up::volts(given)?;
    let amps: Option<Current> = look_up::amps(given)?;
    let product = match (volts, amps) {
        (Some(u), Some(i)) => Some(Power::from_si(u.si() * i.si())),
        _ => None,
    };
    let meter = match (given.maybe::<Energy>("energy")?, given.maybe::<Power>("power")?, product) {
        (Some(energy), ..) => Meter::Energy(given::positive("energy", energy)?),
        (None, Some(power), _) => Meter::Power(given::positive("power", power)?),
        (None, None, Some(product)) => Meter::VoltsAndAmps(product),
        (None, None, None) => {
            let travel = ["travel_speed", "weld_length"].iter().any(|n| given.has(n));
            given.require(&["voltage", "current", "travel_speed"][..if travel { 2 } else { 3 }])?;
            return Err(Trouble::Missing(vec!["voltage", "current"]));
        }
    };
    let length =
        given.maybe::<Length>("weld_length")?.map(|l| given::positive("weld_length", l)).transpose()?;
    let travel = travel_speed(given, length, answer)?;
    if given.has("energy") && given.has("power") {
        answer.warn("Both an energy and a power reading were given: the energy reading was used.");
    }
    if let (Some(speed), false) = (travel, given.has("travel_speed")) {
        answer.put("travel_speed", speed);
    }
    let chosen = look_up::process(given)?;
    let waveform = given.flag("waveform")? || chosen.is_some_and(|p| p.waveform);
    let per_length = |power: Power| {
        travel.map(|v| HeatInput::from_si(power.si() / v.si())).ok_or(Trouble::Missing(vec!["travel_speed"]))
    };
    let (word, energy) = match meter {
        Meter::Energy(energy) => {
            // Arc-on time at a steady travel gives the length as well.
            let run = travel.zip(given.maybe::<Time>("arc_time")?).map(|(speed, time)| speed * time);
            let length = length.or(run).ok_or(Trouble::Missing(vec!["weld_length"]))?;
            given::positive("weld_length", length)?;
            answer.formula("arc_energy", "energy / weld_length");
            answer.formula("heat_input_us", "energy / weld_length");
            ("B: energy meter", HeatInput::from_si(energy.si() / length.si()))
        }
        Meter::Power(power) => {
            answer.formula("arc_energy", "power / v");
            answer.formula("heat_input_us", "60 x power / S");
            ("C: power meter", per_length(power)?)
        }
        Meter::VoltsAndAmps(power) => {
            let energy = per_length(power)?;
            answer.put("power", power);
            if waveform {
                answer.warn(
                    "The waveform is controlled: the product of mean volts and amps can be wrong by tens of per \
                     cent; read an energy meter or a power meter instead (ASME IX QW-409.1(c), ISO/TR 18491 B or C).",
                );
            }
            ("A: volts x amps", energy)
        }
    };
    answer.put_word("method", word);
    answer.put("arc_energy", energy);
    answer.put("heat_input_us", energy);
    match look_up::thermal_efficiency(given, answer)? {
        Some(k) => {
            if given.has("k") {
                answer.source("k", Source::entered("thermal efficiency"));
            }
            answer.put("k", k);
            answer.put("heat_input", look_up::heat_input(energy, k));
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
    if let (Some(product), Some(v), true) = (product, travel, given.has("energy") || given.has("power")) {
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
fn travel_speed(
    given: &Given,
    length: Option<Length>,
    answer: &mut Answer,
) -> Result<Option<Speed>, Trouble> {
    if let Some(speed) = given.maybe::<Speed>("travel_speed")? {
        let speed = look_up::travel("travel_speed", speed)?;
        // An energy reading takes the length; time and speed may still clash.
        if let (Some(length), Some(time)) = (length, given.maybe::<Time>("arc_time")?) {
            let measured = length / given::positive("arc_time", time)?;
            if look_up::apart(speed, measured) {
                let show = |v: Speed| Style::of(Kind::Speed).both(v.into());
                answer.warn(format!(
                    "weld_length over arc_time is {}, and travel_speed says {}: travel_speed was used; check which of \
                     them is right.",
                    show(measured),
                    show(speed)
                ));
            }
        }
        return Ok(Some(speed));
    }
    match (length, given.maybe::<Time>("arc_time")?) {
        (Some(length), Some(time)) => {
            let speed = length / given::positive("arc_time", time)?;
            look_up::travel("weld_length / arc_time", speed).map(Some)
        }
        (Some(_), None) if !given.has("energy") => Err(Trouble::Missing(vec!["arc_time"])),
        (None, Some(_)) => Err(Trouble::Missing(vec!["weld_length"])),
        _ => Ok(None),
    }
}
