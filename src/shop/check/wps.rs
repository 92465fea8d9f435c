//! Cross-checks of a procedure.

use super::qualification::known_process;
use super::{at, in_order};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading};
use crate::quantity::{Dimensioned, Style};
use crate::reference::{electrode, metal};
use crate::shop::Band;
use crate::shop::model::{Support, Wps};
use crate::shop::position;
use crate::shop::process::SHORT_CIRCUIT;
use crate::shop::qualify::tolerance::{self, RECALLED, SEEN};
use crate::source::Source;

pub(super) fn check(wps: &Wps, report: &mut Report) {
    known_process(&wps.process, report);
    in_order(wps.date.as_ref(), wps.until.as_ref(), ("its first day", "its last day"), report);
    words(wps, report);
    preheat(wps, report);
    qualified(wps, report);
    if wps.support.value == Support::Prequalified && wps.short_circuit() {
        report.push(at(
            Diagnostic::error(
                "S040",
                format!("{} can't be prequalified with short-circuit transfer", wps.id.value),
            )
            .expected("support = \"pqr\" with the number of its record")
            .example("support = \"pqr\"")
            .help(format!("{SHORT_CIRCUIT}.")),
            &wps.support,
        ));
    }
    if let Some(k) = &wps.heat_input_k
        && (wps.heat_input.is_none() || !(0.2..=1.0).contains(&k.value.value.si()))
    {
        report.push(at(
            Diagnostic::error(
                "S049",
                format!("{} has a heat_input_k that no heat input can have", wps.id.value),
            )
            .expected(
                "beside a heat_input, the thermal efficiency it contains, 0.2 to 1 (EN 1011-1, table 1)",
            )
            .example("heat_input_k = 0.8"),
            k,
        ));
    }
    if wps.weld.is_empty() {
        report.push(at(
            Diagnostic::error("S041", format!("{} names no kind of weld", wps.id.value))
                .expected("fillet, groove, or both")
                .example("weld = [\"fillet\"]"),
            &wps.id,
        ));
    }
}

fn words(wps: &Wps, report: &mut Report) {
    for position in &wps.positions {
        let (found, unknown) = position::parse(&position.value);
        if found.is_empty() || !unknown.is_empty() {
            report.push(at(
                Diagnostic::error("S042", format!("\"{}\" is no position", &*position.value))
                    .expected("1F to 5F, 1G to 6G, or PA to PJ")
                    .example("positions = [\"1F\", \"2F\"]"),
                position,
            ));
        }
    }
    const FORMS: [&str; 4] = ["butt", "tee", "lap", "corner"];
    for form in wps.joints.iter().filter(|j| !FORMS.contains(&&*j.0.to_lowercase())) {
        report.push(at(
            Diagnostic::error("S043", format!("\"{}\" is no way parts meet", &*form.value))
                .expected(FORMS.join(", "))
                .example("joints = [\"tee\", \"lap\"]"),
            form,
        ));
    }
    for filler in wps.fillers.iter().filter(|f| electrode::find(&f.value).is_none()) {
        report.push(at(
            Diagnostic::warning("S044", format!("the filler {} is not in the table", &*filler.value))
                .expected("a classification the table knows; its group is not checked otherwise"),
            filler,
        ));
    }
    let group = |text: &str| {
        metal::squeezed(text).starts_with("d11group") || metal::squeezed(text).starts_with("group")
    };
    for base in wps.base.iter().filter(|b| metal::find(&b.value).is_none() && !group(&b.value)) {
        report.push(at(
            Diagnostic::warning("S045", format!("the base metal {} is not in the table", &*base.value))
                .expected("a name from the table of steels, or D1.1 group I or II"),
            base,
        ));
    }
}

fn preheat(wps: &Wps, report: &mut Report) {
    for (index, row) in wps.preheat.iter().enumerate() {
        if let Some(other) =
            wps.preheat[..index].iter().find(|o| o.thickness.value.overlaps(&row.thickness.value))
        {
            report.push(at(
                Diagnostic::error(
                    "S046",
                    format!(
                        "preheat for {} overlaps the row for {}",
                        row.thickness.value.words(),
                        other.thickness.value.words()
                    ),
                )
                .expected("thickness ranges that meet at their ends")
                .example("thickness = \"3/4 in to 1-1/2 in\""),
                &row.thickness,
            ));
        }
        if row.minimum.value.value.si() >= wps.interpass_max.value.value.si() {
            report.push(at(
                Diagnostic::error(
                    "S047",
                    format!(
                        "preheat {} is not below the interpass limit {}",
                        show(row.minimum.value.value),
                        show(wps.interpass_max.value.value)
                    ),
                )
                .expected("a preheat below the interpass limit")
                .example("minimum = \"70 degF\""),
                &row.minimum,
            ));
        }
    }
}

/// The shop range must stay within what the code allows about the test.
fn qualified(wps: &Wps, report: &mut Report) {
    let Some(values) = &wps.qualified else { return };
    let name = &*wps.process.0;
    inside("amps", &wps.amps, &values.amps, |v| tolerance::current(name, v), SEEN, report);
    inside("volts", &wps.volts, &values.volts, |v| tolerance::voltage(name, v), SEEN, report);
    inside(
        "wire_feed",
        &wps.wire_feed,
        &values.wire_feed,
        |v| tolerance::wire_feed(name, v),
        RECALLED,
        report,
    );
    inside("travel", &wps.travel, &values.travel, |v| tolerance::travel(name, v), RECALLED, report);
    inside("gas_flow", &wps.gas_flow, &values.gas_flow, |v| Some(tolerance::gas_flow(v)), RECALLED, report);
    if let Some(tested) = &values.preheat {
        let least = tolerance::preheat(name, tested.value.value);
        for row in wps.preheat.iter().filter(|r| r.minimum.value.value.si() < least.si() - 1e-6) {
            report.push(at(
                Diagnostic::error(
                    "S048",
                    format!(
                        "preheat {} is below the {} its test allows",
                        show(row.minimum.value.value),
                        show(least)
                    ),
                )
                .expected(format!("at least {}", show(least)))
                .example("qualify again, or raise the preheat")
                .help(format!("{RECALLED}.")),
                &row.minimum,
            ));
        }
    }
}

fn inside<T: Dimensioned>(
    what: &str,
    stated: &Option<Located<Band<T>>>,
    tested: &Option<Located<Reading<T>>>,
    allowed: impl Fn(T) -> Option<Band<T>>,
    source: Source,
    report: &mut Report,
) {
    let (Some(stated), Some(tested)) = (stated, tested) else { return };
    let Some(allowed) = allowed(tested.value.value) else { return };
    if allowed.covers(&stated.value) {
        return;
    }
    report.push(at(
        Diagnostic::error(
            "S048",
            format!("{what} {} leaves the {} its test allows", stated.value.words(), allowed.words()),
        )
        .expected(format!("a range within {}", allowed.words()))
        .example(format!("{what} = \"{}\"", allowed.words()))
        .help(format!("{source}.")),
        stated,
    ));
}

fn show<T: Dimensioned>(value: T) -> String {
    Style::of(T::KIND).both(value.into())
}
