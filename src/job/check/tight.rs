//! A torque somebody states against what is usual for what it holds and for its thread.

use super::{at, words};
use crate::diagnostic::{Diagnostic, Report};
use crate::job::JobFile;
use crate::job::model::{Component, Fastener};
use crate::quantity::{Dimensioned, Stress, Style, Torque, unit};
use crate::reference::{grade, thread};

/// Help of all that somebody may be sure of.
const SURE: &str = "if it is right all the same, write beside it: sure = \"why it is right\"";

/// Torques in lbf-ft by what they hold, whatever the size: light and medium trucks and
/// trailers (common practice, from memory). Wide: they catch a lost point and a wrong unit.
const USUAL: &[(&str, f64, f64)] = &[
    ("wheel", 50.0, 550.0),
    ("hub", 5.0, 300.0),
    ("steering-joint", 20.0, 220.0),
    ("steering-clamp", 8.0, 110.0),
    ("brake-line", 6.0, 35.0),
    ("brake-bracket", 10.0, 260.0),
    ("flange", 10.0, 160.0),
    ("u-bolt", 20.0, 550.0),
    ("shackle", 20.0, 400.0),
    ("spring-pin", 20.0, 400.0),
    ("coupling", 20.0, 500.0),
];

/// Hubs of trailers run on cone bearings whose nut is only seated, in lbf-ft (common
/// practice, from memory).
const TRAILER_HUB: (f64, f64) = (5.0, 80.0);

/// Share of the torque at proof load below which a thread does not hold what is tightened
/// by a number (common practice: 30 to 75 %).
const SLACK: f64 = 0.15;

/// Nut factor of a thread as it comes (common practice), and that of a slick one: what the
/// proof load is reached with at the most and at the least.
const PLAIN: f64 = 0.2;

/// Proof stresses in psi that bolts of a vehicle lie between where no grade is stated (SAE
/// J429 grade 2 over 3/4 in and grade 8).
const GRADES: (f64, f64) = (33e3, 120e3);

/// Proof stress below which no bolt clamps a spring, in psi: SAE J429 grade 5 and ISO 898-1
/// class 8.8 lie above, grade 2 and class 5.8 below (common practice).
const CLAMPS: f64 = 70e3;

pub(super) fn check(job: &JobFile, fastener: &Fastener, report: &mut Report) {
    // What it holds says enough; a thread says it where that is not known.
    if !by_use(job, fastener, report) {
        // The nut of a bearing seats it, and says nothing of what its thread would carry.
        if *fastener.usage.0 != *"hub" {
            by_thread(fastener, report);
        }
        coarse(fastener, report);
    }
    soft(fastener, report);
    studs(fastener, report);
}

/// Share of a torque a wrench's mark may be, at most: the group is set within a mark, and
/// beyond a tenth nobody calls it tightened to a number (common practice).
const MARK: f64 = 0.15;

/// As [`MARK`], where the torque stands on a mark.
const ON_MARK: f64 = 0.2;

/// A wrench is finer than the torque it is set to.
fn coarse(fastener: &Fastener, report: &mut Report) {
    let (Some(torque), Some(mark)) = (&fastener.torque, &fastener.increment) else { return };
    let marks = torque.value.value.si() / mark.value.value.si();
    let on_one = (marks - marks.round()).abs() < 1e-6;
    let most = if on_one { ON_MARK } else { MARK };
    if 1.0 <= most * marks + 1e-9 {
        return;
    }
    report.push(at(
        Diagnostic::stop(
            "J259",
            format!(
                "fastener {}: a wrench with a mark every {} does not set {}",
                fastener.id.value,
                words(mark),
                words(torque)
            ),
        )
        .expected("the smallest mark of the wrench, a tenth of the torque or less")
        .example("increment = \"…\", as the wrench is marked")
        .help(SURE)
        .unless_sure(fastener.sure.as_deref()),
        mark,
    ));
}

/// Nuts of one wheel of a light or medium vehicle (common practice).
const STUDS: &[u32] = &[3, 4, 5, 6, 7, 8, 10];
/// Wheels whose nuts are counted in one group: one, those of an axle, those of two axles or
/// of one with twin wheels.
const WHEELS: &[u32] = &[1, 2, 4, 6];

/// Wheel nuts are counted for one wheel, or for all of an axle.
fn studs(fastener: &Fastener, report: &mut Report) {
    let Some(count) = fastener.count.filter(|_| *fastener.usage.0 == *"wheel") else { return };
    if STUDS.iter().any(|studs| WHEELS.iter().any(|wheels| studs * wheels == count)) || count == 0 {
        return;
    }
    report.push(
        Diagnostic::stop("J265", format!("fastener {}: no wheel has {count} nuts", fastener.id.value))
            .at(Some(fastener.id.span.clone()))
            .key(format!("{}.count", fastener.id.key.trim_end_matches(".id")))
            .expected("the nuts of one wheel: 4, 5, 6, 7, 8 or 10; their order follows from it")
            .example("count = …")
            .help(SURE)
            .unless_sure(fastener.sure.as_deref()),
    );
}

fn put(fastener: &Fastener, says: String, expected: String, report: &mut Report) {
    let Some(torque) = &fastener.torque else { return };
    report.push(at(
        Diagnostic::stop("J254", says)
            .expected(expected)
            .example("torque = \"…\", from the sheet of torque_from")
            .help(SURE)
            .unless_sure(fastener.sure.as_deref()),
        torque,
    ));
}

fn shown(stated: &crate::file::Located<crate::file::Reading<Torque>>, torque: f64) -> String {
    stated.value.first(Style::of(Torque::KIND)).both(Torque::from_si(torque).into())
}

fn by_use(job: &JobFile, fastener: &Fastener, report: &mut Report) -> bool {
    let Some(torque) = &fastener.torque else { return false };
    let row = USUAL.iter().find(|(of, ..)| **of == *fastener.usage.0);
    let Some((of, low, high)) = row.copied() else { return false };
    let trailer =
        matches!(job.component(&fastener.on.value), Some(Component::Axle(axle)) if axle.is_trailer());
    let (low, high) = if trailer && of == "hub" { TRAILER_HUB } else { (low, high) };
    let [low, high] = [low, high].map(|t| unit::LBF_FT.to_si(t));
    let set = torque.value.value.si();
    let room = 1e-9 * high;
    if (low - room..=high + room).contains(&set) {
        return false;
    }
    let what = if set < low { "little" } else { "much" };
    put(
        fastener,
        format!("fastener {}: {} is {what} for use = \"{of}\"", fastener.id.value, words(torque)),
        format!(
            "usually {} to {} (common practice); the maker's sheet decides",
            shown(torque, low),
            shown(torque, high)
        ),
        report,
    );
    true
}

/// The torque at which a thread of a proof stress carries its proof load: K d A S.
fn at_proof(thread: &thread::Thread, proof: f64) -> f64 {
    let major = thread.major.si();
    // Tensile stress area (ASME B1.1, ISO 898-1): on the mean of pitch and minor diameter.
    let mean = major - 0.9382 * thread.pitch.si();
    PLAIN * major * std::f64::consts::FRAC_PI_4 * mean * mean * proof
}

fn by_thread(fastener: &Fastener, report: &mut Report) {
    let (Some(torque), Some(named)) = (&fastener.torque, &fastener.thread) else { return };
    let Some(thread) = thread::find(&named.value) else { return };
    let (known, weakest, strongest) = match proof(fastener, &thread) {
        Some(proof) => (true, proof, proof),
        None => (false, unit::PSI.to_si(GRADES.0), unit::PSI.to_si(GRADES.1)),
    };
    let (low, high) = (SLACK * at_proof(&thread, weakest), at_proof(&thread, strongest));
    let set = torque.value.value.si();
    // Over the proof load of a grade that is stated the bolt itself is told.
    if set >= low && (known || set <= high) {
        return;
    }
    let what = if set < low { "leaves" } else { "breaks" };
    put(
        fastener,
        format!("fastener {}: {} {what} a thread {}", fastener.id.value, words(torque), &*named.value)
            + if set < low { " loose" } else { "" },
        format!(
            "usually {} to {} at this thread; the maker's sheet decides",
            shown(torque, low),
            shown(torque, high)
        ),
        report,
    );
}

/// Proof stress of a group in pascals, as stated or by its grade.
fn proof(fastener: &Fastener, thread: &thread::Thread) -> Option<f64> {
    if let Some(stated) = &fastener.proof {
        return Some(stated.value.value.si());
    }
    let grade = fastener.grade.as_ref()?;
    let bands = grade::find(&grade.value);
    let band = bands.iter().find(|b| b.holds_for(thread.major)).or(bands.first())?;
    Some(band.proof().unwrap_or(band.yielding() * 0.85).si())
}

/// What clamps a spring to its axle is no bolt of a fence.
fn soft(fastener: &Fastener, report: &mut Report) {
    let Some(thread) = fastener.thread.as_ref().and_then(|t| thread::find(&t.value)) else { return };
    if *fastener.usage.0 != *"u-bolt" {
        return;
    }
    let Some(proof) = proof(fastener, &thread).filter(|p| *p < unit::PSI.to_si(CLAMPS)) else { return };
    let stated = fastener.grade.as_ref().map_or_else(String::new, |g| format!(" \"{}\"", &*g.value));
    let metric = thread.is_metric();
    let problem = Diagnostic::stop(
        "J255",
        format!(
            "fastener {}: U-bolts of grade{stated} hold a spring, with a proof stress of {}",
            fastener.id.value,
            Style::of(Stress::KIND).both(Stress::from_si(proof).into())
        ),
    )
    .expected(
        "SAE J429 grade 5 or 8, ISO 898-1 class 8.8 or 10.9 (common practice), or the axle maker's part",
    )
    .example(if metric {
        "grade = \"ISO 898-1 8.8\" or grade = \"ISO 898-1 10.9\""
    } else {
        "grade = \"SAE J429 5\" or grade = \"SAE J429 8\""
    })
    .help(SURE)
    .unless_sure(fastener.sure.as_deref());
    let key = format!("{}.grade", fastener.id.key.trim_end_matches(".id"));
    report.push(problem.at(Some(fastener.id.span.clone())).key(key));
}
