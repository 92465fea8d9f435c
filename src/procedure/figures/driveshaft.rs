//! A driveshaft: length, slip, critical speed, residual angle.

use super::inputs::{Inputs, to};
use super::{JobFigures, Owner, work};
use crate::figure::geometry::critical_speed::{CriticalSpeed, CriticalSpeedAnswer};
use crate::figure::geometry::joint_chain::{JointChain, JointChainAnswer};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{Axle, Driveshaft};
use crate::procedure::catalogue::{Called, component};
use crate::quantity::show::{FINE_ANGLE, LENGTH};
use crate::quantity::{Angle, Dimensioned, Length, RotationSpeed, Style, unit};
use crate::source::Source;

const ENDS: Source = Source::derived("longest less shortest joint distance", "the two lengths entered");
const SPLINE: Source = Source::practice("at least one spline diameter engaged at full droop");

pub(super) fn compute(job: &JobFile, shaft: &Driveshaft, sheet: &mut JobFigures) {
    let owner = Owner::Component(shaft.id.0.clone());
    let key = |field: &str| format!("driveshaft.{field} ({})", shaft.id.value);
    let axle = shaft.axle.as_ref().map(|a| Owner::Component(a.0.clone()));
    sheet.enter(&owner, component::shaft_length_before, shaft.length.as_ref());
    let computed = axle.as_ref().and_then(|a| sheet.get(a, component::shaft_length)).cloned();
    match (&shaft.length_after, computed) {
        (Some(_), _) => sheet.enter(&owner, component::shaft_length, shaft.length_after.as_ref()),
        (None, Some(length)) => {
            let source = Source::derived("joint distance with the pinion set", "the figures of the axle");
            // One length, with the same digits on either page.
            sheet.derive_as(
                &owner,
                component::shaft_length,
                &length,
                "as computed for the axle it drives",
                source,
            );
        }
        (None, None) => {}
    }
    sheet.enter(&owner, component::shaft_compressed, shaft.compressed.as_ref());
    sheet.enter(&owner, component::shaft_extended, shaft.extended.as_ref());
    sheet.enter(&owner, component::phase_limit, shaft.phase.as_ref());
    sheet.enter(&owner, component::runout_limit, shaft.runout.as_ref());
    sheet.enter(&owner, component::joint_rating, shaft.joint_rating.as_ref());
    if let (Some(short), Some(long)) = (&shaft.compressed, &shaft.extended) {
        let stroke: Length = long.value.value - short.value.value;
        sheet.derive_up(&owner, component::slip_stroke, stroke, "extended - compressed", ENDS);
    }
    if let Some(spline) = &shaft.spline {
        sheet.derive_up(&owner, component::slip_engagement, spline, "one spline diameter", SPLINE);
    }
    // A shaft whose axle moves, or that is made to a length, runs at another one than it was
    // found with: as long as nobody says which, none stands in for it.
    let as_found = !job.remakes(shaft) && !moves(job, shaft);
    let longest = shaft.length_after.as_ref().or(shaft.length.as_ref().filter(|_| as_found));
    let mut inputs = Inputs::<CriticalSpeed>::new();
    inputs.with(CriticalSpeed::od, key("od"), shaft.od.as_ref()).with(
        CriticalSpeed::wall,
        key("wall"),
        shaft.wall.as_ref(),
    );
    match sheet.reading(&owner, component::shaft_length) {
        Some(length) => inputs.with(CriticalSpeed::length, key("length"), Some(length)),
        None => {
            let named = if as_found { "length" } else { "length_after" };
            inputs.with(CriticalSpeed::length, key(named), longest)
        }
    };
    inputs.with(CriticalSpeed::speed, key("speed"), shaft.speed.as_ref());
    sheet.run(&owner, &inputs, &[to(CriticalSpeedAnswer::safe_speed, component::highest_speed)]);
    joints(shaft, &owner, axle.as_ref(), sheet);
    let made_to = axle.as_ref().filter(|_| job.remakes(shaft)).and_then(|axle| grows(axle, sheet));
    slip(shaft, job.remakes(shaft).then_some(made_to), &owner, &key, sheet);
    rating(shaft, &owner, axle.as_ref(), sheet);
}

/// Whether the job moves the axle a shaft drives.
fn moves(job: &JobFile, shaft: &Driveshaft) -> bool {
    let axle = shaft.axle.as_ref().and_then(|named| job.axle.iter().find(|a| a.id.value == named.value));
    axle.is_some_and(|axle| !work::untouched(job, axle))
}

fn joints(shaft: &Driveshaft, owner: &Owner, axle: Option<&Owner>, sheet: &mut JobFigures) {
    let value = |entered: &Option<Located<Reading<Angle>>>, name: Called<Angle>| match entered {
        Some(entered) => Some(entered.value),
        None => axle.and_then(|a| sheet.reading(a, name)),
    };
    let pinion = value(&shaft.joint_axle, component::joint_pinion_after);
    let case = value(&shaft.joint_case, component::joint_case_after);
    let (Some(pinion), Some(case)) = (pinion, case) else { return };
    let source = Source::derived("joint angles of the shaft", "the figures of the axle or the job file");
    sheet.derive(owner, component::joint_pinion_after, pinion, "at the axle", source);
    sheet.derive(owner, component::joint_case_after, case, "at the case", source);
    let mut inputs = Inputs::<JointChain>::new();
    inputs.with(JointChain::angles, "", Some(vec![case, pinion])).with(
        JointChain::speed,
        format!("driveshaft.speed ({})", shaft.id.value),
        shaft.speed.as_ref(),
    );
    sheet.run(owner, &inputs, &[to(JointChainAnswer::equivalent, component::joint_residual)]);
    for_speed(shaft, owner, [case, pinion].map(|a| a.value), sheet);
}

/// Joints of this angle and less run at any speed a road asks for, in degrees (the speed
/// table of the joint chain).
const ANY_SPEED: f64 = 3.0;

/// A joint above the angle its speed allows is settled and signed before anything is cut.
fn for_speed(shaft: &Driveshaft, owner: &Owner, joints: [Angle; 2], sheet: &mut JobFigures) {
    let Some(speed) = &shaft.speed else { return };
    let limit = sheet.output::<JointChain, _>(owner, JointChainAnswer::table_limit);
    let limit = limit.and_then(|figure| Some(figure.value.quantity()?.to(unit::DEG))).unwrap_or(ANY_SPEED);
    let most = limit.max(ANY_SPEED);
    let steep: Vec<String> = ["at the case", "at the axle"]
        .into_iter()
        .zip(joints)
        .filter(|(_, angle)| angle.to(unit::DEG).abs() > most + 1e-9)
        .map(|(at, angle)| format!("{} {at}", degrees_words(angle.to(unit::DEG).abs())))
        .collect();
    if steep.is_empty() {
        return;
    }
    sheet.concern(
        &shaft.id.value,
        "joint-speed",
        format!(
            "Joint angle for its speed. {}; at {} a joint runs at {} and less. Settle before anything is cut: another pinion angle, a slower shaft, or a joint whose maker allows it. Write which.",
            steep.join(" and "),
            Style::of(RotationSpeed::KIND).both(speed.value.value.into()),
            degrees_words(most)
        ),
    );
}

/// A change of length this small is within what two tape readings differ by, in metres.
const SAME_LENGTH: f64 = 0.0015;
/// A joint angle grown by less than this has not changed, in degrees.
const SAME_ANGLE: f64 = 1.0;
const FROM_FOUND: Source = Source::derived(
    "what the shaft is longer by leaves the spline, what it is shorter by fills the slip",
    "sums of lengths",
);

const AT_RIDE: Source = Source::derived(
    "a shaft made to its length has its slip at its ride place: the travel alone moves the spline",
    "sums of lengths",
);

/// Whether a shaft gets longer by more than two tape readings differ by.
pub(super) fn longer(sheet: &JobFigures, owner: &Owner) -> bool {
    sheet.quantity(owner, component::shaft_change).is_some_and(|change| change.si() > SAME_LENGTH)
}

/// Share a shaft's length differs by between a tape and the places of its joints, at most
/// (common practice: four lengths to 1/8 in each).
const TAPED: f64 = 0.015;

/// A shaft is as long as its two joints are apart.
fn measured(shaft: &Driveshaft, owner: &Owner, found: Option<Length>, sheet: &mut JobFigures) {
    let Some(axle) = shaft.axle.as_ref().map(|a| Owner::Component(a.0.clone())) else { return };
    let Some((found, apart)) = found.zip(sheet.quantity(&axle, component::shaft_length_before)) else {
        return;
    };
    if (apart.si() / found.si() - 1.0).abs() <= TAPED || shaft.sure.is_some() {
        return;
    }
    sheet.doubt(
        owner,
        format!(
            "the shaft was measured {} long, and its joints stand {} apart by the pinion of {}",
            sheet.said(LENGTH, found),
            sheet.said(LENGTH, apart),
            axle.words()
        ),
        "length of the shaft, reach and angle of the pinion, case_forward and case_up of one unit as found; if it is right all the same, write beside it: sure = \"why it is right\"",
    );
}

/// What a change of length and the travel do to the spline, judged against one
/// spline diameter at droop and any room at all at bump. A shaft that is made to its length
/// keeps its slip at its ride place; another one is drawn out or pushed in by the change. `remade`
/// says that it is made to a length, and what it grows by as far as its axle tells.
fn slip(
    shaft: &Driveshaft,
    remade: Option<Option<Length>>,
    owner: &Owner,
    key: &dyn Fn(&str) -> String,
    sheet: &mut JobFigures,
) {
    let found = plain(&shaft.length);
    let ride = sheet.quantity(owner, component::shaft_length);
    if let Some(change) = ride.zip(found).map(|(ride, found)| ride - found) {
        sheet.derive(
            owner,
            component::shaft_change,
            change,
            "shaft_length - shaft_length_before",
            FROM_FOUND,
        );
    }
    measured(shaft, owner, found, sheet);
    let after = plain(&shaft.length_after).or(found.zip(remade.flatten()).map(|(found, more)| found + more));
    let slip = match remade {
        Some(_) => Slip { from: after, key: "length_after", said: "length afterwards", source: AT_RIDE },
        None => Slip { from: found, key: "length", said: "length as found", source: FROM_FOUND },
    };
    slip.at_droop(shaft, owner, key, sheet);
    slip.at_bump(shaft, owner, key, sheet);
}

/// What the joints of the shaft of an axle stand further apart afterwards.
fn grows(axle: &Owner, sheet: &JobFigures) -> Option<Length> {
    let after = sheet.quantity(axle, component::shaft_length)?;
    Some(after - sheet.quantity(axle, component::shaft_length_before)?)
}

fn plain(stated: &Option<Located<Reading<Length>>>) -> Option<Length> {
    stated.as_ref().map(|l| l.value.value)
}

/// What is still to be stated; what is stated is not asked again.
fn open(keys: &[(&'static str, bool)], key: &dyn Fn(&str) -> String) -> Vec<String> {
    keys.iter().filter(|(_, stated)| !stated).map(|(name, _)| key(name)).collect()
}

/// The length at which the slip stands as it was found at ride.
struct Slip {
    from: Option<Length>,
    /// Key of the driveshaft that says it.
    key: &'static str,
    said: &'static str,
    source: Source,
}

impl Slip {
    fn at_droop(
        &self,
        shaft: &Driveshaft,
        owner: &Owner,
        key: &dyn Fn(&str) -> String,
        sheet: &mut JobFigures,
    ) {
        let (Some(engaged), Some((longest, from))) =
            (plain(&shaft.engagement), plain(&shaft.extended).zip(self.from))
        else {
            let stated = [
                ("engagement", shaft.engagement.is_some()),
                ("extended", shaft.extended.is_some()),
                (self.key, self.from.is_some()),
            ];
            let needs = open(&stated, key);
            let why = format!("the spline at droop still needs {}", needs.join(", "));
            sheet.miss(owner, &[component::engagement_droop.name()], needs, why);
            return;
        };
        let left = engaged - (longest - from);
        let formula = format!("engagement as found - (extended - {})", self.said);
        sheet.derive_down(owner, component::engagement_droop, left, &formula, self.source);
        if left.si() <= 0.0 && shaft.sure.is_none() {
            sheet.stop_at(
                owner,
                "engagement",
                format!(
                    "the slip comes apart at full droop, {} short of its spline",
                    sheet.said(LENGTH.up(), Length::from_si(-left.si()))
                ),
                "engagement, length and extended of one shaft, the one that is to run; or sure = with the reason",
            );
        } else if let Some(least) = plain(&shaft.spline)
            && left < least
        {
            sheet.concern(
                &shaft.id.value,
                "spline",
                format!(
                    "Spline engagement. {} is left at full droop, at least {} is wanted (one spline diameter). Lengthen the shaft or limit the droop before the unit moves; write which.",
                    sheet.said(LENGTH.down(), left),
                    sheet.said(LENGTH.up(), least)
                ),
            );
        }
    }

    fn at_bump(
        &self,
        shaft: &Driveshaft,
        owner: &Owner,
        key: &dyn Fn(&str) -> String,
        sheet: &mut JobFigures,
    ) {
        let (Some(room), Some((shortest, from))) =
            (plain(&shaft.bump_room), plain(&shaft.compressed).zip(self.from))
        else {
            let stated = [
                ("bump_room", shaft.bump_room.is_some()),
                ("compressed", shaft.compressed.is_some()),
                (self.key, self.from.is_some()),
            ];
            let needs = open(&stated, key);
            let why = format!("the room at bump still needs {}", needs.join(", "));
            sheet.miss(owner, &[component::bump_room_after.name()], needs, why);
            return;
        };
        let left = room + (shortest - from);
        let formula = format!("bump_room as found + (compressed - {})", self.said);
        sheet.derive_down(owner, component::bump_room_after, left, &formula, self.source);
        if left.si() <= 0.0 {
            sheet.concern(
                &shaft.id.value,
                "bump-room",
                format!(
                    "Room in the slip. The shaft is {} short of room at full bump: it would push the case and the pinion apart. Shorten the shaft or raise the bump stop before the unit moves; write which.",
                    sheet.said(LENGTH.up(), Length::from_si(-left.si()))
                ),
            );
        }
    }
}

/// Joint angles against what the maker allows; a joint that got steeper with
/// no rating known is held until there is one.
fn rating(shaft: &Driveshaft, owner: &Owner, axle: Option<&Owner>, sheet: &mut JobFigures) {
    let degrees = |sheet: &JobFigures, owner: &Owner, name: Called<Angle>| {
        sheet.quantity(owner, name).map(|a| a.to(unit::DEG).abs())
    };
    let mut passed = Vec::new();
    for (what, after, before) in [
        ("at the axle", component::joint_pinion_after, component::joint_pinion_before),
        ("at the case", component::joint_case_after, component::joint_case_before),
    ] {
        let Some(angle) = degrees(sheet, owner, after) else { continue };
        match &shaft.joint_rating {
            Some(rating) if angle > rating.value.value.to(unit::DEG) => passed.push(format!(
                "{} {what}, the maker allows {}",
                degrees_words(angle),
                degrees_words(rating.value.value.to(unit::DEG))
            )),
            Some(_) => {}
            None => {
                let before = axle.and_then(|a| degrees(sheet, a, before));
                if before.is_some_and(|before| angle > before + SAME_ANGLE) {
                    passed.push(format!(
                        "{} {what}, more than it was, and no rating is stated",
                        degrees_words(angle)
                    ));
                }
            }
        }
    }
    if !passed.is_empty() {
        sheet.concern(
            &shaft.id.value,
            "joint-rating",
            format!(
                "Joint angle. {}. Settle the joint before anything is cut: one rated for the angle, or another pinion angle. Write its maker's number and rating.",
                passed.join("; ")
            ),
        );
    }
}

fn degrees_words(degrees: f64) -> String {
    FINE_ANGLE.shop(Angle::of(degrees, unit::DEG).into())
}

/// Whether the job works on a driveshaft of this axle.
pub(super) fn in_work(job: &JobFile, axle: &Axle) -> bool {
    let own = |shaft: &&Driveshaft| shaft.axle.as_ref().is_some_and(|a| a.value == axle.id.value);
    let worked =
        |shaft: &Driveshaft| job.work.iter().any(|w| w.on.iter().any(|on| on.value == shaft.id.value));
    job.driveshaft.iter().filter(own).any(worked)
}

/// A driven axle whose shaft changes, in a job that works on no shaft of it.
pub(super) fn of_axle(job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    if !axle.driven {
        return;
    }
    let owner = Owner::Component(axle.id.0.clone());
    let worked = in_work(job, axle);
    let lengths = (
        sheet.quantity(&owner, component::shaft_length_before),
        sheet.quantity(&owner, component::shaft_length),
    );
    let (Some(before), Some(after)) = lengths else { return };
    let change = after - before;
    sheet.derive(&owner, component::shaft_change, change, "shaft_length - shaft_length_before", FROM_FOUND);
    let angle = |name: Called<Angle>| sheet.quantity(&owner, name).map(|a| a.to(unit::DEG).abs());
    let steeper = [
        (component::joint_pinion_before, component::joint_pinion_after),
        (component::joint_case_before, component::joint_case_after),
    ]
    .into_iter()
    .any(|(before, after)| {
        angle(before).zip(angle(after)).is_some_and(|(before, after)| after > before + SAME_ANGLE)
    });
    if worked || change.si().abs() < SAME_LENGTH && !steeper {
        return;
    }
    let angles: Vec<String> =
        [("pinion", component::joint_pinion_after), ("case", component::joint_case_after)]
            .into_iter()
            .filter_map(|(at, name)| Some(format!("{} at the {at}", degrees_words(angle(name)?))))
            .collect();
    let words = if change.si() < 0.0 { "shorter" } else { "longer" };
    sheet.concern(
        &axle.id.value,
        "driveshaft",
        format!(
            "Driveshaft. The shaft of {} gets {} {words} at ride, joints {}; the job works on no driveshaft. Settle now: one spline diameter engaged at full droop, room at full bump, joint angles inside their rating; or the driveshaft is added to the job.",
            axle.name.as_deref().unwrap_or(&axle.id.value),
            sheet.said(LENGTH, Length::from_si(change.si().abs())),
            if angles.is_empty() { "not known".to_owned() } else { angles.join(" and ") }
        ),
    );
}
