//! Published preheat guides for metal that the code methods do not reach.

use super::look_up::thickest;
use crate::figure::prelude::*;
use crate::figure::usual::PLATE;
use crate::quantity::show::PREHEAT;

/// Thin alloy tube.
pub(super) const TUBE_4130: Source = Source::practice(
    "one filler maker's bulletin on TIG welding 4130 tube, June 2000: none under 0.120 in wall, else the usual 300 to 400 °F",
)
.from_memory();
const HIGH_STRENGTH: Source = Source::practice(
    "one plate maker's welding handbook, 2nd edition, p. 25: preheat by high-strength filler and thickness",
)
.from_memory();

words! {
    /// Guide that is read: for the tube itself, or by the strength of the filler.
    pub Guide { Tube = "4130-tube" | "4130", Filler = "high-strength-filler" | "high-strength", }
}

family! {
    pub PREHEAT_GUIDE = "preheat-guide" in Welding:
        "preheat by a published guide: 4130 tube, or plate welded with high-strength filler";
    reads PreheatGuide {
        required guide: Guide, "which guide", "steel", "material", "metal", "kind";
        required thickness: Length in PLATE, "tube wall, or plate thickness", "wall", "d", "t";
    }
    gives PreheatGuideAnswer {
        needed: bool, "preheat advised", "by thickness", TUBE_4130
            => .claims(&["no"]);
        preheat: Temperature, "least preheat", "by thickness", TUBE_4130 => .style(PREHEAT);
        preheat_high: Temperature, "upper end of the range", "by thickness", TUBE_4130 => .style(PREHEAT).down();
        interpass_max: Temperature, "highest interpass temperature", "about 210 degC", HIGH_STRENGTH =>
            .style(PREHEAT).down();
        filler: String, "filler", "by the guide", TUBE_4130;
    }
    asked preheat;
    example "guide=4130-tube wall=\"0.188 in\"";
    by run
}

/// Preheat range of 4130 tube by wall; none below 0.120 in.
pub(super) fn tube_4130(wall: Length) -> Option<(Temperature, Temperature)> {
    let heavy = wall.to(unit::IN) >= 0.120 - 1e-9;
    heavy.then(|| (Temperature::of(300.0, unit::DEGF), Temperature::of(400.0, unit::DEGF)))
}

/// Least preheat of plate welded with high-strength filler.
fn high_strength(thickness: Length) -> Temperature {
    let d = thickness.to(unit::MM);
    let rows = [(10.0, 125.0), (20.0, 140.0), (40.0, 175.0)];
    let celsius = rows.iter().find(|(top, _)| d <= top + 1e-9).map_or(190.0, |(_, t)| *t);
    Temperature::of(celsius, unit::DEGC)
}

fn run(given: &PreheatGuide, answer: &mut PreheatGuideAnswer) -> Result<()> {
    let thickness = thickest(&given.thickness, *given.thickness);
    match *given.guide {
        Guide::Tube => {
            let range = tube_4130(thickness);
            answer.needed.put(range.is_some());
            if let Some((low, high)) = range {
                answer.preheat.decide(low);
                answer.preheat_high.decide(high);
            }
            if range.is_none() {
                answer.warn(
                    "No preheat is usually advised on a thin wall: warm the tube if it is cold or damp.",
                );
            }
            answer.filler.put("ER80S-D2 or ER70S-2".to_owned());
        }
        Guide::Filler => {
            answer.needed.put(true);
            answer.needed.source(HIGH_STRENGTH);
            answer.preheat.decide(high_strength(thickness));
            answer.preheat.source(HIGH_STRENGTH);
            answer.interpass_max.put(Temperature::of(210.0, unit::DEGC));
        }
    }
    answer.warn(
        "One maker's values. This is a guide, not a procedure: the maker's data and a qualified \
         procedure come first.",
    );
    Ok(())
}
