//! A weld in words, and a job's joints against the shop book.

use chrono::NaiveDate;

use super::need::need;
use super::problem::untested;
use super::{quantity, shown};
use crate::file::{Located, Text};
use crate::job::JobFile;
use crate::job::model::{Joint, WeldSide, WeldType};
use crate::procedure::catalogue;
use crate::procedure::figures::{JobFigures, Owner};
use crate::procedure::owed::{Lacks, Review};
use crate::quantity::show::ANGLE;
use crate::shop::fit::{JointFit, Procedure, WelderFit, fit};
use crate::shop::{Book, Origin};
use crate::source::Source;
use crate::term::{ACCEPTED_BY, Units};

/// The weld symbol in words: size, kind, extent, count.
#[must_use]
pub fn symbol(job: &JobFile, figures: &JobFigures, joint: &Joint) -> String {
    let units = job.job.units;
    let size = figures
        .get(&Owner::Joint(joint.id.0.clone()), catalogue::joint::size)
        .map_or_else(|| "size ______".to_owned(), |f| shown(units, f));
    let mut parts = vec![match joint.kind.value {
        WeldType::Fillet => format!("fillet {size}"),
        WeldType::VGroove => format!("V groove {size}"),
        WeldType::BevelGroove => format!("bevel groove {size}"),
        WeldType::SquareGroove => format!("square groove {size}"),
        WeldType::FlareBevel => format!("flare bevel {size}"),
        WeldType::Plug => format!("plug {size}"),
    }];
    if let (Some(angle), true) = (&joint.groove_angle, joint.kind.value.is_groove()) {
        parts.push(ANGLE.shop(angle.value.value.into()));
    }
    if joint.around.is_some() || joint.all_round {
        parts.push("all round".to_owned());
    } else if let Some(length) = &joint.length {
        parts.push(format!("{} long", quantity(units, length.value.value.into())));
        if let Some(pitch) = &joint.pitch {
            parts.push(format!("every {}", quantity(units, pitch.value.value.into())));
        }
    }
    match joint.side {
        WeldSide::Arrow => {}
        WeldSide::Other => parts.push("other side".to_owned()),
        WeldSide::Both => parts.push("both sides".to_owned()),
    }
    if joint.count > 1 {
        parts.push(format!("{} off", joint.count));
    }
    if joint.field {
        parts.push("field weld".to_owned());
    }
    parts.join(", ")
}

/// All that is asked of a weld, in words: its symbol, what it is made with and how it is
/// judged, with the revision its procedure has in the book. Behind [`ACCEPTED_BY`] stands what
/// only its acceptance asks.
#[must_use]
pub(super) fn asked(joint: &Joint, symbol: &str, book: &Book) -> String {
    let text = |one: &Option<Located<Text>>| one.as_ref().map(|t| t.value.0.clone());
    let procedure = joint.wps.as_ref().map(|w| match book.wps(&w.value.0) {
        Some(wps) => format!("{} rev {}", w.value.0, wps.revision.0),
        None => w.value.0.clone(),
    });
    let gas = joint.gas.as_ref().map(|t| t.0.clone());
    let inspection = joint.inspection.as_ref().map(|t| t.0.clone());
    let steels = [text(&joint.steel), text(&joint.other_steel)];
    let judged = Some(joint.acceptance.printed());
    let made = [procedure, text(&joint.process), text(&joint.filler), gas];
    let made = [Some(symbol.to_owned())].into_iter().chain(steels).chain(made);
    let list = |words: &mut dyn Iterator<Item = String>| words.collect::<Vec<_>>().join(", ");
    let accepted = list(&mut [inspection, judged].into_iter().flatten());
    format!("{}{ACCEPTED_BY}{accepted}", list(&mut made.flatten()))
}

/// One joint against a book on a day, with the rules used.
fn against(
    joint: &Joint,
    (figures, units): (&JobFigures, Units),
    book: &Book,
    on: NaiveDate,
) -> (JointFit, Vec<Source>) {
    let named = joint.wps.as_ref().map(|w| &*w.0);
    fit(book, &need(joint, figures, units), named, on)
}

/// Every joint of a job against a book on a day; the rules used.
#[must_use]
pub fn joints(
    job: &JobFile,
    figures: &JobFigures,
    book: &Book,
    on: NaiveDate,
) -> (Vec<JointFit>, Vec<Source>) {
    let mut sources = Vec::new();
    let mut fits = Vec::new();
    for joint in &job.joint {
        let (fit, used) = against(joint, (figures, job.job.units), book, on);
        fits.push(fit);
        sources.extend(used);
    }
    (fits, sources)
}

/// Every welder of a book against a joint on a day.
#[must_use]
pub fn welders(
    joint: &Joint,
    figures: &JobFigures,
    units: Units,
    book: &Book,
    on: NaiveDate,
) -> Vec<WelderFit> {
    against(joint, (figures, units), book, on).0.welders
}

/// What is owed for joints whose procedure is still to be qualified, or for whose testing
/// the book has nobody: a hold before the first arc, and one for each test at the acceptance.
#[must_use]
pub fn reviews(job: &JobFile, fits: &[JointFit], shop: Origin<'_>) -> Vec<Review> {
    let unqualified = fits.iter().filter(|j| !j.covered()).map(|j| {
        let why = match &j.procedure {
            Procedure::ToBeQualified => "No welding procedure is named".to_owned(),
            Procedure::Unknown(id) => format!("{id} is not in the shop book"),
            Procedure::Named(id) => {
                let first = j.findings.iter().find(|f| f.refuses).map_or("", |f| &f.text);
                format!("{id} does not cover it: {first}")
            }
        };
        Review { joint: j.id.clone(), lacks: Lacks::Procedure, why }
    });
    let untested = job.joint.iter().flat_map(|joint| {
        untested(joint, shop).into_iter().map(|method| Review {
            joint: joint.id.to_string(),
            lacks: Lacks::Tester(method),
            why: format!("Nobody in the shop book is certified for {}", method.title()),
        })
    });
    unqualified.chain(untested).collect()
}
