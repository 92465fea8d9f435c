//! Cross-section of a bead from the heat that melts it.

use super::look_up;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Area, Dimensioned, HeatInput, Kind, MeltingHeat, Percent, unit};
use crate::source::Source;

const MELTING: Source =
    Source::handbook("Welding Handbook, 8th ed., volume 1", "melting efficiency: area = f1 f2 U I / (Q v)")
        .from_memory();

/// Bead cross-section.
pub static BEAD_AREA: Family = Family {
    name: "bead-area",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "cross-section of molten metal from the arc energy and the melting efficiency",
    inputs: &[
        Input::optional("voltage", Kind::Voltage, "voltage at the arc").also(&[
            "volts",
            "u",
            "V",
            "arc_volts",
            "arc_voltage",
        ]),
        Input::optional("current", Kind::Current, "welding current").also(&[
            "amps",
            "i",
            "A",
            "amperage",
            "welding_current",
        ]),
        Input::optional("travel_speed", Kind::Speed, "travel speed while the arc is on").also(&[
            "travel",
            "speed",
            "v",
            "weld_speed",
            "welding_speed",
            "travel_rate",
        ]),
        Input::optional("arc_energy", Kind::HeatInput, "arc energy, instead of volts, amps and travel"),
        Input::name("process", Need::Optional, "process; gives k"),
        Input::optional("k", Kind::Number, "heat transfer efficiency, instead of a process").also(&[
            "heat_efficiency",
            "eta_heat",
            "heat_transfer",
            "arc_efficiency",
            "eta",
            "efficiency",
            "thermal_efficiency",
            "heat_transfer_efficiency",
            "f1",
        ]),
        Input::required("melting_efficiency", Kind::Percent, "share of the heat that melts metal").also(&[
            "melt_efficiency",
            "eta_melt",
            "f2",
        ]),
        Input::defaulted(
            "melting_heat",
            Kind::MeltingHeat,
            "10 J/mm3",
            "energy to melt a volume from cold; steel about 10 J/mm3",
        )
        .also(&[
            "melt_energy",
            "specific_energy",
            "energy_to_melt",
            "melting_energy",
            "heat_to_melt",
            "q",
        ]),
    ],
    outputs: &[
        Output::new("heat_input", "heat input with k", Kind::HeatInput, "k U I / v", MELTING),
        Output::new(
            "area",
            "molten cross-section",
            Kind::Area,
            "melting_efficiency x heat_input / melting_heat",
            MELTING,
        )
        .range("a rule of thumb: melting efficiency depends on travel speed and joint"),
    ],
    example: "voltage=\"40 V\" current=\"400 A\" travel_speed=\"4 mm/s\" k=0.8 melting_efficiency=\"30 %\" melting_heat=\"20 J/mm3\"",
    run,
};

/// Molten area of a heat input.
#[must_use]
pub fn molten_area(heat_input: HeatInput, melting_efficiency: Percent, melting_heat: MeltingHeat) -> Area {
    Area::from_si(melting_efficiency.si() * heat_input.si() / melting_heat.si())
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let arc_energy = match given.maybe::<HeatInput>("arc_energy")? {
        Some(energy) => energy,
        None => {
            given.require(&["voltage", "current", "travel_speed"])?;
            super::heat_input::arc_energy(
                look_up::volts(given)?.ok_or(Trouble::Missing(vec!["voltage"]))?,
                look_up::amps(given)?.ok_or(Trouble::Missing(vec!["current"]))?,
                look_up::travel("travel_speed", given.need("travel_speed")?)?,
            )
        }
    };
    given::positive("arc_energy", arc_energy)?;
    let k = look_up::thermal_efficiency(given, answer)?.ok_or(Trouble::Missing(vec!["process", "k"]))?;
    let melting: Percent = given.need("melting_efficiency")?;
    given::within("melting_efficiency", melting, unit::PCT, 0.0..=100.0, MELTING)?;
    let per_volume: MeltingHeat =
        given::positive("melting_heat", given.or("melting_heat", MeltingHeat::of(10.0, unit::J_PER_MM3))?)?;
    let heat = look_up::heat_input(arc_energy, k);
    answer.put("heat_input", heat);
    answer.put("area", molten_area(heat, melting, per_volume));
    Ok(())
}
