//! Cross-section of a bead from the heat that melts it.

use super::look_up::{AMPS, Efficiency, TRAVEL, VOLTS};
use crate::figure::prelude::*;
use crate::figure::usual::HEAT_INPUT;

const MELTING: Source =
    Source::handbook("Welding Handbook, 8th ed., volume 1", "melting efficiency: area = f1 f2 U I / (Q v)")
        .from_memory();

family! {
    pub BEAD_AREA = "bead-area" in Welding:
        "cross-section of molten metal from the arc energy and the melting efficiency";
    also "bead-cross-section";
    reads BeadArea {
        ..efficiency: Efficiency;
        optional voltage: Voltage in VOLTS, "voltage at the arc", "volts", "u", "V";
        optional current: Current in AMPS, "welding current", "amps", "i", "A";
        optional travel_speed: Speed in TRAVEL, "travel speed while the arc is on", "travel", "speed", "v";
        optional arc_energy: HeatInput in HEAT_INPUT, "arc energy, instead of volts, amps and travel";
        required melting_efficiency: Percent in within(0.0, 100.0, unit::PCT, MELTING),
            "share of the heat that melts metal", "melt_efficiency", "eta_melt", "f2";
        default melting_heat: MeltingHeat = "10 J/mm3" in ABOVE_ZERO,
            "energy to melt a volume from cold; steel about 10 J/mm3", "melt_energy", "specific_energy",
            "energy_to_melt", "q";
    }
    gives BeadAreaAnswer {
        heat_input: HeatInput, "heat input with k", "k U I / v", MELTING;
        area: Area, "molten cross-section", "melting_efficiency x heat_input / melting_heat", MELTING => .range(
            "a rule of thumb: melting efficiency depends on travel speed and joint");
    }
    asked area;
    example "voltage=\"40 V\" current=\"400 A\" travel_speed=\"4 mm/s\" k=0.8 melting_efficiency=\"30 %\" melting_heat=\"20 J/mm3\"";
    by run
}

/// Molten area of a heat input.
fn molten_area(heat_input: HeatInput, melting_efficiency: Percent, melting_heat: MeltingHeat) -> Area {
    Area::from_si(melting_efficiency.si() * heat_input.si() / melting_heat.si())
}

fn run(given: &BeadArea, answer: &mut BeadAreaAnswer) -> Result<()> {
    let energy = match *given.arc_energy {
        Some(energy) => energy,
        None => {
            require(&[&given.voltage, &given.current, &given.travel_speed])?;
            let (volts, amps) = (given.voltage.need()?, given.current.need()?);
            super::heat_input::arc_energy(volts, amps, given.travel_speed.need()?)
        }
    };
    let k = given.efficiency.share(&mut answer.said).ok_or(Trouble::Missing(vec!["process", "k"]))?;
    let heat = energy * k.si();
    answer.heat_input.put(heat);
    answer.area.put(molten_area(heat, *given.melting_efficiency, *given.melting_heat));
    Ok(())
}
