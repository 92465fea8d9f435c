//! The wrench: setting with an adapter, with a nut that drags, and whether the
//! wrench suits the torque.

use std::f64::consts::FRAC_PI_2;

use super::selection::{self, FINE_TORQUE, Thread};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Angle, Dimensioned, Kind, Length, Number, Percent, Torque, math, unit};
use crate::reference::tightening::{AC_43_13, PREVAILING};
use crate::source::Source;

const LEVER: Source = Source::derived(
    "lever of wrench and adapter",
    "moment balance; FAA AC 43.13-1B text for the in-line case",
);
const ISO_6789: Source =
    Source::standard("ISO 6789-1:2017", "permissible deviation 4 %, 6 % to 10 N·m").from_memory();
const RANGE: Source = Source::practice("use a torque wrench from 20 to 100 % of its capacity");
const GUM: Source = Source::standard("JCGM 100:2008", "4.3.7 and eq. 10");
const INTERVAL: Source =
    Source::standard("ISO 6789", "12 months or 5000 cycles where no own procedure exists").from_memory();
const TUR: Source = Source::standard("ANSI/NCSL Z540.3", "test uncertainty ratio, 4 to 1").from_memory();

/// Setting of a wrench with an adapter.
pub static ADAPTER: Family = Family {
    name: "adapter",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "torque wrench setting with a crow-foot or other adapter that changes its length",
    inputs: &[
        Input::optional("torque", Kind::Torque, "torque wanted at the fastener").also(&["target", "wanted"]),
        Input::optional("setting", Kind::Torque, "setting, to find the torque at the fastener instead")
            .also(&["reading"]),
        Input::required(
            "wrench_length",
            Kind::Length,
            "from the centre of the drive to the middle of the grip",
        )
        .also(&["wrench_arm", "handle_length", "l", "length", "wrench"]),
        Input::required(
            "adapter_length",
            Kind::Length,
            "from the centre of the drive to the centre of the fastener",
        )
        .also(&["a", "adapter", "extension", "crowfoot", "offset", "adapter_offset"]),
        Input::defaulted(
            "angle",
            Kind::Angle,
            "0",
            "between adapter and wrench: 0 points away from the grip, 90 square, 180 back",
        )
        .also(&["adapter_angle"]),
    ],
    outputs: &[
        Output::new("factor", "setting over torque", Kind::Number, "L / (L + A cos angle)", LEVER)
            .style(crate::quantity::Style::single(crate::quantity::Form::decimal(unit::ONE, 0.0001))),
        Output::new("effective_length", "effective length", Kind::Length, "L + A cos angle", LEVER)
            .style(crate::quantity::show::GAUGE),
        Output::new("setting", "setting of the wrench", Kind::Torque, "torque x factor", LEVER)
            .style(FINE_TORQUE),
        Output::new("torque", "torque at the fastener", Kind::Torque, "setting / factor", LEVER)
            .style(FINE_TORQUE),
    ],
    example: "torque=\"75 lbf-ft\" wrench_length=\"18 in\" adapter_length=\"3 in\"",
    run: run_adapter,
};

/// Setting over torque for a wrench of length L with an adapter of length A at
/// an angle: L / (L + A cos angle). An angle of 90 degrees changes nothing.
#[must_use]
pub fn adapter_factor(wrench: Length, adapter: Length, angle: Angle) -> Number {
    // A square adapter changes nothing; cos(pi/2) is not exactly zero.
    let along = if (angle.si().abs() - FRAC_PI_2).abs() < 1e-12 { 0.0 } else { math::cos(angle) };
    Number::from_si(wrench.si() / (wrench.si() + adapter.si() * along))
}

fn run_adapter(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let wrench: Length = given::positive("wrench_length", given.need("wrench_length")?)?;
    let adapter: Length = given.need("adapter_length")?;
    if adapter.si() < 0.0 {
        return Err(Trouble::impossible(
            "an adapter has no negative length",
            "give an angle of 180 deg if it points back",
        ));
    }
    let angle: Angle = given.or("angle", Angle::from_si(0.0))?;
    given::within("angle", angle, unit::DEG, -180.0..=180.0, LEVER)?;
    if adapter.si() >= wrench.si() {
        return Err(Trouble::impossible(
            "the adapter is as long as the wrench",
            "check wrench_length and adapter_length",
        ));
    }
    let factor = adapter_factor(wrench, adapter, angle);
    answer.put("factor", factor);
    answer.put("effective_length", wrench / factor.si());
    let (wanted, setting): (Option<Torque>, Option<Torque>) =
        (given.maybe("torque")?, given.maybe("setting")?);
    match (wanted, setting) {
        (Some(wanted), None) => {
            let wanted = given::positive("torque", wanted)?;
            answer.put("setting", wanted * factor.si());
            answer.put("torque", wanted);
        }
        (None, Some(setting)) => {
            let setting = given::positive("setting", setting)?;
            answer.put("setting", setting);
            answer.put("torque", setting / factor.si());
        }
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible("torque and setting are both given", "give one of them"));
        }
        (None, None) => return Err(Trouble::Missing(vec!["torque"])),
    }
    answer.warn("Pull at the middle of the grip: the correction holds only for the length given.");
    Ok(())
}

/// Setting for a fastener with running drag.
pub static PREVAILING_TORQUE: Family = Family {
    name: "prevailing-torque",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "wrench setting for a self-locking nut, and whether a reused nut still drags enough",
    inputs: &[
        Input::required("torque", Kind::Torque, "wanted tightening torque").also(&[
            "final_torque",
            "target",
            "wanted",
        ]),
        Input::required(
            "drag",
            Kind::Torque,
            "torque that turns the nut on before it seats, or the free bolt from its head",
        )
        .also(&[
            "prevailing",
            "prevailing_torque",
            "running_torque",
            "drag_torque",
            "locking_torque",
        ]),
        Input::optional(
            "torque_max",
            Kind::Torque,
            "highest torque, where a slot must be met for a cotter pin",
        )
        .also(&["max"]),
        Input { need: Need::Optional, ..selection::THREAD },
    ],
    outputs: &[
        Output::new("setting", "wrench setting", Kind::Torque, "torque + drag", AC_43_13).style(FINE_TORQUE),
        Output::new(
            "setting_max",
            "highest setting to reach the next slot",
            Kind::Torque,
            "torque_max + drag",
            AC_43_13,
        )
        .style(FINE_TORQUE.down()),
        Output::new("drag_min", "least drag of a reused nut", Kind::Torque, "table", AC_43_13).style(
            crate::quantity::Style::pair(
                crate::quantity::Form::decimal(unit::LBF_IN, 1.0),
                crate::quantity::Form::decimal(unit::N_M, 0.1),
            )
            .up(),
        ),
        Output::flag("nut_usable", "a reused nut may be used again", "drag >= drag_min", AC_43_13),
    ],
    example: "torque=\"75 lbf-ft\" drag=\"18 lbf-in\" thread=\"5/8-18\"",
    run: run_prevailing,
};

/// Least drag torque of a reused self-locking nut, if its thread is listed.
///
/// Source: FAA AC 43.13-1B table 7-2.
#[must_use]
pub fn least_drag(thread: &Thread) -> Option<Torque> {
    let bare = thread.name.split(' ').next().unwrap_or("");
    PREVAILING.iter().find(|(name, _)| *name == bare).map(|(_, v)| Torque::of(*v, unit::LBF_IN))
}

fn run_prevailing(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let torque: Torque = given::positive("torque", given.need("torque")?)?;
    let drag: Torque = given.need("drag")?;
    if drag.si() < 0.0 {
        return Err(Trouble::impossible("drag can't be negative", "measure it before the nut seats"));
    }
    answer.put("setting", torque + drag);
    if let Some(most) = given.maybe::<Torque>("torque_max")? {
        if most.si() < torque.si() {
            return Err(Trouble::impossible("torque_max is below torque", "give the low end in torque"));
        }
        answer.put("setting_max", most + drag);
        answer.warn(
            "If no slot meets the hole before the highest setting, change the nut or washer; never back off.",
        );
    }
    if given.has("thread") {
        let thread = selection::thread(given, answer)?;
        match least_drag(&thread) {
            Some(least) => {
                answer.put("drag_min", least);
                let usable = drag.si() >= least.si() * (1.0 - 1e-9);
                answer.put_flag("nut_usable", usable);
                if !usable {
                    answer.warn("The drag is below the table's minimum for a reused nut; fit a new nut.");
                }
            }
            None => answer.warn("No minimum drag is listed for this thread; fit a new nut or ask its maker."),
        }
    }
    if drag.si() > 0.5 * torque.si() {
        answer.warn("The drag is more than half the torque; check the threads before going on.");
    }
    Ok(())
}

/// Whether a wrench suits a torque.
pub static WRENCH_CHOICE: Family = Family {
    name: "wrench-choice",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "whether a torque wrench suits a torque: range, mark, uncertainty, ratio to the tolerance",
    inputs: &[
        Input::required("torque", Kind::Torque, "torque to be applied").also(&["target", "setting"]),
        Input::optional("capacity", Kind::Torque, "highest marked value").also(&[
            "range_max",
            "full_scale",
            "wrench_max",
            "max",
        ]),
        Input::optional("lowest_mark", Kind::Torque, "lowest marked value, if above 20 % of the capacity")
            .also(&["range_min", "min", "wrench_min"]),
        Input::optional("increment", Kind::Torque, "smallest mark").also(&["resolution", "step"]),
        Input::optional(
            "deviation",
            Kind::Percent,
            "permissible deviation of reading; without it 4 %, 6 % to 10 N·m",
        )
        .also(&["accuracy"]),
        Input::optional("repeatability", Kind::Torque, "standard deviation of repeated settings")
            .also(&["repeat"]),
        Input::optional("tolerance", Kind::Torque, "tolerance each way on the torque").also(&["tol"]),
        Input::flag("electronic", "whether the wrench has a digital display").also(&["digital"]),
        Input::optional("months", Kind::Number, "months since the last calibration")
            .also(&["months_since_calibration"]),
        Input::optional("cycles", Kind::Number, "uses since the last calibration").also(&["uses"]),
    ],
    outputs: &[
        Output::new("percent_capacity", "share of capacity", Kind::Percent, "torque / capacity", RANGE),
        Output::flag(
            "in_range",
            "within the usable range",
            "20 to 100 % of capacity, from the lowest mark up",
            RANGE,
        ),
        Output::new(
            "u_deviation",
            "standard uncertainty of the wrench",
            Kind::Torque,
            "deviation x torque / sqrt 3",
            GUM,
        )
        .style(FINEST),
        Output::new(
            "u_resolution",
            "standard uncertainty of the mark",
            Kind::Torque,
            "increment / sqrt 12",
            GUM,
        )
        .style(FINEST),
        Output::new(
            "u_combined",
            "combined standard uncertainty",
            Kind::Torque,
            "root of the sum of squares",
            GUM,
        )
        .style(FINEST),
        Output::new("uncertainty", "expanded uncertainty, k = 2", Kind::Torque, "2 u_combined", GUM)
            .style(FINEST.up()),
        Output::new(
            "relative",
            "expanded uncertainty over torque",
            Kind::Percent,
            "uncertainty / torque",
            GUM,
        ),
        Output::new("ratio", "test uncertainty ratio", Kind::Number, "tolerance / uncertainty", TUR)
            .style(crate::quantity::Style::single(crate::quantity::Form::decimal(unit::ONE, 0.01)).down()),
        Output::flag(
            "calibration_current",
            "calibration is current",
            "within 12 months and 5000 cycles",
            INTERVAL,
        ),
        Output::word("verdict", "verdict", "in_range, and ratio at least 4 where a tolerance is given", TUR),
    ],
    example: "torque=\"75 lbf-ft\" capacity=\"150 lbf-ft\" increment=\"1 lbf-ft\"",
    run: run_choice,
};

const FINEST: crate::quantity::Style = crate::quantity::Style::pair(
    crate::quantity::Form::decimal(unit::LBF_FT, 0.01),
    crate::quantity::Form::decimal(unit::N_M, 0.01),
);

fn run_choice(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let torque: Torque = given::positive("torque", given.need("torque")?)?;
    let mut in_range = None;
    if let Some(capacity) = given.maybe::<Torque>("capacity")? {
        let capacity = given::positive("capacity", capacity)?;
        let lowest: Torque = given.or("lowest_mark", capacity * 0.2)?;
        let lowest = if lowest.si() > capacity.si() * 0.2 { lowest } else { capacity * 0.2 };
        answer.put("percent_capacity", Percent::from_si(torque.si() / capacity.si()));
        let room = 1e-9 * capacity.si();
        let inside = torque.si() >= lowest.si() - room && torque.si() <= capacity.si() + room;
        answer.put_flag("in_range", inside);
        in_range = Some(inside);
        if !inside {
            answer.warn("The torque is outside the usable range of this wrench; take another wrench.");
        }
    }
    // 4 % above 10 N·m, 6 % at and below.
    let usual = if torque.to(unit::N_M) > 10.0 { 0.04 } else { 0.06 };
    let deviation: Percent = given.or("deviation", Percent::from_si(usual))?;
    given::within("deviation", deviation, unit::PCT, 0.0..=25.0, ISO_6789)?;
    if !given.has("deviation") {
        answer.warn(format!("The wrench's deviation is taken as {:.0} %, the usual limit for its size; use the certificate's if there is one.", 100.0 * usual));
    }
    let increment: Torque = given.or("increment", Torque::from_si(0.0))?;
    let repeat: Torque = given.or("repeatability", Torque::from_si(0.0))?;
    if increment.si() < 0.0 || repeat.si() < 0.0 {
        return Err(Trouble::impossible(
            "an increment or a spread can't be negative",
            "check increment and repeatability",
        ));
    }
    let u_wrench = torque * (deviation.si() / 3.0_f64.sqrt());
    let u_mark = increment / 12.0_f64.sqrt();
    let combined = math::hypot(math::hypot(u_wrench.si(), u_mark.si()), repeat.si());
    let combined = Torque::from_si(combined);
    answer.put("u_deviation", u_wrench);
    answer.put("u_resolution", u_mark);
    answer.put("u_combined", combined);
    answer.put("uncertainty", combined * 2.0);
    answer.put("relative", Percent::from_si(2.0 * combined.si() / torque.si()));
    if given.flag("electronic")? && increment.si() > 0.25 * deviation.si() * torque.si() * (1.0 + 1e-9) {
        answer.warn("The display step is more than a quarter of the permitted deviation at this torque (ISO 6789-1); take a finer wrench.");
    }
    calibration(given, answer)?;
    let mut fine_enough = None;
    if let Some(tolerance) = given.maybe::<Torque>("tolerance")? {
        let tolerance = given::positive("tolerance", tolerance)?;
        if combined.si() > 0.0 {
            let ratio = tolerance.si() / (2.0 * combined.si());
            answer.put("ratio", Number::from_si(ratio));
            fine_enough = Some(ratio >= 4.0 - 1e-9);
            if ratio < 4.0 - 1e-9 {
                answer.warn("The tolerance is less than four times the uncertainty; use a better wrench or narrow the setting by the uncertainty.");
            }
        }
    }
    let verdict = match (in_range, fine_enough) {
        (Some(false), _) => "outside the range of the wrench",
        (_, Some(false)) => "usable with a guard band",
        (Some(true), _) => "suitable",
        (None, Some(true)) => "fine enough; range not checked",
        (None, None) => "range not checked",
    };
    answer.put_word("verdict", verdict);
    Ok(())
}

/// Whether the calibration interval has run out.
fn calibration(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let (months, cycles): (Option<Number>, Option<Number>) = (given.maybe("months")?, given.maybe("cycles")?);
    if months.is_none() && cycles.is_none() {
        return Ok(());
    }
    let current = months.is_none_or(|m| m.si() <= 12.0) && cycles.is_none_or(|c| c.si() <= 5000.0);
    answer.put_flag("calibration_current", current);
    if !current {
        answer.warn(
            "The calibration interval of 12 months or 5000 cycles has run out; calibrate the wrench first.",
        );
    }
    Ok(())
}
