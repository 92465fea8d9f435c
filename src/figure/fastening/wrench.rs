//! The wrench: setting with an adapter, with a nut that drags, and whether the
//! wrench suits the torque.

use crate::figure::prelude::*;
use std::f64::consts::FRAC_PI_2;

use super::bears;
use super::selection::{self, FINE_TORQUE, Thread};
use crate::reference::tightening::{AC_43_13, PREVAILING};

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
const DRAG: Style = Style::pair(Form::decimal(unit::LBF_IN, 1.0), Form::decimal(unit::N_M, 0.1)).up();
const FINEST: Style = Style::pair(Form::decimal(unit::LBF_FT, 0.01), Form::decimal(unit::N_M, 0.01));
/// Least test uncertainty ratio, [`TUR`].
const LEAST_RATIO: f64 = 4.0;

family! {
    pub ADAPTER = "adapter" in Fastening:
        "torque wrench setting with a crow-foot or other adapter that changes its length";
    also "crow-foot", "crowfoot", "torque-adapter", "torque-extension", "crow-foot-adapter", "wrench-extension",
        "wrench-adapter";
    reads Adapter {
        optional torque: Torque in ABOVE_ZERO, "torque wanted at the fastener",
            "target", "wanted", "T", "TA", "desired_torque", "required_torque";
        optional setting: Torque in ABOVE_ZERO, "setting, to find the torque at the fastener instead", "reading";
        required wrench_length: Length in ABOVE_ZERO.usually(0.1, 2.0, unit::M), "from the centre of the drive to the middle of the grip",
            "wrench_arm", "handle_length", "l", "length", "wrench", "lever", "lever_length", "l1";
        required adapter_length: Length in NOT_NEGATIVE.usually(0.0, 0.5, unit::M), "from the centre of the drive to the centre of the fastener",
            "a", "adapter", "extension", "crowfoot", "offset", "adapter_offset", "E", "extension_length",
            "crowfoot_length", "l2";
        default angle: Angle = "0" in within(-180.0, 180.0, unit::DEG, LEVER),
            "between adapter and wrench: 0 points away from the grip, 90 square, 180 back",
            "adapter_angle", "theta", "offset_angle";
    }
    rules { one_of(torque, setting); }
    gives Adapted {
        factor: Number, "setting over torque", "L / (L + A cos angle)", LEVER => .style(TEN_THOUSANDTH);
        effective_length: Length, "effective length", "L + A cos angle", LEVER => .style(GAUGE);
        setting: Torque, "setting of the wrench", "torque x factor", LEVER => .style(FINE_TORQUE);
        torque: Torque, "torque at the fastener", "setting / factor", LEVER => .style(FINE_TORQUE);
    }
    asked setting, torque;
    example "torque=\"75 lbf-ft\" wrench_length=\"18 in\" adapter_length=\"3 in\"";
    by adapted
}

/// Setting over torque for a wrench of length L with an adapter of length A at
/// an angle: L / (L + A cos angle). An angle of 90 degrees changes nothing.
#[must_use]
pub fn adapter_factor(wrench: Length, adapter: Length, angle: Angle) -> Number {
    // A square adapter changes nothing; cos(pi/2) is not exactly zero.
    let along = if (angle.si().abs() - FRAC_PI_2).abs() < 1e-12 { 0.0 } else { math::cos(angle) };
    Number::from_si(wrench.si() / (wrench.si() + adapter.si() * along))
}

fn adapted(given: &Adapter, answer: &mut Adapted) -> Result<()> {
    let (wrench, adapter) = (*given.wrench_length, *given.adapter_length);
    (adapter >= wrench)
        .refuse("the adapter is as long as the wrench", "check wrench_length and adapter_length")?;
    let factor = adapter_factor(wrench, adapter, *given.angle);
    (factor.si() > 2.0).refuse(
        "the adapter folds back over the wrench so far that less than half of its length is left",
        "check angle, wrench_length and adapter_length: 0 points away from the grip",
    )?;
    answer.factor.put(factor);
    answer.effective_length.put(wrench / factor.si());
    let (torque, setting) = match *given.torque {
        Some(torque) => (torque, torque * factor.si()),
        None => {
            let setting = given.setting.need()?;
            (setting / factor.si(), setting)
        }
    };
    answer.setting.put(setting);
    answer.torque.put(torque);
    answer.warn("Pull at the middle of the grip: the correction holds only for the length given.");
    Ok(())
}

family! {
    pub PREVAILING_TORQUE = "prevailing-torque" in Fastening:
        "wrench setting for a self-locking nut, and whether a reused nut still drags enough";
    also "drag-torque", "self-locking-nut", "prevailing";
    reads Prevailing {
        required torque: Torque in ABOVE_ZERO, "wanted tightening torque", "final_torque", "target", "wanted";
        required drag: Torque in NOT_NEGATIVE, "torque that turns the nut on before it seats, or the free bolt from its head",
            "prevailing", "prevailing_torque", "running_torque", "drag_torque", "locking_torque";
        optional torque_max: Torque in ABOVE_ZERO, "highest torque, where a slot must be met for a cotter pin", "max";
        optional thread: String, "thread size, such as 1/2-20 UNF, M12 or M12x1.25",
            "size", "thread_size", "bolt_size", "bolt", "designation";
    }
    rules { ordered(torque, torque_max); }
    gives PrevailingSetting {
        setting: Torque, "wrench setting", "torque + drag", AC_43_13 => .style(FINE_TORQUE);
        setting_max: Torque, "highest setting to reach the next slot", "torque_max + drag", AC_43_13
            => .style(FINE_TORQUE).at_most();
        drag_min: Torque, "least drag of a reused nut", "table", AC_43_13 => .style(DRAG);
        nut_usable: bool, "a reused nut may be used again", "drag >= drag_min", AC_43_13;
    }
    example "torque=\"75 lbf-ft\" drag=\"18 lbf-in\" thread=\"5/8-18\"";
    by prevailing
}

/// Least drag torque of a reused self-locking nut, if its thread is listed.
///
/// Source: FAA AC 43.13-1B table 7-2.
#[must_use]
pub fn least_drag(thread: &Thread) -> Option<Torque> {
    let bare = thread.name.split(' ').next().unwrap_or("");
    PREVAILING.iter().find(|(name, _)| *name == bare).map(|(_, v)| Torque::of(*v, unit::LBF_IN))
}

fn prevailing(given: &Prevailing, answer: &mut PrevailingSetting) -> Result<()> {
    let (torque, drag) = (*given.torque, *given.drag);
    answer.setting.put(torque + drag);
    if let Some(most) = *given.torque_max {
        answer.setting_max.put(most + drag);
        answer.warn(
            "If no slot meets the hole before the highest setting, change the nut or washer; never back off.",
        );
    }
    if let Some(text) = given.thread.as_deref() {
        let thread = selection::known(text, &mut answer.said)?;
        bears::refuse_any_torque(larger(torque, given.torque_max.unwrap_or(torque)), &thread)?;
        match least_drag(&thread) {
            Some(least) => {
                answer.drag_min.put(least);
                let margin = drag.si() - least.si() * (1.0 - 1e-9);
                let usable = margin >= 0.0;
                // A nut that drags like this has picked up metal, whatever the table's least.
                if drag.si() <= 0.5 * torque.si() {
                    answer.nut_usable.judge(margin, true, false, false);
                }
                if !usable {
                    answer.warn("The drag is below the table's minimum for a reused nut; fit a new nut.");
                }
            }
            None => {
                answer.warn("No minimum drag is listed for this thread; fit a new nut or ask its maker.");
            }
        }
    }
    if drag.si() > 0.5 * torque.si() {
        answer.warn("The drag is more than half the torque: the nut is not judged usable. Check the unit, and the threads before going on.");
    }
    Ok(())
}

words! {
    /// Whether a torque wrench suits a torque.
    pub Suits {
        /// In range, calibrated, fine enough.
        Yes = "suitable",
        /// As before, but the setting must keep the uncertainty away from the limits.
        GuardBand = "usable with a guard band",
        TooCoarse = "no: its uncertainty takes up the whole tolerance",
        /// The torque is outside its usable range.
        OutOfRange = "no: outside the range of the wrench",
        OutOfCalibration = "no: its calibration has run out",
        NotJudged = "not judged: range or calibration not told",
        /// Range and calibration suit; what the ratio rests on is not told.
        NoRatio = "not judged: range and calibration suit, tolerance or smallest mark not told",
    }
}

impl Suits {
    /// Puts together what is known: what refuses comes first, and what is not
    /// known is never suitable. `ratio` is tolerance over expanded uncertainty.
    #[must_use]
    pub fn judge(in_range: Option<bool>, calibrated: Option<bool>, ratio: Option<f64>) -> Self {
        match (in_range, calibrated, ratio) {
            (Some(false), ..) => Suits::OutOfRange,
            (_, Some(false), _) => Suits::OutOfCalibration,
            (.., Some(ratio)) if ratio <= 1.0 => Suits::TooCoarse,
            (None, ..) | (_, None, _) => Suits::NotJudged,
            (.., None) => Suits::NoRatio,
            (.., Some(ratio)) if ratio < LEAST_RATIO - 1e-9 => Suits::GuardBand,
            _ => Suits::Yes,
        }
    }
}

family! {
    pub WRENCH_CHOICE = "wrench-choice" in Fastening:
        "whether a torque wrench suits a torque: range, mark, uncertainty, ratio to the tolerance";
    also "wrench", "torque-wrench", "wrench-check";
    reads WrenchChoice {
        required torque: Torque in ABOVE_ZERO, "torque to be applied", "target", "setting";
        optional capacity: Torque in ABOVE_ZERO, "highest marked value",
            "range_max", "full_scale", "wrench_max", "max", "wrench_capacity", "wrench";
        optional lowest_mark: Torque in NOT_NEGATIVE, "lowest marked value, if above 20 % of the capacity",
            "range_min", "min", "wrench_min";
        optional increment: Torque in ABOVE_ZERO, "smallest mark", "resolution", "step";
        optional deviation: Percent in within(0.0, 25.0, unit::PCT, ISO_6789).above_zero().usually(0.2, 10.0, unit::PCT),
            "permissible deviation of reading; without it 4 %, 6 % to 10 N·m", "accuracy";
        default repeatability: Torque = "0" in NOT_NEGATIVE, "standard deviation of repeated settings", "repeat";
        optional tolerance: Torque in ABOVE_ZERO, "tolerance each way on the torque", "tol";
        flag electronic: bool, "whether the wrench has a digital display", "digital";
        optional months: Number in within(0.0, 600.0, unit::ONE, INTERVAL), "months since the last calibration",
            "months_since_calibration";
        optional cycles: Number in within(0.0, 1e7, unit::ONE, INTERVAL), "uses since the last calibration", "uses";
        default interval: Number = "12" in within(0.0, 120.0, unit::ONE, INTERVAL).above_zero().usually(1.0, 24.0, unit::ONE),
            "months between calibrations, of this wrench or by the shop's own procedure", "interval_months";
        default interval_cycles: Number = "5000" in within(0.0, 1e6, unit::ONE, INTERVAL).above_zero().usually(500.0, 10_000.0, unit::ONE),
            "uses between calibrations, of this wrench or by the shop's own procedure";
    }
    rules { ordered(lowest_mark, capacity); }
    gives WrenchFit {
        percent_capacity: Percent, "share of capacity", "torque / capacity", RANGE;
        in_range: bool, "within the usable range", "20 to 100 % of capacity, from the lowest mark up", RANGE;
        u_deviation: Torque, "standard uncertainty of the wrench", "deviation x torque / sqrt 3", GUM => .style(FINEST);
        u_resolution: Torque, "standard uncertainty of the mark", "increment / sqrt 12", GUM => .style(FINEST);
        u_combined: Torque, "combined standard uncertainty", "root of the sum of squares", GUM => .style(FINEST);
        uncertainty: Torque, "expanded uncertainty, k = 2", "2 u_combined", GUM => .style(FINEST.up());
        relative: Percent, "expanded uncertainty over torque", "uncertainty / torque", GUM;
        ratio: Number, "test uncertainty ratio", "tolerance / uncertainty", TUR => .style(HUNDREDTH.down());
        calibration_current: bool, "calibration is current", "within interval and interval_cycles, whichever comes first", INTERVAL;
        verdict: Suits, "whether the wrench suits",
            "in_range, calibration_current, and ratio at least 4 where a tolerance is given", TUR
            => .claims(&[Suits::Yes.word(), Suits::GuardBand.word()]);
    }
    asked verdict;
    example "torque=\"75 lbf-ft\" capacity=\"150 lbf-ft\" increment=\"1 lbf-ft\"";
    by choose
}

fn choose(given: &WrenchChoice, answer: &mut WrenchFit) -> Result<()> {
    let torque = *given.torque;
    (*given.tolerance).is_some_and(|tolerance| tolerance >= torque).refuse(
        "the tolerance is as large as the torque: anything would be inside it",
        "check tolerance: it is each way, in the unit of a torque",
    )?;
    let in_range = given.capacity.map(|capacity| reach(given, answer, capacity)).transpose()?;
    let deviation = given.deviation.unwrap_or_else(|| {
        // 4 % above 10 N·m, 6 % at and below.
        let usual = if torque.to(unit::N_M) > 10.0 { 0.04 } else { 0.06 };
        answer.warn(format!("The wrench's deviation is taken as {:.0} %, the usual limit for its size; use the certificate's if there is one.", 100.0 * usual));
        Percent::from_si(usual)
    });
    let increment = given.increment.unwrap_or(Torque::from_si(0.0));
    let u_wrench = torque * (deviation.si() / 3.0_f64.sqrt());
    let u_mark = increment / 12.0_f64.sqrt();
    let combined = math::hypot(math::hypot(u_wrench.si(), u_mark.si()), given.repeatability.si());
    let combined = Torque::from_si(combined);
    answer.u_deviation.put(u_wrench);
    answer.u_resolution.put_some(given.increment.map(|_| u_mark));
    answer.u_combined.put(combined);
    answer.uncertainty.put(combined * 2.0);
    answer.relative.put(Percent::from_si(2.0 * combined.si() / torque.si()));
    if *given.electronic && increment.si() > 0.25 * deviation.si() * torque.si() * (1.0 + 1e-9) {
        answer.warn("The display step is more than a quarter of the permitted deviation at this torque (ISO 6789-1); take a finer wrench.");
    }
    let calibrated = calibration(given, answer);
    let ratio = given
        .tolerance
        .filter(|_| combined.si() > 0.0)
        .map(|tolerance| tolerance.si() / (2.0 * combined.si()));
    answer.ratio.put_some(ratio.map(Number::from_si));
    let ratio = ratio.map(|ratio| ratio - answer.ratio.expanded().si());
    if ratio.is_some_and(|ratio| ratio < LEAST_RATIO - 1e-9) {
        answer.warn("The tolerance is less than four times the uncertainty; use a better wrench or narrow the setting by the uncertainty.");
    }
    let verdict = match Suits::judge(in_range, calibrated, ratio) {
        // A finer mark than any that was told would earn it.
        Suits::Yes | Suits::GuardBand if !given.increment.given() => Suits::NoRatio,
        verdict => verdict,
    };
    answer.verdict.put(verdict);
    if verdict == Suits::NoRatio {
        answer.warn("Not judged: whether it is fine enough (give tolerance and increment).");
    }
    if verdict == Suits::NotJudged {
        let open = [
            (in_range.is_none(), "the range (give capacity)"),
            (calibrated.is_none(), "the calibration (give months)"),
        ];
        let open: Vec<&str> = open.into_iter().filter(|(open, _)| *open).map(|(_, word)| word).collect();
        answer.warn(format!("Not judged: {}.", open.join(", ")));
    }
    Ok(())
}

/// Whether the torque is within the usable range of the wrench.
fn reach(given: &WrenchChoice, answer: &mut WrenchFit, capacity: Torque) -> Result<bool> {
    let torque = *given.torque;
    let usual = capacity * 0.2;
    let lowest = given.lowest_mark.filter(|mark| *mark > usual).unwrap_or(usual);
    (lowest > capacity).refuse("the lowest mark is above the capacity", "check lowest_mark and capacity")?;
    answer.percent_capacity.put(Percent::from_si(torque.si() / capacity.si()));
    let room = 1e-9 * capacity.si();
    let inside = torque.si() >= lowest.si() - room && torque.si() <= capacity.si() + room;
    answer.in_range.put(inside);
    if !inside {
        answer.warn("The torque is outside the usable range of this wrench; take another wrench.");
    }
    Ok(inside)
}

/// Whether the calibration is current: a no by either limit, a yes by months and
/// cycles both, whichever comes first; months alone serve where a shop counts no uses.
fn calibration(given: &WrenchChoice, answer: &mut WrenchFit) -> Option<bool> {
    let (months, cycles) = (*given.months, *given.cycles);
    let (interval, uses) = (given.interval.si(), given.interval_cycles.si());
    let old = months.is_some_and(|m| m.si() > interval) || cycles.is_some_and(|c| c.si() > uses);
    if !old {
        months?;
    }
    let current = !old;
    answer.calibration_current.put(current);
    if current && cycles.is_none() {
        answer.note(format!("The uses since the calibration are not told: it holds for {uses} cycles, if those come before {interval} months."));
    }
    if !current {
        answer.warn(format!(
            "The calibration interval of {interval} months or {uses} cycles has run out; calibrate the wrench first."
        ));
    }
    Some(current)
}
