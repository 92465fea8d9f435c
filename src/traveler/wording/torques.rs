//! The torque sheet: what is set is read in the traveler.

use super::super::document::TorqueRow;
use super::Subject;
use crate::job::model::{Fastener, Pattern};
use crate::plan::Words;
use crate::procedure::catalogue::fastener as named;
use crate::procedure::figures::Owner;

/// Thread of a group of which the maker's torque alone is known.
pub(super) const AS_FITTED: &str = "as fitted";

/// One line for an operation's head.
pub(super) fn line(planned: &Subject<'_>, id: &str) -> Option<Words> {
    let fastener = planned.job.fastener.iter().find(|f| f.id.0 == id)?;
    let owner = Owner::Fastener(fastener.id.0.clone());
    // A bare torque of the maker's asks for no thread.
    let thread = match &fastener.thread {
        Some(thread) => format!(" · {}", thread.0),
        None if fastener.torque.is_some() => String::new(),
        None => " · thread ______".to_owned(),
    };
    let torque = planned.text(&owner, named::torque.name()).unwrap_or_else(|| "torque __________".to_owned());
    let words = Words::default().strong(fastener.id.value.to_string());
    Some(words.then(format!("  {}{thread} · ", &*fastener.title)).strong(torque))
}

/// Every group of fasteners of the job.
pub(super) fn rows(planned: &Subject<'_>) -> Vec<TorqueRow> {
    planned.job.fastener.iter().map(|f| row(planned, f)).collect()
}

fn row(planned: &Subject<'_>, fastener: &Fastener) -> TorqueRow {
    let owner = Owner::Fastener(fastener.id.0.clone());
    let get = |name: &str| planned.text(&owner, name);
    let mut thread: Vec<String> = Vec::new();
    thread.extend(fastener.thread.iter().map(|t| t.0.clone()));
    thread.extend(fastener.grade.iter().map(|t| t.0.clone()));
    thread.extend(fastener.nut.iter().map(|t| format!("nut {}", t.0)));
    // A bare torque of the maker's asks for no thread.
    let bare = fastener.torque.is_some() && thread.is_empty();
    if bare {
        thread.push(AS_FITTED.to_owned());
    }
    let own = planned.own(
        [
            ("proof stress", fastener.proof.as_ref().map(|v| v.value.value.into())),
            ("nut factor", fastener.nut_factor.as_ref().map(|v| v.value.value.into())),
        ],
        fastener.values_from.as_ref(),
    );
    let source =
        get(named::source.name()).unwrap_or_else(|| "not known: manufacturer's data needed".to_owned());
    let source = own.map_or_else(|| source.clone(), |own| format!("{source}. {own}"));
    TorqueRow {
        id: fastener.id.value.to_string(),
        title: match fastener.count {
            None | Some(1) => fastener.title.0.clone(),
            Some(n) => format!("{}, {n} off", &*fastener.title),
        },
        thread: thread.join(", "),
        condition: get(named::condition.name()).unwrap_or_else(|| {
            let said = if bare { "as the maker says" } else { "condition of the thread: write in" };
            said.to_owned()
        }),
        // Nothing is drawn down in turn where nothing clamps a common face.
        stages: match fastener.pattern {
            Pattern::Single => Vec::new(),
            _ => [named::stage_1, named::stage_2].iter().filter_map(|s| get(s.name())).collect(),
        },
        torque: get(named::torque.name()),
        range: match (get(named::torque_low.name()), get(named::torque_high.name())) {
            (Some(low), Some(high)) => Some(format!("{low} to {high}")),
            _ => None,
        },
        pattern: get(named::pattern.name()),
        source,
        again: get(named::retorque.name()),
        wrench: fastener.wrench.as_ref().map(|w| w.0.clone()),
    }
}
