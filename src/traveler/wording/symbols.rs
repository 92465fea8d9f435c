//! The weld symbol of a joint of a job.

use super::Subject;
use crate::file::{Located, Reading};
use crate::job::model::{Joint, WeldSide, WeldSymbols, WeldType};
use crate::procedure::catalogue;
use crate::procedure::figures::Owner;
use crate::quantity::Length;
use crate::term::Units;
use crate::traveler::weld::{At, Kind, Standard, Symbol};

/// The rules of a job's symbols: as it says, else by its units.
pub(super) fn standard(planned: &Subject<'_>) -> Standard {
    match (planned.job.job.weld_symbols, planned.job.job.units) {
        (Some(WeldSymbols::Aws), _) | (None, Units::Inch) => Standard::Aws,
        (Some(WeldSymbols::Iso), _) | (None, Units::Metric) => Standard::Iso,
    }
}

/// With the computed size where there is one; a groove with the depth the job states.
pub(super) fn of(planned: &Subject<'_>, joint: &Joint) -> Symbol {
    let plain = |length: &Option<Located<Reading<Length>>>| length.as_ref().map(|l| l.value.value);
    let figure = planned.figures.quantity(&Owner::Joint(joint.id.0.clone()), catalogue::joint::size);
    let groove = joint.kind.value.is_groove();
    let (size, throat) = match joint.kind.value {
        WeldType::Fillet | WeldType::Plug => (figure.or_else(|| plain(&joint.size)), None),
        WeldType::FlareBevel => (None, figure),
        _ => (plain(&joint.groove_depth).or(figure), figure),
    };
    let procedure = joint.wps.as_ref().map(|w| w.0.clone());
    Symbol {
        standard: standard(planned),
        units: planned.job.job.units,
        kind: match joint.kind.value {
            WeldType::Fillet => Kind::Fillet,
            WeldType::VGroove => Kind::V,
            WeldType::BevelGroove => Kind::Bevel,
            WeldType::SquareGroove => Kind::Square,
            WeldType::FlareBevel => Kind::FlareBevel,
            WeldType::Plug => Kind::Plug,
        },
        at: match joint.side {
            WeldSide::Arrow => At::Arrow,
            WeldSide::Other => At::Other,
            WeldSide::Both => At::Both,
        },
        size,
        throat,
        length: plain(&joint.length),
        pitch: plain(&joint.pitch),
        count: joint.count,
        opening: plain(&joint.root_opening),
        angle: joint.groove_angle.as_ref().map(|a| a.value.value),
        backing: groove && joint.backing.is_some(),
        all_round: joint.around.is_some() || joint.all_round,
        field: joint.field,
        tail: procedure.unwrap_or_default(),
    }
}
