//! Where what the figures want settled is written and signed.

use super::figures::JobFigures;
use super::selected::Selection;
use crate::term::Moment;

impl Selection<'_> {
    /// Puts what the figures want settled to the end of the last operation on the
    /// component before anything of it is loosened, cut or laid on: the unit was seen as
    /// found, and nothing is apart yet while somebody waits for a part. `order` is the
    /// order of the work, as places in the selection. Says whether anything moved.
    pub fn settle(&mut self, figures: &JobFigures, order: &[usize]) -> bool {
        let mut wanted = vec![(Vec::new(), Moment::After); self.operations.len()];
        for concern in &figures.concerns {
            let Some((place, moment)) = self.settled_at(&concern.component, order) else { continue };
            if let Some((texts, when)) = wanted.get_mut(place) {
                texts.push(concern.text.clone());
                *when = moment;
            }
        }
        let mut moved = false;
        for (selected, (texts, when)) in self.operations.iter_mut().zip(wanted) {
            moved |= selected.concerns != texts || selected.settles != when;
            selected.concerns = texts;
            selected.settles = when;
        }
        moved
    }

    /// Where what concerns a component is settled: behind the last operation of its own
    /// that leaves everything as found, or of others with it; else in front of the first.
    fn settled_at(&self, component: &str, order: &[usize]) -> Option<(usize, Moment)> {
        const LASTING: &[&str] = &["loosen", "cut-permanent", "arc", "tack", "grind"];
        let at = |place: usize| self.operations.get(place);
        let on = |place: &usize| at(*place).is_some_and(|s| s.components.iter().any(|c| c.id() == component));
        let lasting =
            |place: usize| at(place).is_some_and(|s| s.what.acts().iter().any(|act| LASTING.contains(act)));
        let all: Vec<usize> = order.iter().filter(|place| on(place)).copied().collect();
        let first = all.iter().position(|place| lasting(*place)).unwrap_or(0);
        let before = all.get(..first).unwrap_or_default();
        let own = |place: &&usize| at(**place).is_some_and(|s| !s.what.shared());
        let alone = |place: &&usize| at(**place).is_some_and(|s| !s.what.each_shift());
        let last = before.iter().rev().find(own).or_else(|| before.iter().rev().find(alone));
        last.map(|place| (*place, Moment::After)).or_else(|| Some((*all.get(first)?, Moment::Before)))
    }
}
