//! Cooling rate at the weld centre line by Adams, and the cooling time of the
//! same line source.

use super::heat_flow::Thermal;
use crate::figure::prelude::*;
use crate::figure::usual::{HEAT_INPUT, PLATE};

const ADAMS: Source = Source::handbook("Welding Handbook, heat flow", "cooling rates, after Adams 1958");
const ROSENTHAL: Source = Source::handbook("Rosenthal 1941", "line source, thick and thin plate");

family! {
    pub COOLING_RATE = "cooling-rate" in Welding:
        "cooling rate of the weld at a temperature (Adams), in thick or thin plate";
    also "adams", "weld-cooling-rate";
    reads CoolingRates {
        ..metal: Thermal;
        required heat_input: HeatInput in HEAT_INPUT, "net heat input, arc energy times efficiency", "energy",
            "net_energy", "net_heat_input", "H", "h_net", "q";
        default temperature: Temperature = "550 degC", "temperature at which the rate is wanted",
            "critical_temperature", "tc", "t_c", "T";
        default preheat: Temperature = "20 degC", "plate temperature before the pass", "t0", "t_0", "to";
        optional thickness: Length in PLATE,
            "plate thickness; without it the plate is taken as thick, which cools fastest", "d", "t", "h";
    }
    gives CoolingRatesAnswer {
        relative_thickness: Number, "relative plate thickness", "d sqrt(rho c (Tc - T0) / H)", ADAMS;
        plate: String, "plate counts as", "thick above 0.9, thin below 0.6, between them divided at 0.75", ADAMS;
        rate_thick: CoolingRate, "cooling rate of thick plate", "2 pi k (Tc - T0)^2 / H", ADAMS;
        rate_thin: CoolingRate, "cooling rate of thin plate", "2 pi k rho c (d/H)^2 (Tc - T0)^3", ADAMS;
        cooling_rate: CoolingRate, "cooling rate", "by the kind of plate", ADAMS => .range(
            "centre line, long after the arc has passed");
        time_3d: Time, "t8/5 of a line source in thick plate", "H / (2 pi k) (1/(500-T0) - 1/(800-T0))",
            ROSENTHAL => .style(SECONDS);
        time_2d: Time, "t8/5 of a line source in thin plate",
            "H^2 / (4 pi k rho c d^2) (1/(500-T0)^2 - 1/(800-T0)^2)", ROSENTHAL => .style(SECONDS);
    }
    asked cooling_rate;
    example "heat_input=\"0.75 kJ/mm\" thickness=\"6 mm\" temperature=\"550 degC\" preheat=\"30 degC\"";
    by run
}

fn run(given: &CoolingRates, answer: &mut CoolingRatesAnswer) -> Result<()> {
    let (preheat, at) = (*given.preheat, *given.temperature);
    (at <= preheat).refuse(
        "the weld can't cool to a temperature that is not above the plate's",
        "check temperature and preheat",
    )?;
    let source = given.metal.source(*given.heat_input, preheat);
    let thickness = *given.thickness;
    let thick = source.rate_thick(at);
    let mut rate = thick;
    if let Some(d) = thickness {
        let relative = source.relative_thickness(at, d);
        let thin = source.rate_thin(at, d);
        let plate = if relative.si() < 0.75 { "thin" } else { "thick" };
        // What the plate counts as is decided once; what is uncertain lies beyond it.
        let decided = answer.plate.decide(plate.to_owned());
        rate = if decided == "thin" { thin } else { thick };
        answer.relative_thickness.put(relative);
        answer.rate_thin.put(thin);
        if (relative.si() - 0.75).abs() < answer.relative_thickness.expanded().si() {
            let (other, rate) = if decided == "thin" { ("thick", thick) } else { ("thin", thin) };
            answer.warn(format!("plate counts as: not proven. As {other} plate it cools at {}.", show(rate)));
        }
        if relative.si() > 0.6 && relative.si() < 0.9 {
            answer.warn("The plate is between thin and thick: expect a rate between the two.");
        }
    }
    if thickness.is_none() {
        answer.plate.put("thick (no thickness given)".to_owned());
    }
    answer.rate_thick.put(thick);
    answer.cooling_rate.put(rate);
    let (hot, cold) = (Temperature::of(800.0, unit::DEGC), Temperature::of(500.0, unit::DEGC));
    if preheat < cold {
        answer.time_3d.put(source.time_thick(cold) - source.time_thick(hot));
        answer.time_2d.put_some(thickness.map(|d| source.time_thin(cold, d) - source.time_thin(hot, d)));
    }
    answer.warn(
        "These use textbook constants of the metal; EN 1011-2 annex D uses fitted ones: do not mix the two, and hold \
         t8/5 limits of a steel against cooling-time.",
    );
    Ok(())
}
