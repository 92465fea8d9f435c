//! Published preheat guides for metal that the code methods do not reach.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::PREHEAT;
use crate::quantity::{Dimensioned, Kind, Length, Temperature, unit};
use crate::source::Source;

/// Thin alloy tube.
pub(super) const TUBE_4130: Source = Source::practice(
    "one maker's values, not traceable here: 4130 tube, none under 0.120 in wall, 300 to 400 °F from there up",
)
.from_memory();
const HIGH_STRENGTH: Source =
    Source::practice("one maker's values, not traceable here: preheat by high-strength filler and thickness")
        .from_memory();

/// Preheat by a published guide.
pub static PREHEAT_GUIDE: Family = Family {
    name: "preheat-guide",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "preheat by a published guide: 4130 tube, or plate welded with high-strength filler",
    inputs: &[
        Input::choice("guide", &["4130-tube", "high-strength-filler"], Need::Required, "which guide")
            .also(&["steel", "material", "metal", "kind"]),
        Input::required("thickness", Kind::Length, "tube wall, or plate thickness").also(&["wall", "d", "t"]),
    ],
    outputs: &[
        Output::flag("needed", "preheat advised", "by thickness", TUBE_4130),
        Output::new("preheat", "least preheat", Kind::Temperature, "by thickness", TUBE_4130).style(PREHEAT),
        Output::new("preheat_high", "upper end of the range", Kind::Temperature, "by thickness", TUBE_4130)
            .style(PREHEAT)
            .down(),
        Output::new(
            "interpass_max",
            "highest interpass temperature",
            Kind::Temperature,
            "about 210 degC",
            HIGH_STRENGTH,
        )
        .style(PREHEAT)
        .down(),
        Output::word("filler", "filler", "by the guide", TUBE_4130),
    ],
    example: "guide=4130-tube wall=\"0.188 in\"",
    run,
};

/// Preheat range of 4130 tube by wall; none below 0.120 in.
#[must_use]
pub fn tube_4130(wall: Length) -> Option<(Temperature, Temperature)> {
    let heavy = wall.to(unit::IN) >= 0.120 - 1e-9;
    heavy.then(|| (Temperature::of(300.0, unit::DEGF), Temperature::of(400.0, unit::DEGF)))
}

/// Least preheat of plate welded with high-strength filler.
#[must_use]
pub fn high_strength(thickness: Length) -> Temperature {
    let d = thickness.to(unit::MM);
    let rows = [(10.0, 125.0), (20.0, 140.0), (40.0, 175.0)];
    let celsius = rows.iter().find(|(top, _)| d <= top + 1e-9).map_or(190.0, |(_, t)| *t);
    Temperature::of(celsius, unit::DEGC)
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thickness: Length = given::positive("thickness", given.need("thickness")?)?;
    if given.word("guide")? == "4130-tube" {
        let range = tube_4130(thickness);
        answer.put_flag("needed", range.is_some());
        if let Some((low, high)) = range {
            answer.put("preheat", low);
            answer.put("preheat_high", high);
        } else {
            answer.warn("No preheat is usually advised on a thin wall: warm the tube if it is cold or damp.");
        }
        answer.put_word("filler", "ER80S-D2 or ER70S-2");
    } else {
        answer.put_flag("needed", true);
        answer.source("needed", HIGH_STRENGTH);
        answer.put("preheat", high_strength(thickness));
        answer.source("preheat", HIGH_STRENGTH);
        answer.put("interpass_max", Temperature::of(210.0, unit::DEGC));
    }
    answer.warn("One maker's values, not traceable here. This is a guide, not a procedure: the maker's data and a qualified procedure come first.");
    Ok(())
}
