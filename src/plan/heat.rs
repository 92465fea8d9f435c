//! Heat input of the joints whose procedure or cooling limits it: worked out from what
//! is read at the joint. Nobody times an arc.
//!
//! Of a fed wire the runs are counted and the feed is read off the machine. How long
//! the arc burns in the joint follows from the metal that fills it: its arc time at the
//! planned feed, in the share of the two feeds; the runs share it. Of a process without
//! a feed the travel over a measured run is read.

use super::aim::{Aim, Named};
use super::basis::Basis;
use super::model::{Derived, Reading, Repeat, Step};
use super::{Words, quantity};
use crate::job::model::Joint;
use crate::procedure::catalogue::{Called, joint as at};
use crate::procedure::figures::Owner;
use crate::quantity::{Dimensioned, HeatInput, Kind, Quantity, Style};
use crate::term::{Level, Take};

/// Whether somebody limits the heat input of a joint, and who: its welding procedure,
/// or cooling times it states.
pub(super) fn limited_by(basis: &Basis<'_>, joint: &Joint) -> Option<String> {
    let procedure = joint.wps.as_ref().and_then(|named| basis.book.wps(&named.value));
    if let Some(procedure) = procedure.filter(|p| p.heat_input.is_some()) {
        return Some(procedure.label());
    }
    (joint.cooling_least.is_some() && joint.cooling_most.is_some())
        .then(|| "the cooling times of the joint".to_owned())
}

/// The step that reads what the heat input of a joint follows from; none where nobody
/// limits it, or where what it follows from is not planned.
pub(super) fn step(basis: &Basis<'_>, joint: &Joint, number: u32) -> Option<Step> {
    let by = limited_by(basis, joint)?;
    let planned = Planned { basis, joint, owner: Owner::Joint(joint.id.0.clone()) };
    // What of the arc's power arrives, as the plan takes it.
    let share = planned.si(at::heat_input)? * planned.si(at::travel)?
        / (planned.si(at::volts)? * planned.si(at::amps)?);
    let (text, readings, factor) = match (planned.si(at::wire_feed), planned.si(at::arc_time), length(joint))
    {
        (Some(feed), Some(burns), Some(length)) => (
            "Runs counted and wire feed read: the heat input follows, within ",
            planned.of_a_fed_wire(),
            share * burns * feed / length,
        ),
        _ => (
            "Travel over a measured run, proved at the joint's settings: the heat input follows, within ",
            vec![planned.travel()],
            share,
        ),
    };
    let figures = basis.figures;
    let (least, most) = (
        figures.quantity(&planned.owner, at::heat_input_low),
        figures.quantity(&planned.owner, at::heat_input_high),
    );
    let said = |limit: Option<HeatInput>| {
        limit.map_or_else(|| "no limit".to_owned(), |l| quantity(basis.job.job.units, l.into()))
    };
    let id = &joint.id.value;
    let mut of: Vec<(String, String)> =
        ["volts", "amps"].iter().map(|what| (String::new(), format!("{what}.{id}"))).collect();
    of.extend(readings.iter().map(|r| (String::new(), r.id.clone())));
    Some(Step {
        number,
        by: None,
        by_signature: false,
        level: Level::Control,
        cautions: Vec::new(),
        text: Words::default().strong(format!("{id}: ")).then(format!(
            "{text}{} and {} ({by}).",
            said(least),
            said(most)
        )),
        readings,
        derived: vec![Derived {
            id: format!("heat-input.{id}"),
            label: format!("heat input, {id}"),
            of,
            take: Take::ArcEnergy,
            factor: Some(Quantity::from_si(Kind::Number, factor)),
            least: least.map(Into::into),
            most: most.map(Into::into),
            shows: None,
            as_planned: false,
        }],
        table: None,
    })
}

/// What is planned of one joint, and what is read of it.
struct Planned<'a> {
    basis: &'a Basis<'a>,
    joint: &'a Joint,
    owner: Owner,
}

impl Planned<'_> {
    fn si<D: Dimensioned>(&self, name: Called<D>) -> Option<f64> {
        self.basis.figures.quantity(&self.owner, name).map(Dimensioned::si)
    }

    fn range(&self, name: &str, kind: Kind) -> Option<Named> {
        let figure = self.basis.figures.named(&self.owner, name)?;
        let style = self.basis.job.job.units.first(figure.style.unwrap_or_else(|| Style::of(kind)));
        figure.value.quantity().map(|q| Named::Known(q, style))
    }

    /// A speed between two figures.
    fn speed(&self, least: &str, most: &str) -> Aim {
        let kind = Kind::Speed;
        Aim { least: self.range(least, kind), most: self.range(most, kind), ..self.aim(kind) }
    }

    fn aim(&self, kind: Kind) -> Aim {
        let units = self.basis.job.job.units;
        Aim { kind, units, target: None, plus: None, minus: None, least: None, most: None }
    }

    fn reading(&self, what: &str, label: &str, instrument: Option<&str>, aim: Aim) -> Reading {
        let id = &self.joint.id.value;
        Reading {
            mark: Some(id.to_string()),
            aim: Some(aim),
            instrument: instrument.map(str::to_owned),
            never_negative: true,
            ..Reading::new(
                format!("{what}.{id}"),
                format!("{label}, {id}"),
                Level::Control,
                Repeat::Joint(id.to_string()),
            )
        }
    }

    fn of_a_fed_wire(&self) -> Vec<Reading> {
        let feed = self.speed(at::wire_feed_low.name(), at::wire_feed_high.name());
        vec![
            self.reading("runs", "runs, counted", None, self.aim(Kind::Number)),
            self.reading("feed", "wire feed", Some("machine display"), feed),
        ]
    }

    fn travel(&self) -> Reading {
        let travel = self.speed(at::travel_low.name(), at::travel_high.name());
        self.reading("travel", "travel", Some("stopwatch and tape"), travel)
    }
}

/// Metres of weld of a joint, all its welds together.
fn length(joint: &Joint) -> Option<f64> {
    let one = match (&joint.around, &joint.length) {
        (Some(around), _) => std::f64::consts::PI * around.value.value.si(),
        (None, Some(length)) => length.value.value.si(),
        (None, None) => return None,
    };
    Some(one * f64::from(joint.count)).filter(|l| *l > 0.0)
}
