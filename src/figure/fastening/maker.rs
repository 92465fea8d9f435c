//! The torque a manufacturer states, and the mark of the wrench it is set to.

use super::selection::{FINE_TORQUE, to_increment};
use crate::figure::prelude::*;

/// Share by which a mark may leave the manufacturer's torque untold, the
/// deviation ISO 6789-1 permits a torque tool.
const OFF_MAKER: f64 = 0.04;

family! {
    /// Torque a manufacturer states.
    reads Stated {
        optional maker_torque: Torque in ABOVE_ZERO, "the manufacturer's torque; it wins over a computed one",
            "manufacturer_torque", "specified_torque", "given_torque", "torque", "T";
        optional maker_torque_max: Torque in ABOVE_ZERO,
            "upper end, where the manufacturer gives a range; a mark near its middle is set",
            "manufacturer_torque_max", "specified_torque_max", "torque_max";
    }
    rules {
        needs(maker_torque_max, maker_torque);
        ordered(maker_torque, maker_torque_max);
    }
}

/// Torque a manufacturer states.
#[derive(Debug, Clone, Copy)]
pub(super) struct Maker {
    low: Torque,
    /// Upper end, where a range is stated.
    high: Option<Torque>,
}

impl Stated {
    /// What is stated, if anything is.
    pub(super) fn read(&self) -> Result<Option<Maker>> {
        let Some(low) = *self.maker_torque else { return Ok(None) };
        Ok(Some(Maker { low, high: *self.maker_torque_max }))
    }
}

impl Maker {
    /// The torque to be set: the one stated, or the middle of the range.
    pub(super) fn wanted(&self) -> Torque {
        self.high.map_or(self.low, |high| (self.low + high) * 0.5)
    }

    /// The mark of the wrench to set, never outside a range that is stated.
    pub(super) fn mark(
        &self,
        step: Torque,
        overloads: impl Fn(Torque) -> bool,
        said: &mut Said,
    ) -> Result<Torque> {
        let show = |torque: Torque| FINE_TORQUE.both(torque.into());
        let wanted = self.wanted();
        let Some(high) = self.high else {
            let set = mark(wanted, step, overloads, said);
            if (set.si() / wanted.si() - 1.0).abs() > OFF_MAKER {
                said.warn(format!(
                    "The mark set, {}, is more than 4 % off the manufacturer's {}: use a wrench with finer marks.",
                    show(set),
                    show(wanted)
                ));
            }
            return Ok(set);
        };
        let first = to_increment(self.low, step, Toward::Up);
        let last = to_increment(high, step, Toward::Down);
        if first > last || last.si() <= 0.0 {
            return Err(Trouble::impossible(
                format!(
                    "no mark of the wrench lies inside the manufacturer's range, {} to {}",
                    show(self.low),
                    show(high)
                ),
                format!("its marks are {} apart: take a wrench with finer ones", show(step)),
            ));
        }
        let set = nearest(wanted, step, overloads);
        Ok(if set < first {
            first
        } else if set > last {
            last
        } else {
            set
        })
    }
}

/// The nearest mark, or the one below where the nearest overloads the bolt.
fn nearest(wanted: Torque, step: Torque, overloads: impl Fn(Torque) -> bool) -> Torque {
    let nearest = to_increment(wanted, step, Toward::Nearest);
    if overloads(nearest) { to_increment(wanted, step, Toward::Down) } else { nearest }
}

/// A torque set to a mark of the wrench: the nearest one, down where that
/// overloads the bolt.
pub(super) fn mark(
    wanted: Torque,
    step: Torque,
    overloads: impl Fn(Torque) -> bool,
    said: &mut Said,
) -> Torque {
    let set = nearest(wanted, step, overloads);
    if set.si() > 0.0 {
        return set;
    }
    said.warn("The wrench's increment is coarser than this torque: use one with finer marks.");
    wanted
}
