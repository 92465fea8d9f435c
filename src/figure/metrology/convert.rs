//! Units at the bench: a quantity in both systems or in a wanted unit, and the
//! nearest fraction of an inch.

use crate::figure::prelude::*;
use crate::quantity::Quantity;

const EXACT: Source = Source::standard("NIST SP 811", "appendix B, exact factors");
const FRACTION: Source = Source::practice("nearest mark of the scale, ties away from zero");
const FINE_TORQUE: Style = Style::pair(Form::decimal(unit::LBF_FT, 0.01), Form::decimal(unit::N_M, 0.01));

words! {
    /// Marks of an inch scale, per inch.
    pub Marks {
        Eighths = "8" | "1/8",
        Sixteenths = "16" | "1/16",
        ThirtySeconds = "32" | "1/32",
        SixtyFourths = "64" | "1/64",
    }
}

family! {
    pub CONVERT = "convert" in Metrology:
        "a quantity in both systems or in a wanted unit, and a length as the nearest fraction of an inch";
    also "conversion", "units", "unit-conversion", "fraction", "fractions", "convert-units";
    reads Convert {
        optional length: Length, "to convert", "value", "from", "l", "distance", "size", "thickness", "diameter";
        optional angle: Angle, "to convert", "value", "from", "angle_value";
        optional area: Area, "to convert", "value", "from", "area_value";
        optional mass: Mass, "to convert", "value", "from", "mass_value", "weight";
        optional force: Force, "to convert", "value", "from", "force_value", "load", "f";
        optional torque: Torque, "to convert", "value", "from", "torque_value", "moment", "t";
        optional stress: Stress, "to convert", "value", "from", "stress_value", "pressure", "modulus";
        optional heat_input: HeatInput, "to convert", "value", "from", "heat_input_value", "q";
        optional speed: Speed, "to convert", "value", "from", "speed_value", "travel_speed", "wire_feed", "travel";
        optional temperature: Temperature, "to convert", "value", "from", "temperature_value", "temp";
        optional spring_rate: SpringRate, "to convert", "value", "from", "spring_rate_value", "rate", "stiffness";
        optional deposition_rate: MassRate, "to convert", "value", "from", "deposition_rate_value", "mass_rate";
        optional volume: Volume, "to convert", "value", "from", "volume_value";
        optional density: Density, "to convert", "value", "from", "density_value", "rho";
        optional energy: Energy, "to convert", "value", "from", "energy_value", "work";
        optional power: Power, "to convert", "value", "from", "power_value";
        optional time: Time, "to convert", "value", "from", "time_value", "duration";
        optional rotation_speed: RotationSpeed, "to convert", "value", "from", "rotation_speed_value", "rpm";
        optional gas_flow: Flow, "to convert", "value", "from", "gas_flow_value", "flow";
        optional second_moment: SecondMoment, "to convert", "value", "from", "second_moment_value", "moment_of_inertia";
        optional temperature_difference: TemperatureRise, "to convert", "temperature_rise", "temperature_change", "rise";
        optional line_force: LineForce, "to convert", "force_per_length", "line_load";
        optional mass_per_length: LinearDensity, "to convert", "linear_density", "weight_per_length";
        optional to: String, "wanted unit, such as N·m", "unit", "into", "in";
        default scale: Marks = Sixteenths, "marks of the inch scale, per inch", "denominator", "fraction", "marks";
    }
    rules {
        one_of(length, torque, force, stress, angle, area, mass, heat_input, speed, temperature, spring_rate,
            deposition_rate, volume, density, energy, power, time, rotation_speed, gas_flow, second_moment,
            temperature_difference, line_force, mass_per_length);
    }
    gives ConvertAnswer {
        length: Length, "length", "value x factor of its unit", EXACT => .style(FINE_LENGTH);
        fraction: Length, "nearest mark of the scale", "inches to 1/scale",
            FRACTION => .style(Style::single(Form::Fraction { denominator: 64 }));
        rounding: Length, "length less nearest mark", "length - fraction", FRACTION => .style(FINE_LENGTH);
        angle: Angle, "angle", "value x factor of its unit",
            EXACT => .style(Style::single(Form::decimal(unit::DEG, 0.0001)));
        area: Area, "area", "value x factor of its unit", EXACT;
        mass: Mass, "mass", "value x factor of its unit", EXACT;
        force: Force, "force", "value x factor of its unit", EXACT;
        torque: Torque, "torque", "value x factor of its unit", EXACT => .style(FINE_TORQUE);
        stress: Stress, "stress", "value x factor of its unit", EXACT;
        heat_input: HeatInput, "heat input", "value x factor of its unit", EXACT;
        speed: Speed, "speed", "value x factor of its unit", EXACT;
        temperature: Temperature, "temperature", "value x factor of its unit", EXACT;
        spring_rate: SpringRate, "spring rate", "value x factor of its unit", EXACT;
        deposition_rate: MassRate, "deposition rate", "value x factor of its unit", EXACT;
        volume: Volume, "volume", "value x factor of its unit", EXACT;
        density: Density, "density", "value x factor of its unit", EXACT;
        energy: Energy, "energy", "value x factor of its unit", EXACT;
        power: Power, "power", "value x factor of its unit", EXACT;
        time: Time, "time", "value x factor of its unit", EXACT;
        rotation_speed: RotationSpeed, "rotation speed", "value x factor of its unit", EXACT;
        gas_flow: Flow, "gas flow", "value x factor of its unit", EXACT;
        second_moment: SecondMoment, "second moment of area", "value x factor of its unit", EXACT;
        temperature_difference: TemperatureRise, "temperature difference", "value x factor of its unit", EXACT;
        line_force: LineForce, "force per length", "value x factor of its unit", EXACT;
        mass_per_length: LinearDensity, "mass per length", "value x factor of its unit", EXACT;
        converted: Number, "number in the wanted unit", "value / factor of the unit",
            EXACT => .style(Style::single(Form::decimal(unit::ONE, 0.0001)));
    }
    asked converted;
    example "torque=\"100 lbf-ft\" to=\"N·m\"";
    by convert
}

fn convert(given: &Convert, answer: &mut ConvertAnswer) -> Result<()> {
    if let Some(length) = *given.length {
        let marks = match *given.scale {
            Marks::Eighths => 8.0,
            Marks::Sixteenths => 16.0,
            Marks::ThirtySeconds => 32.0,
            Marks::SixtyFourths => 64.0,
        };
        let inches = length.to(unit::IN) * marks;
        let fraction = Length::of(round::to_step(inches, 1.0, Toward::Nearest) / marks, unit::IN);
        let fraction = answer.fraction.decide(fraction);
        answer.rounding.put(length - fraction);
    }
    let found = [
        pass(&given.length, &mut answer.length),
        pass(&given.angle, &mut answer.angle),
        pass(&given.area, &mut answer.area),
        pass(&given.mass, &mut answer.mass),
        pass(&given.force, &mut answer.force),
        pass(&given.torque, &mut answer.torque),
        pass(&given.stress, &mut answer.stress),
        pass(&given.heat_input, &mut answer.heat_input),
        pass(&given.speed, &mut answer.speed),
        pass(&given.temperature, &mut answer.temperature),
        pass(&given.spring_rate, &mut answer.spring_rate),
        pass(&given.deposition_rate, &mut answer.deposition_rate),
        pass(&given.volume, &mut answer.volume),
        pass(&given.density, &mut answer.density),
        pass(&given.energy, &mut answer.energy),
        pass(&given.power, &mut answer.power),
        pass(&given.time, &mut answer.time),
        pass(&given.rotation_speed, &mut answer.rotation_speed),
        pass(&given.gas_flow, &mut answer.gas_flow),
        pass(&given.second_moment, &mut answer.second_moment),
        pass(&given.temperature_difference, &mut answer.temperature_difference),
        pass(&given.line_force, &mut answer.line_force),
        pass(&given.mass_per_length, &mut answer.mass_per_length),
    ];
    if let (Some(quantity), Some(symbol)) = (found.into_iter().flatten().next(), given.to.as_deref()) {
        let unit = unit::find(quantity.kind(), symbol).ok_or_else(|| Trouble::Unknown {
            input: given.to.name().to_owned(),
            given: symbol.to_owned(),
            choices: quantity.kind().units().map(|u| u.symbol.to_owned()).collect(),
        })?;
        answer.converted.put(Number::from_si(unit.from_si(quantity.si())));
    }
    Ok(())
}

/// Gives a quantity back as it came.
fn pass<T: Dimensioned>(given: &Read<Option<T>>, out: &mut Out<T>) -> Option<Quantity> {
    let value = (**given)?;
    out.put(value);
    Some(value.into())
}
