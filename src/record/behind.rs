//! Work behind a hold that fell: something that was signed over is to be put right, and
//! nothing shows that it was. The work waits for that, or for the hold to be signed anew by
//! whoever signs it, who then knows of it.

use std::collections::BTreeMap;

use super::frozen::{Frozen, GATED_SINCE, Operation, Point, PointKind};
use super::held::Undecided;
use super::open::Open;
use super::rules::{Scene, refuse};
use super::state::{Mark, Signed};
use crate::diagnostic::Diagnostic;

/// The holds of a plan that say something of an operation, in the order of the work.
pub(super) fn over<'a>(plan: &'a Frozen, key: &str) -> impl Iterator<Item = (&'a Operation, &'a Point)> {
    let all = plan.operations.iter().flat_map(|o| o.points().map(move |p| (o, p)));
    all.filter(move |(o, p)| p.kind == PointKind::Hold && plan.under(o, p).contains(key))
}

impl<'a> Scene<'a> {
    /// The entry of the signature a point stands on: of each role the last, of these the
    /// first; none where nobody signed.
    pub(super) fn stands_on(&self, operation: &Operation, point: &Point) -> Option<&'a Mark> {
        let mut last: BTreeMap<&str, &Mark> = BTreeMap::new();
        for signed in self.state.standing(operation, point).into_iter().filter(|s| !s.waived) {
            let of_role = last.entry(&signed.mark.by.role).or_insert(&signed.mark);
            if signed.mark.n > of_role.n {
                *of_role = &signed.mark;
            }
        }
        last.into_values().min_by_key(|mark| mark.n)
    }

    /// The entry since which a hold that was signed no longer holds, because of what is to be
    /// put right: it may be signed anew.
    #[must_use]
    pub fn fell_since(&self, operation: &Operation, point: &Point) -> Option<u64> {
        if self.plan.rules < GATED_SINCE || point.kind != PointKind::Hold {
            return None;
        }
        let stands = self.stands_on(operation, point)?.n;
        let mut not_right = self.not_put_right().filter(|one| one.n.is_some_and(|n| n > stands)).peekable();
        not_right.peek()?;
        let under = self.plan.under(operation, point);
        not_right.filter(|one| under.contains(one.key.as_str())).filter_map(|one| one.n).max()
    }

    /// The roles that still have to sign a point, and the signatures that count for it: those
    /// from before it fell don't.
    pub(super) fn to_sign<'p>(
        &self,
        operation: &Operation,
        point: &'p Point,
    ) -> (Vec<&'p str>, Vec<&'a Signed>) {
        let standing = self.state.standing(operation, point);
        let Some(since) = self.fell_since(operation, point) else {
            return (self.state.unsigned(operation, point), standing);
        };
        let signed: Vec<&Signed> = standing.into_iter().filter(|s| s.mark.n > since).collect();
        let mut left: Vec<&str> = point.roles.iter().map(String::as_str).collect();
        for one in &signed {
            if let Some(at) = left.iter().position(|r| *r == one.mark.by.role) {
                left.remove(at);
            }
        }
        (left, signed)
    }

    /// Whether no hold that the work at an operation stands behind fell. What was signed over
    /// is put right by work where it was found, or that a revision brought in for it: that
    /// never waits.
    ///
    /// # Errors
    /// With the hold, what is to be put right, and both ways out.
    pub(super) fn behind(&self, operation: &Operation, open: &Open) -> Result<(), Diagnostic> {
        let decided = self.state.founds.iter().any(|f| f.disposition.is_some());
        if self.plan.rules < GATED_SINCE || !decided || operation.makes_safe() {
            return Ok(());
        }
        let place = self.plan.place(&operation.key).unwrap_or(usize::MAX);
        let before = |one: &Undecided| {
            let last = |(o, p): &(&'a Operation, &'a Point)| {
                let at = self.plan.place(&o.key).unwrap_or(usize::MAX);
                let stands = || self.stands_on(o, p).map(|mark| mark.n);
                (at < place || at == place && p.slot.starts_with("before")) && stands().is_some()
            };
            open.over(self.plan, &one.key).into_iter().filter(last).last()
        };
        for one in self.not_put_right() {
            let Some(found) = self.state.founds.iter().find(|f| f.key == one.key && one.names(&f.number))
            else {
                continue;
            };
            let mends = found.key == operation.key
                || self.state.work_for(self.plan, found).iter().any(|o| o.key == operation.key);
            let late = self.at.zip(found.mark.time()).is_some_and(|(now, then)| now < then);
            if mends || late {
                continue;
            }
            // The nearest hold counts: whoever signed it after the decision let the work go on.
            let Some((other, point)) = before(&one) else { continue };
            let stands = self.stands_on(other, point).map(|mark| mark.n);
            // What comes before the hold is the work it was found in.
            if one.n.is_none_or(|n| stands.is_none_or(|stands| stands > n)) {
                continue;
            }
            // Worked out last: it is seldom asked.
            let rests = other.key == operation.key
                || self.plan.all_before(operation).iter().any(|o| o.key == other.key);
            if !rests {
                continue;
            }
            return Err(refuse(
                "L320",
                "behind a hold that fell no work goes on",
                format!(
                    "{} was signed over it and no longer holds, so work at {} must wait: {}",
                    point.number, operation.number, one.words
                ),
                one.way_out,
            )
            .help(format!("or let the work go on meanwhile, knowing of it: {}", self.signs(other, point))));
        }
        Ok(())
    }
}
