//! Cooling rate at the weld centre line by Adams, and the cooling time of the
//! same line source.

use super::heat_flow::{CONDUCTIVITY, HEAT_CAPACITY, LineSource};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::show::{Form, Style};
use crate::quantity::{Dimensioned, HeatInput, Kind, Length, Temperature, Time, unit};
use crate::source::Source;

const ADAMS: Source = Source::handbook("Welding Handbook, heat flow", "cooling rates, after Adams 1958");
const ROSENTHAL: Source = Source::handbook("Rosenthal 1941", "line source, thick and thin plate");

const SECONDS: Style = Style::single(Form::decimal(unit::SECOND, 0.1));

/// Cooling rate.
pub static COOLING_RATE: Family = Family {
    name: "cooling-rate",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "cooling rate of the weld at a temperature (Adams), in thick or thin plate",
    inputs: &[
        Input::required("heat_input", Kind::HeatInput, "net heat input, arc energy times efficiency")
            .also(&["energy", "net_energy", "h", "q", "h_net", "hnet", "net_heat_input"]),
        Input::defaulted(
            "temperature",
            Kind::Temperature,
            "550 degC",
            "temperature at which the rate is wanted",
        )
        .also(&["critical_temperature", "tc", "t_c", "at"]),
        Input::defaulted("preheat", Kind::Temperature, "20 degC", "plate temperature before the pass")
            .also(&["t0", "t_0"]),
        Input::optional(
            "thickness",
            Kind::Length,
            "plate thickness; without it the plate is taken as thick, which cools fastest",
        )
        .also(&["d", "t"]),
        CONDUCTIVITY,
        HEAT_CAPACITY,
    ],
    outputs: &[
        Output::new(
            "relative_thickness",
            "relative plate thickness",
            Kind::Number,
            "d sqrt(rho c (Tc - T0) / H)",
            ADAMS,
        ),
        Output::word(
            "plate",
            "plate counts as",
            "thick above 0.9, thin below 0.6, between them divided at 0.75",
            ADAMS,
        ),
        Output::new(
            "rate_thick",
            "cooling rate of thick plate",
            Kind::CoolingRate,
            "2 pi k (Tc - T0)^2 / H",
            ADAMS,
        ),
        Output::new(
            "rate_thin",
            "cooling rate of thin plate",
            Kind::CoolingRate,
            "2 pi k rho c (d/H)^2 (Tc - T0)^3",
            ADAMS,
        ),
        Output::new("cooling_rate", "cooling rate", Kind::CoolingRate, "by the kind of plate", ADAMS)
            .range("centre line, long after the arc has passed"),
        Output::new(
            "time_3d",
            "t8/5 of a line source in thick plate",
            Kind::Time,
            "H / (2 pi k) (1/(500-T0) - 1/(800-T0))",
            ROSENTHAL,
        )
        .style(SECONDS),
        Output::new(
            "time_2d",
            "t8/5 of a line source in thin plate",
            Kind::Time,
            "H^2 / (4 pi k rho c d^2) (1/(500-T0)^2 - 1/(800-T0)^2)",
            ROSENTHAL,
        )
        .style(SECONDS),
    ],
    example: "heat_input=\"0.75 kJ/mm\" thickness=\"6 mm\" temperature=\"550 degC\" preheat=\"30 degC\"",
    run,
};

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let heat_input: HeatInput = given::positive("heat_input", given.need("heat_input")?)?;
    let preheat: Temperature = given.or("preheat", Temperature::of(20.0, unit::DEGC))?;
    let at: Temperature = given.or("temperature", Temperature::of(550.0, unit::DEGC))?;
    if at <= preheat {
        return Err(Trouble::impossible(
            "the weld can't cool to a temperature that is not above the plate's",
            "check temperature and preheat",
        ));
    }
    let source = LineSource::of(given, heat_input, preheat)?;
    let thickness: Option<Length> =
        given.maybe("thickness")?.map(|d| given::positive("thickness", d)).transpose()?;
    let thick = source.rate_thick(at);
    match thickness {
        Some(d) => {
            let relative = source.relative_thickness(at, d);
            let thin = relative.si() < 0.75;
            answer.put("relative_thickness", relative);
            answer.put_word("plate", if thin { "thin" } else { "thick" });
            if relative.si() > 0.6 && relative.si() < 0.9 {
                answer.warn("The plate is between thin and thick: expect a rate between the two.");
            }
            answer.put("rate_thick", thick);
            answer.put("rate_thin", source.rate_thin(at, d));
            answer.put("cooling_rate", if thin { source.rate_thin(at, d) } else { thick });
        }
        None => {
            answer.put_word("plate", "thick (no thickness given)");
            answer.put("rate_thick", thick);
            answer.put("cooling_rate", thick);
        }
    }
    let (hot, cold) = (Temperature::of(800.0, unit::DEGC), Temperature::of(500.0, unit::DEGC));
    if preheat < cold {
        let between = |time: &dyn Fn(Temperature) -> Time| time(cold) - time(hot);
        answer.put("time_3d", between(&|t| source.time_thick(t)));
        if let Some(d) = thickness {
            answer.put("time_2d", between(&|t| source.time_thin(t, d)));
        }
    }
    answer.warn(
        "These use textbook constants of the metal; EN 1011-2 annex D uses fitted ones: do not mix the two, and hold \
         t8/5 limits of a steel against cooling-time.",
    );
    Ok(())
}
