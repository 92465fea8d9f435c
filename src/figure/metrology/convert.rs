//! Units at the bench: a quantity in both systems or in a wanted unit, and the
//! nearest fraction of an inch.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble};
use crate::quantity::{
    Angle, Area, Dimensioned, Force, Form, HeatInput, Kind, Length, Mass, MassRate, Number, Quantity, Speed,
    SpringRate, Stress, Style, Temperature, Torque, Toward, round, unit,
};
use crate::source::Source;

const EXACT: Source = Source::standard("NIST SP 811", "appendix B, exact factors");
const FRACTION: Source = Source::practice("nearest mark of the scale, ties away from zero");

const fn input(name: &'static str, kind: Kind, aliases: &'static [&'static str]) -> Input {
    Input::optional(name, kind, "to convert").also(aliases)
}

const fn output(id: &'static str, title: &'static str, kind: Kind) -> Output {
    Output::new(id, title, kind, "value x factor of its unit", EXACT)
}

/// Conversion of units.
pub static CONVERT: Family = Family {
    name: "convert",
    declared: Declared::OLD,
    group: Group::Metrology,
    title: "a quantity in both systems or in a wanted unit, and a length as the nearest fraction of an inch",
    inputs: &[
        input("length", Kind::Length, &["value", "l", "distance", "size", "thickness", "diameter"]),
        input("angle", Kind::Angle, &["angle_value"]),
        input("area", Kind::Area, &["area_value"]),
        input("mass", Kind::Mass, &["mass_value", "weight"]),
        input("force", Kind::Force, &["force_value", "load", "f"]),
        input("torque", Kind::Torque, &["torque_value", "moment", "t"]),
        input("stress", Kind::Stress, &["stress_value", "pressure", "modulus"]),
        input("heat_input", Kind::HeatInput, &["heat_input_value", "q"]),
        input("speed", Kind::Speed, &["speed_value", "travel_speed", "wire_feed", "travel"]),
        input("temperature", Kind::Temperature, &["temperature_value", "temp"]),
        input("spring_rate", Kind::SpringRate, &["spring_rate_value", "rate", "stiffness"]),
        input("deposition_rate", Kind::MassRate, &["deposition_rate_value", "mass_rate"]),
        Input::name("to", Need::Optional, "wanted unit, such as N·m").also(&["unit", "into", "in"]),
        Input::choice(
            "scale",
            &["8", "16", "32", "64"],
            Need::Default("16"),
            "marks of the inch scale, per inch",
        )
        .also(&["denominator", "fraction", "marks"]),
    ],
    outputs: &[
        output("length", "length", Kind::Length)
            .style(Style::pair(Form::decimal(unit::IN, 0.0001), Form::decimal(unit::MM, 0.001))),
        Output::new("fraction", "nearest mark of the scale", Kind::Length, "inches to 1/scale", FRACTION)
            .style(Style::single(Form::Fraction { denominator: 64 })),
        Output::new("rounding", "length less nearest mark", Kind::Length, "length - fraction", FRACTION)
            .style(Style::pair(Form::decimal(unit::IN, 0.0001), Form::decimal(unit::MM, 0.001))),
        output("angle", "angle", Kind::Angle).style(Style::single(Form::decimal(unit::DEG, 0.0001))),
        output("area", "area", Kind::Area),
        output("mass", "mass", Kind::Mass),
        output("force", "force", Kind::Force),
        output("torque", "torque", Kind::Torque)
            .style(Style::pair(Form::decimal(unit::LBF_FT, 0.01), Form::decimal(unit::N_M, 0.01))),
        output("stress", "stress", Kind::Stress),
        output("heat_input", "heat input", Kind::HeatInput),
        output("speed", "speed", Kind::Speed),
        output("temperature", "temperature", Kind::Temperature),
        output("spring_rate", "spring rate", Kind::SpringRate),
        output("deposition_rate", "deposition rate", Kind::MassRate),
        Output::new(
            "converted",
            "number in the wanted unit",
            Kind::Number,
            "value / factor of the unit",
            EXACT,
        )
        .style(Style::single(Form::decimal(unit::ONE, 0.0001))),
    ],
    example: "torque=\"100 lbf-ft\" to=\"N·m\"",
    run,
};

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let mut found: Option<Quantity> = None;
    put::<Length>("length", given, answer, &mut found)?;
    if let Some(length) = given.maybe::<Length>("length")? {
        let marks: f64 = match given.maybe_word("scale")? {
            Some("8") => 8.0,
            Some("32") => 32.0,
            Some("64") => 64.0,
            _ => 16.0,
        };
        let inches = length.to(unit::IN) * marks;
        let fraction = Length::of(round::to_step(inches, 1.0, Toward::Nearest) / marks, unit::IN);
        answer.put("fraction", fraction);
        answer.put("rounding", length - fraction);
    }
    put::<Angle>("angle", given, answer, &mut found)?;
    put::<Area>("area", given, answer, &mut found)?;
    put::<Mass>("mass", given, answer, &mut found)?;
    put::<Force>("force", given, answer, &mut found)?;
    put::<Torque>("torque", given, answer, &mut found)?;
    put::<Stress>("stress", given, answer, &mut found)?;
    put::<HeatInput>("heat_input", given, answer, &mut found)?;
    put::<Speed>("speed", given, answer, &mut found)?;
    put::<Temperature>("temperature", given, answer, &mut found)?;
    put::<SpringRate>("spring_rate", given, answer, &mut found)?;
    put::<MassRate>("deposition_rate", given, answer, &mut found)?;
    let Some(quantity) = found else {
        return Err(Trouble::Missing(vec!["length", "torque", "force", "stress"]));
    };
    if let Some(symbol) = given.maybe_word("to")? {
        let unit = unit::find(quantity.kind(), symbol).ok_or_else(|| Trouble::Unknown {
            input: "to".to_owned(),
            given: symbol.to_owned(),
            choices: quantity.kind().units().map(|u| u.symbol.to_owned()).collect(),
        })?;
        answer.put("converted", Number::from_si(unit.from_si(quantity.si())));
    }
    Ok(())
}

/// Gives one quantity; only one may be asked for at a time.
fn put<T: Dimensioned>(
    id: &'static str,
    given: &Given,
    answer: &mut Answer,
    found: &mut Option<Quantity>,
) -> Result<(), Trouble> {
    let Some(value) = given.maybe::<T>(id)? else { return Ok(()) };
    if found.is_some() {
        return Err(Trouble::impossible("several quantities are given", "convert one at a time"));
    }
    answer.put(id, value);
    *found = Some(value.into());
    Ok(())
}
