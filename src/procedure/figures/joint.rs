//! A weld joint: size, heat, preheat, consumption, acceptance.

use super::governs::{self, Demand, highest, lowest};
use super::sheet::Inputs;
use super::{JobFigures, Owner, seam};
use crate::figure::welding::preheat_governs;
use crate::figure::{Value, registry};
use crate::job::JobFile;
use crate::job::model::{Acceptance, Joint, JointForm, Safety, Units, WeldType};
use crate::quantity::show::LENGTH;
use crate::quantity::{Dimensioned, HeatInput, Length, Number, Quantity, Temperature, unit};
use crate::reference::{electrode, metal};
use crate::shop::model::Wps;
use crate::source::Source;

const CAPPED: Source = Source::practice("a throat is counted no deeper than the thinner part");

pub(super) fn compute(job: &JobFile, joint: &Joint, wps: Option<&Wps>, sheet: &mut JobFigures) {
    let owner = Owner::Joint(joint.id.value.0.clone());
    let key = |field: &str| format!("joint.{field} ({})", joint.id.value);
    // Names of one's own come with numbers; the tables know nothing of them.
    let electrode =
        joint.filler.as_ref().map(|f| f.value.0.as_str()).filter(|f| electrode::find(f).is_some());
    let process = joint.process.as_ref().map(|p| p.value.0.as_str());
    let table = (job.job.units == Units::Metric).then_some("metric");
    size(joint, &owner, &key, table, sheet);
    governs::settings(joint, wps, &owner, sheet);
    governs::interpass(joint, wps, &owner, sheet);
    let mut inputs = Inputs::new();
    inputs
        .job("voltage", key("volts"), joint.volts.as_ref())
        .job("current", key("amps"), joint.amps.as_ref())
        .job("travel_speed", key("travel"), joint.travel.as_ref())
        .word("process", key("process"), process);
    sheet.run(&owner, "heat-input", &inputs, &[("heat_input", "heat_input")]);
    preheat(joint, wps, &owner, &key, electrode, process, table, sheet);
    cooling(joint, wps, &owner, &key, sheet);
    consumption(joint, &owner, &key, process, sheet);
    tacks(joint, &owner, &key, sheet);
    acceptance(joint, &owner, &key, table, sheet);
    seam::compute(job, joint, &owner, &key, electrode, sheet);
}

pub(super) type Key<'a> = &'a dyn Fn(&str) -> String;

pub(super) fn thinner(joint: &Joint) -> Option<Length> {
    let plain =
        |l: &Option<crate::file::Located<crate::file::Reading<Length>>>| l.as_ref().map(|l| l.value.value);
    match (plain(&joint.thickness), plain(&joint.other_thickness)) {
        (Some(a), Some(b)) => Some(if a < b { a } else { b }),
        (a, b) => a.or(b),
    }
}

fn thicker(joint: &Joint) -> Option<Length> {
    let plain =
        |l: &Option<crate::file::Located<crate::file::Reading<Length>>>| l.as_ref().map(|l| l.value.value);
    match (plain(&joint.thickness), plain(&joint.other_thickness)) {
        (Some(a), Some(b)) => Some(if a > b { a } else { b }),
        (a, b) => a.or(b),
    }
}

/// The thickest metal at the seam: the parts, and what stands behind them.
fn thickest(joint: &Joint) -> Option<Length> {
    let behind = joint.backing.as_ref().map(|b| b.value.value);
    match (thicker(joint), behind) {
        (Some(a), Some(b)) => Some(if a > b { a } else { b }),
        (a, b) => a.or(b),
    }
}

fn size(joint: &Joint, owner: &Owner, key: Key<'_>, table: Option<&str>, sheet: &mut JobFigures) {
    if joint.kind.value != WeldType::Fillet {
        // A flare bevel is not filled to its edge, nor has a plug a depth: only what is
        // stated counts.
        let depth = match joint.kind.value {
            WeldType::Plug => joint.size.as_ref(),
            WeldType::FlareBevel => joint.groove_depth.as_ref(),
            _ => joint.groove_depth.as_ref().or(joint.thickness.as_ref()),
        };
        let depth = depth.map(|d| d.value);
        if joint.kind.value == WeldType::Plug {
            if let Some(size) = depth {
                let source = Source::entered("job file");
                sheet.derive(owner, "size", Value::from(size), "as entered in the job file", source);
                sheet.derive(owner, "size_from", Value::word(governs::JOINT), "as stated", source);
            }
            return;
        }
        // A throat is never counted beyond the thinner part.
        let wall = thinner(joint).filter(|wall| depth.is_some_and(|d| d.value > *wall));
        match (depth, wall) {
            (Some(_), Some(wall)) => {
                sheet.derive_down(
                    owner,
                    "size",
                    Value::from(wall),
                    "no deeper than the thinner part",
                    CAPPED,
                );
                sheet.derive(
                    owner,
                    "size_from",
                    Value::word("the thinner part"),
                    "the lesser governs",
                    CAPPED,
                );
            }
            (Some(depth), None) => {
                let source = Source::entered("job file");
                sheet.derive(owner, "size", Value::from(depth), "as entered in the job file", source);
                sheet.derive(owner, "size_from", Value::word(governs::JOINT), "as stated", source);
            }
            (None, _) => {}
        }
        return;
    }
    let cyclic = joint.acceptance == Acceptance::D11Cyclic || joint.safety != Safety::Structure;
    let mut inputs = Inputs::new();
    inputs
        .job("t1", key("thickness"), joint.thickness.as_ref())
        .job("t2", key("other_thickness"), joint.other_thickness.as_ref())
        .job("leg", key("size"), joint.size.as_ref())
        .job("length", key("length"), joint.length.as_ref())
        .value("cyclic", "", Some(Value::Flag(cyclic)))
        .word("table", "job.units", table);
    if joint.form == JointForm::Lap {
        inputs.job("edge", key("thickness"), joint.thickness.as_ref());
    }
    sheet.run(owner, "fillet-size", &inputs, &[("min_leg", "size_min"), ("max_leg", "size_max")]);
    let least = sheet.quantity::<Length>(owner, "size_min");
    let stated = joint.size.as_ref().map(|s| s.value.value);
    let code = "AWS D1.1, least fillet for the thickness";
    if let Some(size) = highest([Demand::of(stated, governs::JOINT), Demand::of(least, code)]) {
        let source = if size.whose == code {
            Source::standard("AWS D1.1:2020", "table 7.7, minimum fillet size")
        } else {
            Source::entered("job file")
        };
        sheet.derive_up(owner, "size", Value::from(size.value), "the larger of joint and code", source);
        sheet.derive(owner, "size_from", Value::word(size.whose), "the larger governs", source);
        if let Some(most) = sheet.quantity::<Length>(owner, "size_max")
            && size.value.si() > most.si() * (1.0 + 1e-9)
        {
            sheet.stop(
                owner,
                format!(
                    "the fillet of {} is larger than the edge takes, {} at most",
                    LENGTH.both(size.value.into()),
                    LENGTH.both(most.into())
                ),
                "a smaller fillet, a thicker part, or a longer weld",
            );
        }
    }
    let mut inputs = Inputs::new();
    inputs.figure("leg", sheet, owner, "size");
    if sheet.get(owner, "size").is_some() {
        sheet.run(owner, "fillet-throat", &inputs, &[("throat", "throat")]);
    }
}

/// Preheat for the more demanding of the two parts.
#[allow(clippy::too_many_arguments)]
fn preheat(
    joint: &Joint,
    wps: Option<&Wps>,
    owner: &Owner,
    key: Key<'_>,
    electrode: Option<&str>,
    process: Option<&str>,
    table: Option<&str>,
    sheet: &mut JobFigures,
) {
    let by_wps = wps.and_then(|w| w.preheat_min(thickest(joint)));
    let asked = highest([
        Demand::of(joint.preheat.as_ref().map(|t| t.value.value), governs::JOINT),
        Demand::of(by_wps, wps.map(Wps::label).unwrap_or_default()),
    ]);
    let build = |steel: Option<&str>, sheet: &JobFigures| {
        let mut inputs = Inputs::new();
        inputs
            .word("steel", key("steel"), steel)
            .job("cet", key("cet"), joint.cet.as_ref())
            .value("thickness", key("thickness"), thickest(joint).map(Value::from))
            .value("thickness_2", key("other_thickness"), thinner(joint).map(Value::from))
            .job("hydrogen", key("hydrogen"), joint.hydrogen.as_ref())
            .word("electrode", key("filler"), electrode)
            .word("process", key("process"), process)
            .figure("heat_input", sheet, owner, "heat_input")
            .word("restraint", key("restraint"), joint.restraint.map(|r| r.word()))
            .word("joint", key("form"), Some(joint.form.word()))
            .word("table", "job.units", table)
            .value("procedure_minimum", key("preheat"), asked.as_ref().map(|a| Value::from(a.value)))
            .value(
                "interpass_max",
                key("interpass_max"),
                sheet.get(owner, "interpass_max").map(|f| f.value.clone()),
            );
        inputs
    };
    let steels: Vec<Option<&str>> = {
        let named: Vec<_> = [&joint.steel, &joint.other_steel]
            .into_iter()
            .flatten()
            .map(|s| Some(s.value.0.as_str()).filter(|s| metal::find(s).is_some()))
            .collect();
        if named.is_empty() { vec![None] } else { named }
    };
    let of = |steel: Option<&str>, sheet: &JobFigures| -> f64 {
        let Some(family) = registry::find("preheat-governs") else { return f64::INFINITY };
        match family.reckon(&build(steel, sheet).given) {
            Ok(figures) => figures
                .iter()
                .find(|f| f.id == "preheat")
                .and_then(|f| f.value.quantity())
                .map_or(f64::INFINITY, Quantity::si),
            // A refusal must be seen: it outranks any value.
            Err(_) => f64::INFINITY,
        }
    };
    let demanding = steels.iter().copied().reduce(|a, b| if of(b, sheet) > of(a, sheet) { b } else { a });
    let inputs = build(demanding.flatten(), sheet);
    sheet.run(owner, "preheat-governs", &inputs, &[("preheat", "preheat"), ("governs", "preheat_method")]);
    if let Some(asked) = &asked {
        sheet.whose(owner, "preheat_method", "welding procedure", &asked.whose);
    }
    let none = Value::word(preheat_governs::NONE);
    if sheet.get(owner, "preheat_method").is_some_and(|f| f.value == none) {
        // No method asks for a preheat; frozen or damp metal is not welded all
        // the same.
        let source =
            Source::standard("AWS D1.1:2020", "table 5.8, base metal below 32 degF is warmed").from_memory();
        let least = Value::from(Temperature::of(32.0, unit::DEGF));
        sheet.derive_up(owner, "preheat", least, "no method asks for more; dry the joint", source);
    }
}

/// Joint form as the cooling formulas name it.
fn flow(joint: &Joint) -> &'static str {
    match (joint.kind.value, joint.form) {
        (WeldType::Fillet, JointForm::Corner) => "corner-fillet",
        (WeldType::Fillet, _) => "t-fillet",
        _ => "butt",
    }
}

fn cooling(joint: &Joint, wps: Option<&Wps>, owner: &Owner, key: Key<'_>, sheet: &mut JobFigures) {
    if sheet.get(owner, "heat_input").is_none() {
        return;
    }
    let thin = thinner(joint).map(Value::from);
    let mut inputs = Inputs::new();
    inputs
        .figure("heat_input", sheet, owner, "heat_input")
        .value("thickness", key("thickness"), thin.clone())
        .word("joint", key("form"), Some(flow(joint)));
    if let Some(preheat) = sheet.get(owner, "preheat") {
        inputs.value("preheat", "", Some(preheat.value.clone()));
    }
    sheet.run(owner, "cooling-time", &inputs, &[("cooling_time", "cooling_time")]);
    if let (Some(least), Some(most)) = (&joint.cooling_least, &joint.cooling_most) {
        let mut inputs = Inputs::new();
        inputs
            .job("cooling_time_min", key("cooling_least"), Some(least))
            .job("cooling_time_max", key("cooling_most"), Some(most))
            .value("thickness", key("thickness"), thin.clone())
            .word("joint", key("form"), Some(flow(joint)));
        sheet.run(
            owner,
            "heat-input-window",
            &inputs,
            &[("heat_input_min", "heat_input_low"), ("heat_input_max", "heat_input_high")],
        );
    } else if let Some(heat) = sheet.quantity::<HeatInput>(owner, "heat_input") {
        // Without limits of its own the joint gets the band a procedure may
        // drift in, current 10 %, voltage 7 %, travel 25 %, inside what the
        // procedure itself allows.
        let drift = Source::standard(
            "AWS D1.1:2015",
            "table 4.5, limits of a procedure: amps 10 %, volts 7 %, travel 25 %",
        )
        .from_memory();
        let (band, label) = governs::heat(wps, owner, sheet).unzip();
        let label = label.unwrap_or_default();
        let code = "limits of a procedure";
        let low = highest([
            Demand::of(Some(heat * (0.90 * 0.93 / 1.25)), code),
            Demand::of(band.and_then(|b| b.low), label.clone()),
        ]);
        let high = lowest([
            Demand::of(Some(heat * (1.10 * 1.07 / 0.75)), code),
            Demand::of(band.and_then(|b| b.high), label),
        ]);
        if let Some(low) = low {
            let formula = format!("heat input at the cold end, by {}", low.whose);
            sheet.derive_up(owner, "heat_input_low", Value::from(low.value), &formula, drift);
        }
        if let Some(high) = high {
            let formula = format!("heat input at the hot end, by {}", high.whose);
            sheet.derive_down(owner, "heat_input_high", Value::from(high.value), &formula, drift);
        }
    }
    if let Some(interpass) = sheet.get(owner, "interpass_max").map(|f| f.value.clone()) {
        let mut inputs = Inputs::new();
        inputs
            .figure("heat_input", sheet, owner, "heat_input")
            .value("thickness", key("thickness"), thin)
            .value("interpass_max", key("interpass_max"), Some(interpass))
            .word("joint", key("form"), Some(flow(joint)));
        if let Some(preheat) = sheet.get(owner, "preheat") {
            inputs.value("preheat", "", Some(preheat.value.clone()));
        }
        sheet.run(owner, "interpass-wait", &inputs, &[("wait", "wait")]);
    }
}

fn consumption(joint: &Joint, owner: &Owner, key: Key<'_>, process: Option<&str>, sheet: &mut JobFigures) {
    let mut inputs = Inputs::new();
    match joint.kind.value {
        WeldType::Fillet => {
            inputs.figure("leg", sheet, owner, "size").word("joint", "", Some("fillet"));
        }
        // No formula here for what fills a flare bevel or a plug.
        WeldType::FlareBevel | WeldType::Plug => return,
        WeldType::VGroove | WeldType::BevelGroove | WeldType::SquareGroove => {
            let word = match joint.kind.value {
                WeldType::VGroove => "v",
                WeldType::BevelGroove => "bevel",
                _ => "square",
            };
            let depth = joint.groove_depth.as_ref().or(joint.thickness.as_ref());
            inputs
                .word("joint", "", Some(word))
                .job("thickness", key("groove_depth"), depth)
                .job("angle", key("groove_angle"), joint.groove_angle.as_ref())
                .job("root_face", key("root_face"), joint.root_face.as_ref())
                .job("root_opening", key("root_opening"), joint.root_opening.as_ref());
        }
    }
    if joint.around.is_some() {
        inputs.job("tube_od", key("around"), joint.around.as_ref());
    } else {
        inputs.job("length", key("length"), joint.length.as_ref());
    }
    inputs.value("welds", "", Some(Value::from(Number::from_si(f64::from(joint.count))))).word(
        "process",
        key("process"),
        process,
    );
    // A rod fed by hand has a diameter and no feed: its melting rate is unknown.
    if joint.wire_feed.is_some() {
        inputs.job("wire_diameter", key("wire"), joint.wire.as_ref()).job(
            "wire_feed",
            key("wire_feed"),
            joint.wire_feed.as_ref(),
        );
    }
    sheet.run(
        owner,
        "weld-metal",
        &inputs,
        &[
            ("mass", "weld_metal"),
            ("filler", "filler"),
            ("gas", "gas"),
            ("arc_time", "arc_time"),
            ("clock_time", "clock_time"),
        ],
    );
}

fn tacks(joint: &Joint, owner: &Owner, key: Key<'_>, sheet: &mut JobFigures) {
    let mut inputs = Inputs::new();
    // What is clamped by the tack is the thinner part: a tack sized by the
    // thicker one would be the weld before the hold.
    inputs.value("thinner", key("thickness"), thinner(joint).map(Value::from));
    let around = joint.around.is_some();
    if around {
        inputs.word("joint", "", Some("tube")).job("tube_od", key("around"), joint.around.as_ref());
    } else {
        inputs.word("joint", "", Some("straight")).job("length", key("length"), joint.length.as_ref());
    }
    // Tacks of a straight seam need a spacing, which the shop sets; without it
    // only the length is known.
    if around || joint.tack_spacing.is_some() {
        inputs.job("spacing", key("tack_spacing"), joint.tack_spacing.as_ref());
        let names = [("count", "tack_count"), ("tack_length", "tack_length")];
        sheet.run_or_stop(owner, "tacks", &inputs, &names);
    }
    if around {
        let mut inputs = Inputs::new();
        inputs.word("joint", "", Some("tube")).job("tube_od", key("around"), joint.around.as_ref());
        if sheet.run(owner, "pass-sequence", &inputs, &[]) {
            let steps = sheet
                .rows
                .iter()
                .rev()
                .find(|r| r.owner == *owner && r.figure.id == "steps")
                .map(|r| r.figure.value.show());
            if let Some(steps) = steps {
                let source =
                    Source::practice("opposed quadrants, short runs, so that the seam closes evenly");
                sheet.derive(owner, "sequence", Value::word(steps), "opposed quadrants", source);
            }
        }
    }
}

fn acceptance(joint: &Joint, owner: &Owner, key: Key<'_>, table: Option<&str>, sheet: &mut JobFigures) {
    let standard = match joint.acceptance {
        Acceptance::D11Cyclic => "aws-cyclic",
        Acceptance::D11Static => "aws-static",
        Acceptance::Iso5817B => "iso-b",
        Acceptance::Iso5817C => "iso-c",
        Acceptance::Iso5817D => "iso-d",
    };
    let mut inputs = Inputs::new();
    inputs.word("standard", key("acceptance"), Some(standard)).value(
        "thickness",
        key("thickness"),
        thinner(joint).map(Value::from),
    );
    if joint.kind.value == WeldType::Fillet {
        inputs.figure("leg", sheet, owner, "size");
    }
    inputs.value("circumferential", "", Some(Value::Flag(joint.around.is_some())));
    inputs.word("table", "job.units", table);
    sheet.run(
        owner,
        "visual-acceptance",
        &inputs,
        &[("undercut_max", "undercut_limit"), ("undersize_max", "undersize_limit")],
    );
}
