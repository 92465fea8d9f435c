//! A weld joint: size, heat, preheat, consumption, acceptance.

use super::governs::{self, Demand, highest};
use super::inputs::{Inputs, to};
use super::keys::Key;
use super::{JobFigures, Owner, joint_heat, joint_size, seam};
use crate::figure::welding::column::Column;
use crate::figure::welding::deposition::Filling;
use crate::figure::welding::groove::{Shape, Weld};
use crate::figure::welding::heat_input::{HeatInputs, HeatInputsAnswer};
use crate::figure::welding::look_up::Efficiency;
use crate::figure::welding::parent_metal::Parent;
use crate::figure::welding::pass_sequence::{PassSequence, PassSequenceAnswer, Progression as Way};
use crate::figure::welding::passes::{Passes, PassesAnswer};
use crate::figure::welding::preheat_governs::{self, PreheatGoverns, PreheatGovernsAnswer};
use crate::figure::welding::sequence::{Run, Seam};
use crate::figure::welding::tacks::{Tacks, TacksAnswer};
use crate::figure::welding::visual_acceptance::{VisualAcceptance, VisualAcceptanceAnswer};
use crate::figure::welding::visual_findings::Findings;
use crate::figure::welding::weld_metal::{WeldMetal, WeldMetalAnswer};
use crate::figure::{Name, Value};
use crate::job::JobFile;
use crate::job::model::{Joint, Units, WeldType};
use crate::procedure::catalogue::joint;
use crate::quantity::{
    Area, Dimensioned, Kind, Length, MassFraction, Number, Quantity, Style, Temperature, unit,
};
use crate::reference::metal::{Basis, Composition, Element, Steel};
use crate::reference::{electrode, metal};
use crate::shop::model::Wps;
use crate::shop::position::{self, Progression};
use crate::source::Source;

pub(super) fn compute(job: &JobFile, joint: &Joint, wps: Option<&Wps>, sheet: &mut JobFigures) {
    let owner = Owner::Joint(joint.id.0.clone());
    let key = |field: &str| format!("joint.{field} ({})", joint.id.value);
    // Names of one's own come with numbers; the tables know nothing of them.
    let electrode = joint.filler.as_ref().map(|f| f.0.as_str()).filter(|f| electrode::find(f).is_some());
    let process = joint.process.as_ref().map(|p| p.0.as_str());
    let table = (job.job.units == Units::Metric).then_some(Column::Metric);
    joint_size::size(joint, &owner, &key, table, sheet);
    governs::settings(joint, wps, &owner, sheet);
    governs::interpass(joint, wps, &owner, sheet);
    let mut inputs = Inputs::<HeatInputs>::new();
    inputs
        .with(HeatInputs::voltage, key("volts"), joint.volts.as_ref())
        .with(HeatInputs::current, key("amps"), joint.amps.as_ref())
        .with(HeatInputs::travel_speed, key("travel"), joint.travel.as_ref())
        .word(Efficiency::process, key("process"), process);
    sheet.run(&owner, &inputs, &[to(HeatInputsAnswer::heat_input, joint::heat_input)]);
    preheat(joint, wps, &owner, &key, &Welding { electrode, process, table }, sheet);
    joint_heat::cooling(joint, wps, &owner, &key, sheet);
    governs::heat_by_code(joint, &owner, sheet);
    consumption(joint, &owner, &key, process, sheet);
    joint_heat::room(&owner, sheet);
    joint_heat::wait(joint, &owner, &key, sheet);
    tacks(joint, wps, &owner, &key, sheet);
    acceptance(joint, &owner, &key, table, sheet);
    seam::compute(job, joint, &owner, &key, electrode, sheet);
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

/// What a joint says of its welding, in the words of the tables.
struct Welding<'a> {
    electrode: Option<&'a str>,
    process: Option<&'a str>,
    table: Option<Column>,
}

/// Preheat for the more demanding of the two parts.
/// The steels of a joint that a table knows; none of one it does not, or where none is named.
fn steels(joint: &Joint) -> Vec<Option<&str>> {
    let named: Vec<_> = [&joint.steel, &joint.other_steel]
        .into_iter()
        .flatten()
        .map(|s| Some(s.0.as_str()).filter(|s| metal::find(s).is_some()))
        .collect();
    if named.is_empty() { vec![None] } else { named }
}

fn preheat(
    joint: &Joint,
    wps: Option<&Wps>,
    owner: &Owner,
    key: Key<'_>,
    welding: &Welding<'_>,
    sheet: &mut JobFigures,
) {
    let by_wps = wps.and_then(|w| w.preheat_min(thickest(joint)));
    let asked = highest([
        Demand::of(joint.preheat.as_ref().map(|t| t.value.value), governs::JOINT),
        Demand::of(by_wps, wps.map(Wps::label).unwrap_or_default()),
    ]);
    let build = |steel: Option<&str>, by: Option<Composition>, sheet: &JobFigures| {
        let share = |element| by.as_ref().map(|by: &Composition| by.get(element));
        let mut inputs = Inputs::<PreheatGoverns>::new();
        inputs
            .word(Parent::steel, key("steel"), steel)
            // A steel of the table brings its composition; who names none is asked
            // for that, not for a number nobody has at hand.
            .with(PreheatGoverns::cet, key(if steel.is_none() { "steel" } else { "cet" }), joint.cet.as_ref())
            .with(PreheatGoverns::thickness, key("thickness"), thickest(joint))
            .with(PreheatGoverns::thickness_2, key("other_thickness"), joint.thin())
            .with(PreheatGoverns::hydrogen, key("hydrogen"), joint.hydrogen.as_ref())
            .word(PreheatGoverns::electrode, key("filler"), welding.electrode)
            .word(PreheatGoverns::process, key("process"), welding.process)
            .figure(PreheatGoverns::heat_input, sheet, owner, joint::heat_input)
            .with(PreheatGoverns::restraint, key("restraint"), joint.restraint)
            .with(PreheatGoverns::joint, key("form"), Some(joint.form))
            .with(PreheatGoverns::table, "job.units", welding.table)
            .with(PreheatGoverns::procedure_minimum, key("preheat"), asked.as_ref().map(|a| a.value))
            .with(
                PreheatGoverns::interpass_max,
                key("interpass_max"),
                sheet.reading(owner, joint::interpass_max),
            );
        for (name, element) in ELEMENTS {
            inputs.with(name, "", share(element));
        }
        inputs
    };
    let steels = steels(joint);
    let of = |steel: Option<&str>, sheet: &JobFigures| -> f64 {
        // A refusal, and a minimum that is not proven, must be seen: they outrank
        // any value, and any value one that asks for none.
        let by = worst(joint, steel);
        let Ok(answer) = build(steel, by, sheet).answer() else { return f64::INFINITY };
        let none = answer.governs.get().is_some_and(|word| word == preheat_governs::NONE);
        let otherwise = if none { f64::NEG_INFINITY } else { f64::INFINITY };
        answer.preheat.get().copied().map_or(otherwise, Dimensioned::si)
    };
    let demanding = steels.iter().copied().reduce(|a, b| if of(b, sheet) > of(a, sheet) { b } else { a });
    let demanding = demanding.flatten();
    let by = worst(joint, demanding);
    let inputs = build(demanding, by, sheet);
    sheet.run(
        owner,
        &inputs,
        &[
            to(PreheatGovernsAnswer::preheat, joint::preheat),
            to(PreheatGovernsAnswer::governs, joint::preheat_method),
        ],
    );
    if let Some(asked) = &asked {
        sheet.whose(owner, joint::preheat_method, "welding procedure", &asked.whose);
    }
    rests_on(joint, demanding.and_then(metal::find), by.is_some(), owner, sheet);
    if by.is_none()
        && let Some(row) = demanding.and_then(metal::find).filter(|row| row.basis != Basis::Maximum)
        && let Ok(limit) = build(demanding, row.maximum(), sheet).answer()
    {
        above_the_list(joint, row, limit.preheat.get().copied(), owner, sheet);
    }
    half_told(joint, owner, sheet);
    stop_unproven(demanding, owner, sheet);
    warm_where_none_is_asked(owner, sheet);
    tell_lower(joint, owner, sheet);
}

/// A preheat no method proves stops the job.
fn stop_unproven(demanding: Option<&str>, owner: &Owner, sheet: &mut JobFigures) {
    let unproven = Value::word(preheat_governs::NOT_PROVEN);
    if sheet.get(owner, joint::preheat_method).is_some_and(|f| f.value == unproven) {
        let steel = demanding.unwrap_or("this steel");
        sheet.miss(
            owner,
            &[joint::preheat.name()],
            Vec::new(),
            format!(
                "the minimum preheat of {steel} is not proven: it is past the methods that go by composition"
            ),
        );
        sheet.stop(
            owner,
            format!("the minimum preheat of {steel} is not proven by any method that covers it"),
            "preheat = \"…\" of a procedure qualified on this steel, cet = \"…\" of its certificate with values_from, or hydrogen and restraint for hydrogen control",
        );
    }
}

/// Frozen or damp metal is not welded, even where no method asks for a preheat.
fn warm_where_none_is_asked(owner: &Owner, sheet: &mut JobFigures) {
    let none = Value::word(preheat_governs::NONE);
    if sheet.get(owner, joint::preheat_method).is_some_and(|f| f.value == none) {
        let source =
            Source::standard("AWS D1.1:2020", "table 5.8, base metal below 32 degF is warmed").from_memory();
        let least = Temperature::of(32.0, unit::DEGF);
        sheet.derive_up(owner, joint::preheat, least, "no method asks for more; dry the joint", source);
    }
}

/// What the job asks for itself is not silently passed over.
fn tell_lower(joint: &Joint, owner: &Owner, sheet: &mut JobFigures) {
    if let (Some(stated), Some(governs)) = (&joint.preheat, sheet.quantity(owner, joint::preheat))
        && stated.value.value.si() + 0.5 < governs.si()
    {
        let style = Style::of(Kind::Temperature);
        let text = format!(
            "joint.preheat ({}) asks for {}, and {} governs: the higher is printed. Put the job right.",
            joint.id.value,
            sheet.said(style, stated.value.value),
            sheet.said(style.up(), governs)
        );
        sheet.warn(owner, joint::preheat.name(), text);
    }
}

/// A limit that rests on one part of two is none: what the other one is made of, and how
/// thick it is, may ask for more.
fn half_told(joint: &Joint, owner: &Owner, sheet: &mut JobFigures) {
    let steels = [("steel", joint.steel.is_some()), ("other_steel", joint.other_steel.is_some())];
    let thick =
        [("thickness", joint.thickness.is_some()), ("other_thickness", joint.other_thickness.is_some())];
    // A stated CET is that of the richer part.
    let asked = [steels].into_iter().filter(|_| joint.cet.is_none()).chain([thick]);
    for [first, second] in asked {
        let lacking = match (first.1, second.1) {
            (true, false) => second.0,
            (false, true) => first.0,
            _ => continue,
        };
        let what = lacking.trim_start_matches("other_");
        sheet.stop(
            owner,
            format!(
                "the {what} of one part is stated and of the other not: its limits rest on half the joint"
            ),
            format!("{lacking} = \"…\""),
        );
    }
}

/// Elements the carbon equivalents count, as the figures of the parent metal take them.
const ELEMENTS: [(Name<Parent, MassFraction>, Element); 9] = [
    (Parent::c, Element::C),
    (Parent::mn, Element::Mn),
    (Parent::si, Element::Si),
    (Parent::cr, Element::Cr),
    (Parent::mo, Element::Mo),
    (Parent::v, Element::V),
    (Parent::ni, Element::Ni),
    (Parent::cu, Element::Cu),
    (Parent::b, Element::B),
];

/// Composition at the specified maximum of a steel, where the minimum preheat has to rest
/// on it: the table has no more than a typical or middle analysis, and no code lists the
/// grade with a minimum of its own, whatever its analysis.
fn worst(joint: &Joint, steel: Option<&str>) -> Option<Composition> {
    let row = steel.and_then(metal::find).filter(|row| row.basis != Basis::Maximum)?;
    row.maximum().filter(|_| row.listing.is_none() || joint.acceptance.is_iso())
}

/// Says of a minimum that goes by composition whose composition it is.
fn rests_on(joint: &Joint, row: Option<&Steel>, limit: bool, owner: &Owner, sheet: &mut JobFigures) {
    let Some(row) = row else { return };
    let basis = if limit { Basis::Maximum } else { row.basis };
    for (method, by_cet) in [("EN 1011-2 method B", true), ("AWS D1.1 hydrogen control", false)] {
        // A stated CET is that of the certificate.
        if by_cet && joint.cet.is_some() {
            continue;
        }
        let said = format!("{method}, by the {} of {}", basis.word(), row.name);
        sheet.whose(owner, joint::preheat_method, method, &said);
    }
}

/// What the specified maximum of a listed steel would ask for: the code's category is its
/// minimum whatever the analysis, and more than that is proven by a certificate alone.
fn above_the_list(
    joint: &Joint,
    row: &Steel,
    limit: Option<Temperature>,
    owner: &Owner,
    sheet: &mut JobFigures,
) {
    let Some(governs) = sheet.quantity(owner, joint::preheat) else { return };
    let Some(limit) = limit.filter(|limit| limit.si() > governs.si() + 0.5) else { return };
    let style = Style::of(Kind::Temperature).up();
    let text = format!(
        "Joint {}: {} is not proven for a heat at the specified maximum of {}, where the methods that go by composition ask for {}: AWS D1.1 lists the grade with less. Read its certificate: cet and values_from.",
        joint.id.value,
        sheet.said(style, governs),
        row.name,
        sheet.said(style, limit)
    );
    sheet.warn(owner, joint::preheat.name(), text);
}

fn consumption(joint: &Joint, owner: &Owner, key: Key<'_>, process: Option<&str>, sheet: &mut JobFigures) {
    let mut inputs = Inputs::<WeldMetal>::new();
    match joint.kind.value {
        WeldType::Fillet => {
            inputs.figure(Shape::leg, sheet, owner, joint::size).with(
                WeldMetal::joint,
                "",
                Some(Weld::Fillet),
            );
        }
        // No formula here for what fills a flare bevel or a plug.
        WeldType::FlareBevel | WeldType::Plug => return,
        WeldType::VGroove | WeldType::BevelGroove | WeldType::SquareGroove => {
            let word = match joint.kind.value {
                WeldType::VGroove => Weld::SingleV,
                WeldType::BevelGroove => Weld::SingleBevel,
                _ => Weld::Square,
            };
            let depth = joint.groove_depth.as_ref().or(joint.thickness.as_ref());
            inputs
                .with(WeldMetal::joint, "", Some(word))
                .with(Shape::thickness, key("groove_depth"), depth)
                .with(Shape::angle, key("groove_angle"), joint.groove_angle.as_ref())
                .with(Shape::root_face, key("root_face"), joint.root_face.as_ref())
                .with(Shape::root_opening, key("root_opening"), joint.root_opening.as_ref());
        }
    }
    if joint.around.is_some() {
        inputs.with(WeldMetal::tube_od, key("around"), joint.around.as_ref());
    } else {
        inputs.with(WeldMetal::length, key("length"), joint.length.as_ref());
    }
    inputs.with(WeldMetal::welds, "", Some(Number::from_si(f64::from(joint.count)))).word(
        Filling::process,
        key("process"),
        process,
    );
    // A rod fed by hand has a diameter and no feed: its melting rate is unknown.
    let fed = joint.wire_feed.is_some() && joint.wire.is_some();
    if joint.wire_feed.is_some() {
        inputs.with(Filling::wire_diameter, key("wire"), joint.wire.as_ref()).with(
            Filling::wire_feed,
            key("wire_feed"),
            joint.wire_feed.as_ref(),
        );
    }
    sheet.run(
        owner,
        &inputs,
        &[
            to(WeldMetalAnswer::mass, joint::weld_metal),
            to(WeldMetalAnswer::filler, joint::filler),
            to(WeldMetalAnswer::gas, joint::gas),
            to(WeldMetalAnswer::arc_time, joint::arc_time),
            to(WeldMetalAnswer::clock_time, joint::clock_time),
        ],
    );
    if !fed {
        return;
    }
    let mut inputs = Inputs::<Passes>::new();
    if joint.kind.value == WeldType::Fillet {
        inputs.figure(Passes::leg, sheet, owner, joint::size);
    } else {
        let area = sheet.output::<WeldMetal, _>(owner, WeldMetalAnswer::area);
        let area = area.and_then(|figure| figure.value.quantity()).and_then(Quantity::typed::<Area>);
        inputs.with(Passes::area, "", area);
    }
    inputs
        .with(Passes::travel, key("travel"), joint.travel.as_ref())
        .with(Passes::wire_diameter, key("wire"), joint.wire.as_ref())
        .with(Passes::wire_speed, key("wire_feed"), joint.wire_feed.as_ref());
    sheet.run(owner, &inputs, &[to(PassesAnswer::passes, joint::passes)]);
}

fn tacks(joint: &Joint, wps: Option<&Wps>, owner: &Owner, key: Key<'_>, sheet: &mut JobFigures) {
    let mut inputs = Inputs::<Tacks>::new();
    // What is clamped by the tack is the thinner part: a tack sized by the
    // thicker one would be the weld before the hold.
    inputs.with(Tacks::thinner, key("thickness"), joint.thin());
    let around = joint.around.is_some();
    if around {
        inputs.with(Seam::joint, "", Some(Run::Tube)).with(
            Seam::tube_od,
            key("around"),
            joint.around.as_ref(),
        );
    } else {
        inputs.with(Seam::joint, "", Some(Run::Straight)).with(
            Seam::length,
            key("length"),
            joint.length.as_ref(),
        );
    }
    // Tacks of a straight seam need a spacing, which the shop sets; without it
    // only the length is known.
    if around || joint.tack_spacing.is_some() {
        inputs.with(Tacks::spacing, key("tack_spacing"), joint.tack_spacing.as_ref());
        let names =
            [to(TacksAnswer::count, joint::tack_count), to(TacksAnswer::tack_length, joint::tack_length)];
        sheet.run_or_stop(owner, &inputs, &names, "tack_spacing");
    }
    if around {
        let mut inputs = Inputs::<PassSequence>::new();
        inputs.with(Seam::joint, "", Some(Run::Tube)).with(
            Seam::tube_od,
            key("around"),
            joint.around.as_ref(),
        );
        // A seam that is turned under the torch is laid at the top throughout.
        let up = Progression::Up;
        let fixed = joint
            .position
            .as_ref()
            .is_none_or(|text| position::parse(text).0.iter().any(|p| p.needs(up).contains(&up.place())));
        if fixed {
            let way = match wps.map_or(Progression::Up, |w| w.progression) {
                Progression::Up => Way::Up,
                Progression::Down => Way::Down,
            };
            inputs.with(PassSequence::progression, "", Some(way));
        }
        if sheet.run(owner, &inputs, &[]) {
            let steps = sheet.output::<PassSequence, _>(owner, PassSequenceAnswer::steps);
            let steps = steps.map(|figure| figure.value.show());
            if let Some(steps) = steps {
                let source =
                    Source::practice("opposed quadrants, short runs, so that the seam closes evenly");
                sheet.derive(owner, joint::sequence, steps, "opposed quadrants", source);
            }
        }
    }
}

fn acceptance(joint: &Joint, owner: &Owner, key: Key<'_>, table: Option<Column>, sheet: &mut JobFigures) {
    let mut inputs = Inputs::<VisualAcceptance>::new();
    inputs.with(Findings::standard, key("acceptance"), Some(joint.acceptance)).with(
        Findings::thickness,
        key("thickness"),
        joint.thin(),
    );
    if joint.kind.value == WeldType::Fillet {
        inputs.figure(Findings::leg, sheet, owner, joint::size);
    }
    inputs.with(Findings::circumferential, "", Some(joint.around.is_some()));
    inputs.with(Findings::table, "job.units", table);
    sheet.run(
        owner,
        &inputs,
        &[
            to(VisualAcceptanceAnswer::undercut_max, joint::undercut_limit),
            to(VisualAcceptanceAnswer::undersize_max, joint::undersize_limit),
        ],
    );
}
