//! Where a customer reads a value: the row of the record, with the part and the side it is of.

use super::resolver::Resolver;
use super::step::Time;
use crate::job::model::Component;
use crate::plan::model::Repeat;
use crate::procedure::file::ShowsRow;
use crate::term::customer::Row;

impl Resolver<'_> {
    /// The row of one repetition.
    pub(super) fn shows(&mut self, shows: &ShowsRow, time: &Time<'_>) -> Row {
        let side = match time.of {
            Repeat::Side(_, side) => Some(side),
            _ => shows.side,
        };
        let named = time.component.filter(|component| self.several(*component));
        Row {
            row: self.plain(&shows.row, &time.context),
            section: shows.section,
            component: time.component.map(|component| component.id().to_owned()),
            name: named.map(|component| component.name().to_owned()),
            side,
            came: shows.came,
            on_stands: shows.on_stands,
            before: shows.before.as_ref().map(|name| name.value.to_string()),
            planned: shows.planned.as_ref().map(|name| name.value.to_string()),
            height: shows.height,
        }
    }

    /// Whether the work is on several components of the kind of this one.
    fn several(&self, component: Component<'_>) -> bool {
        let all = self.basis.selection.operations.iter().flat_map(|selected| &selected.components);
        let mut like = all.filter(|other| other.kind() == component.kind());
        like.any(|other| other.id() != component.id())
    }
}
