//! Values that stand once in the job, with nothing else stated to prove them: a slip
//! that leaves them usual is told by nobody but who reads them against their source.
//!
//! Left out is what something else bounds: what is read on the unit before the work and
//! takes the place of the stated value, what a welding procedure bounds, what a table, the
//! drawing of another part or a second value of the job fixes, and what no figure, limit
//! or hold of this plan rests on.

use super::model::{Operation, Repeat};
use crate::diagnostic::Span;
use crate::file::{Located, Reading, Text};
use crate::job::JobFile;
use crate::job::model::{Axle, Driveshaft, Fastener, Joint, Pinion, Spring, Target, Units, Weldment};
use crate::procedure::figures::{JobFigures, Owner};
use crate::quantity::{Dimensioned, Quantity, Style};
use crate::term::Side;

/// Longest list of what rests on a value; what comes first counts most.
const MOST: usize = 3;

/// A value as it was understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stated {
    /// Key path in the job file: `axle[0].spring.seat_new`.
    pub key: String,
    /// In words, the job's units first.
    pub words: String,
    /// Where it stands; of a value without a place of its own, its table's id.
    pub span: Span,
}

impl Stated {
    /// The end of the key, as its table names it: `spring.seat_new`.
    #[must_use]
    pub fn name(&self) -> &str {
        self.key.split_once('.').map_or(&*self.key, |(_, name)| name)
    }
}

/// Values that decide the same things, and stand once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Once {
    /// Whose they are, those with the same values together: `front`, `fastener B1, B2`.
    pub whose: String,
    /// The values; never empty.
    pub values: Vec<Stated>,
    /// What rests on them.
    pub rests: String,
    /// The source the job states for them.
    pub source: Option<String>,
}

/// What of a job stands once, as the plan's operations are.
#[must_use]
pub fn once(job: &JobFile, figures: &JobFigures, operations: &[Operation]) -> Vec<Once> {
    let list = List { units: job.job.units, figures, operations };
    let mut rows = Vec::new();
    rows.extend(list.unit(job));
    for axle in &job.axle {
        rows.extend(list.axle(axle));
    }
    for shaft in &job.driveshaft {
        rows.extend(list.shaft(shaft));
    }
    rows.extend(job.weldment.iter().filter_map(|w| list.weldment(w)));
    let mut alike = Vec::new();
    for joint in &job.joint {
        alike.extend(list.joint(joint).into_iter().map(|row| ("joint", row)));
    }
    for group in &job.fastener {
        alike.extend(list.fastener(group).map(|row| ("fastener", row)));
    }
    rows.extend(together(alike));
    rows
}

/// Rows of several joints or groups with the same values are one.
fn together(rows: Vec<(&'static str, Once)>) -> Vec<Once> {
    let words = |row: &Once| -> Vec<(String, String)> {
        row.values.iter().map(|v| (v.name().to_owned(), v.words.clone())).collect()
    };
    let mut merged: Vec<(&'static str, Once)> = Vec::new();
    for (kind, row) in rows {
        let same = merged.iter_mut().find(|(of, other)| {
            *of == kind
                && other.rests == row.rests
                && other.source == row.source
                && words(other).get(..row.values.len()) == Some(&words(&row)[..])
        });
        match same {
            Some((_, other)) => {
                other.whose = format!("{}, {}", other.whose, row.whose);
                other.values.extend(row.values);
            }
            None => merged.push((kind, row)),
        }
    }
    let named = |(kind, row): (&str, Once)| Once { whose: format!("{kind} {}", row.whose), ..row };
    merged.into_iter().map(named).collect()
}

struct List<'a> {
    units: Units,
    figures: &'a JobFigures,
    operations: &'a [Operation],
}

impl List<'_> {
    fn said<T: Dimensioned>(&self, value: Option<&Located<Reading<T>>>) -> Option<Stated> {
        let value = value?;
        let read: Quantity = value.value.value.into();
        // As it was written: a wrong digit must be seen.
        let style = self.units.first(Style::of(read.kind()).fine_enough(read));
        let words = if Style::of(read.kind()).is_pair() { style.both(read) } else { style.shop(read) };
        Some(Stated { key: value.key.clone(), words, span: value.span.clone() })
    }

    /// As [`Self::said`], unless it is read on the component before the work.
    fn unread<T: Dimensioned>(
        &self,
        on: &str,
        side: Option<Side>,
        place: &str,
        value: Option<&Located<Reading<T>>>,
    ) -> Option<Stated> {
        let of_side = |of: &Repeat| match (side, of) {
            (Some(side), Repeat::Side(_, read)) => side == *read,
            _ => true,
        };
        let read = self.operations.iter().filter(|o| o.on.iter().any(|c| c.unit || c.id == on)).any(|o| {
            let readings = o.steps.iter().flat_map(|step| &step.readings);
            readings.into_iter().any(|r| r.replaces.as_deref() == Some(place) && of_side(&r.of))
        });
        if read { None } else { self.said(value) }
    }

    /// Those of the named figures that are known, as they are called on paper.
    fn known(&self, owner: &Owner, names: &[&str]) -> Vec<&'static str> {
        let titles = names.iter().filter_map(|n| self.figures.named(owner, n));
        // Which sign is plus stands with the figure itself.
        let titles = titles.map(|f| f.title.split_once(", ").map_or(f.title, |(what, _)| what));
        let mut seen = std::collections::BTreeSet::new();
        titles.filter(|title| seen.insert(*title)).take(MOST).collect()
    }

    /// A row, where values are stated and a figure of this plan rests on them.
    fn row<const N: usize>(
        &self,
        owner: &Owner,
        values: [Option<Stated>; N],
        figures: &[&str],
    ) -> Option<Once> {
        let rests = self.known(owner, figures);
        let values: Vec<Stated> = values.into_iter().flatten().collect();
        (!rests.is_empty() && !values.is_empty()).then(|| Once {
            whose: owner.words(),
            values,
            rests: rests.join(", "),
            source: None,
        })
    }

    fn unit(&self, job: &JobFile) -> Vec<Once> {
        let unit = &job.unit;
        let axles: Vec<Owner> = job.axle.iter().map(|a| Owner::Component(a.id.0.clone())).collect();
        let resting = |names: &[&str]| {
            let mut titles: Vec<&str> = axles.iter().flat_map(|o| self.known(o, names)).collect();
            let mut seen = std::collections::BTreeSet::new();
            titles.retain(|t| seen.insert(*t));
            titles.truncate(MOST);
            titles.join(", ")
        };
        let on = job.axle.first().map_or("", |a| &*a.id.0);
        let rows = [
            (
                vec![
                    self.said(unit.mass.as_ref()),
                    self.said(unit.cg_to_rear.as_ref()),
                    self.said(unit.sprung_share.as_ref()),
                    self.said(unit.braking.as_ref()),
                    self.said(unit.cornering.as_ref()),
                ],
                resting(&["wind_up_after"]),
            ),
            (
                vec![self.said(unit.cg_height.as_ref()), self.said(unit.track.as_ref())],
                resting(&["stability_after", "wind_up_after"]),
            ),
            (
                vec![
                    self.said(unit.other_axle_lift.as_ref()),
                    self.unread(on, None, "unit.wheelbase", unit.wheelbase.as_ref()),
                ],
                resting(&["ride_pitch", "output_slope_after", "wheelbase_left"]),
            ),
        ];
        rows.into_iter()
            .filter_map(|(values, rests)| {
                let values: Vec<Stated> = values.into_iter().flatten().collect();
                let stands = !values.is_empty() && !rests.is_empty();
                stands.then(|| Once { whose: "unit".to_owned(), values, rests, source: None })
            })
            .collect()
    }

    fn axle(&self, axle: &Axle) -> Vec<Once> {
        let owner = Owner::Component(axle.id.0.to_string());
        let mut rows: Vec<Option<Once>> = Vec::new();
        if let Some(tube) = &axle.tube {
            rows.push(self.row(&owner, [self.said(tube.pad_spread.as_ref())], &["pad_spread"]));
        }
        if let Some(spring) = &axle.spring {
            rows.extend(self.spring(axle, spring, &owner));
        }
        if let Some(pinion) = &axle.pinion {
            rows.extend(self.pinion(axle, pinion, &owner));
        }
        rows.extend(Side::BOTH.map(|side| self.knuckle(axle, side)));
        if let Some(target) = &axle.target {
            rows.extend(self.target(target, &owner));
        }
        rows.extend([self.drag_link(axle, &owner), self.shock(axle, &owner), self.tyre(axle, &owner)]);
        rows.into_iter().flatten().collect()
    }

    /// Stack, leaves, run along the frame, shift, travel.
    fn spring(&self, axle: &Axle, s: &Spring, owner: &Owner) -> [Option<Once>; 5] {
        let on = &*axle.id.0;
        let stack = [
            self.unread(on, None, "spring.pack", s.pack.as_ref()),
            self.unread(on, None, "spring.seat_old", s.seat_old.as_ref()),
            self.said(s.seat_new.as_ref()),
            self.said(s.arch_change.as_ref()),
        ];
        let pack = [
            counted(s.leaves.as_ref()),
            self.said(s.leaf.as_ref()),
            counted(s.leaves_new.as_ref()),
            self.said(s.leaf_new.as_ref()),
            self.said(s.width.as_ref()),
            self.said(s.load.as_ref()),
        ];
        let run = [
            self.said(s.front_half.as_ref()),
            self.said(s.rear_half.as_ref()),
            self.said(s.chord.as_ref()),
            self.unread(on, None, "spring.shackle_old", s.shackle_old.as_ref()),
            self.said(s.shackle_new.as_ref()),
            self.said(s.shackle_lean.as_ref()),
        ];
        let shift = [
            self.said(s.hanger_shift.as_ref()),
            self.said(axle.pad.as_ref().and_then(|p| p.hole_offset.as_ref())),
        ];
        let travel = [self.said(s.bump.as_ref()), self.said(s.droop.as_ref())];
        let travelled = ["hose_extra", "shock_change", "engagement_droop", "bump_room_after", "bump_gap"];
        [
            self.row(owner, stack, &["lift", "pinion_target", "drag_link_after"]),
            self.row(owner, pack, &["spring_rate_after", "spring_rate_before"]),
            self.row(owner, run, &["shackle_target", "seat_tilt"]),
            self.row(owner, shift, &["axle_shift", "wheelbase_left"]),
            self.row(owner, travel, &travelled),
        ]
    }

    /// Angles, and where the ends of the shaft are.
    fn pinion(&self, axle: &Axle, p: &Pinion, owner: &Owner) -> [Option<Once>; 2] {
        let on = &*axle.id.0;
        let angles = [
            self.unread(on, None, "pinion.angle", p.angle.as_ref()),
            self.unread(on, None, "pinion.output_slope", p.output_slope.as_ref()),
            self.said(p.allowance.as_ref()),
            self.said(p.wanted.as_ref()),
        ];
        let ends = [
            self.said(p.offset.as_ref()),
            self.said(p.reach.as_ref()),
            self.said(p.case_forward.as_ref()),
            self.said(p.case_up.as_ref()),
            self.said(p.sideways.as_ref()),
        ];
        [
            self.row(owner, angles, &["pinion_target", "housing_turn", "joint_pinion_after"]),
            self.row(owner, ends, &["pinion_target", "joint_case_after", "shaft_change"]),
        ]
    }

    fn knuckle(&self, axle: &Axle, side: Side) -> Option<Once> {
        let on = &*axle.id.0;
        let both = axle.knuckle.as_ref()?;
        let k = match side {
            Side::Left => both.left.as_ref(),
            Side::Right => both.right.as_ref(),
        }?;
        let angles = [
            self.unread(on, Some(side), "knuckle.caster", k.caster.as_ref()),
            self.unread(on, Some(side), "knuckle.inclination", k.inclination.as_ref()),
            self.unread(on, Some(side), "knuckle.camber", k.camber.as_ref()),
        ];
        self.row(&Owner::Side(on.to_owned(), side), angles, &["knuckle_rotation", "caster_low"])
    }

    /// What is wanted of an axle, the finder it is read with, its link.
    fn target(&self, t: &Target, owner: &Owner) -> [Option<Once>; 3] {
        let wanted = [
            self.said(t.caster.as_ref()),
            self.said(t.caster_tolerance.as_ref()),
            self.said(t.caster_spread.as_ref()),
            self.said(t.toe.as_ref()),
            self.said(t.pinion_tolerance.as_ref()),
        ];
        let finder = [self.said(t.finder_limit.as_ref()), self.said(t.finder_repeatability.as_ref())];
        let link = [self.said(t.link_slope.as_ref()), self.said(t.bump_steer.as_ref())];
        [
            self.row(owner, wanted, &["caster_target", "toe_target", "pinion_tolerance"]),
            self.row(owner, finder, &["rotation_uncertainty", "finder_verdict"]),
            self.row(owner, link, &["link_slope_limit", "bump_steer_limit"]),
        ]
    }

    fn drag_link(&self, axle: &Axle, owner: &Owner) -> Option<Once> {
        let link = axle.drag_link.as_ref()?;
        let places =
            [self.said(link.along.as_ref()), self.said(link.rise.as_ref()), self.said(link.arm.as_ref())];
        self.row(owner, places, &["drag_link_after", "bump_steer_after", "drag_link_before"])
    }

    fn shock(&self, axle: &Axle, owner: &Owner) -> Option<Once> {
        let shock = axle.shock.as_ref()?;
        let places = [
            self.said(shock.offset.as_ref()),
            self.said(shock.height.as_ref()),
            self.unread(&axle.id.0, None, "shock.bump_gap", shock.bump_gap.as_ref()),
        ];
        self.row(owner, places, &["shock_change", "bump_gap"])
    }

    fn tyre(&self, axle: &Axle, owner: &Owner) -> Option<Once> {
        let tyre = axle.tyre.as_ref()?;
        let wheel = [
            self.said(tyre.radius.as_ref()),
            self.said(tyre.radius_after.as_ref()),
            self.said(tyre.seam_offset.as_ref()),
            self.said(tyre.grip.as_ref()),
        ];
        self.row(owner, wheel, &["wind_up_after", "stability_after", "toe_linear"])
    }

    fn shaft(&self, shaft: &Driveshaft) -> Vec<Once> {
        let owner = Owner::Component(shaft.id.0.clone());
        let limits = [
            self.said(shaft.joint_rating.as_ref()),
            self.said(shaft.speed.as_ref()),
            self.said(shaft.phase.as_ref()),
            self.said(shaft.runout.as_ref()),
        ];
        let sizes = [
            self.said(shaft.od.as_ref()),
            self.said(shaft.wall.as_ref()),
            self.said(shaft.length.as_ref()),
            self.said(shaft.length_after.as_ref()),
        ];
        let slip = [
            self.said(shaft.compressed.as_ref()),
            self.said(shaft.extended.as_ref()),
            self.said(shaft.spline.as_ref()),
            self.said(shaft.engagement.as_ref()),
            self.said(shaft.bump_room.as_ref()),
        ];
        let angles = [self.said(shaft.joint_axle.as_ref()), self.said(shaft.joint_case.as_ref())];
        [
            self.row(&owner, limits, &["joint_rating", "highest_speed", "phase_limit", "runout_limit"]),
            self.row(&owner, sizes, &["highest_speed", "shaft_change"]),
            self.row(&owner, slip, &["slip_stroke", "slip_engagement", "engagement_droop"]),
            self.row(&owner, angles, &["joint_residual"]),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    fn weldment(&self, weldment: &Weldment) -> Option<Once> {
        let owner = Owner::Component(weldment.id.0.clone());
        let sizes = [
            self.said(weldment.length.as_ref()),
            self.said(weldment.width.as_ref()),
            self.said(weldment.height.as_ref()),
            self.said(weldment.tolerance.as_ref()),
            self.said(weldment.squareness.as_ref()),
        ];
        let wanted = ["length_wanted", "size_tolerance", "squareness_limit"];
        let row = self.row(&owner, sizes, &wanted)?;
        Some(Once { source: weldment.drawing.as_ref().and_then(source), ..row })
    }

    /// A joint's welds, the temperatures it asks itself, and the settings nothing bounds.
    fn joint(&self, joint: &Joint) -> Vec<Once> {
        let owner = Owner::Joint(joint.id.0.clone());
        let row = |values: Vec<Option<Stated>>, rests: &str, source: Option<String>| {
            let values: Vec<Stated> = values.into_iter().flatten().collect();
            let whose = joint.id.to_string();
            (!values.is_empty()).then(|| Once { whose, values, rests: rests.to_owned(), source })
        };
        // One all round a tube is one; more are the job's own word.
        let counted = joint.count != 1 || joint.around.is_none();
        let count = counted.then(|| self.number(&joint.id, "count", joint.count));
        let welds = vec![count, self.said(joint.length.as_ref()), self.said(joint.pitch.as_ref())];
        let wps = joint.wps.as_ref().and_then(|w| source(&w.value));
        // What a procedure, code or maker asks beyond it, rules; then it decides nothing.
        let rules = |name: &str, own: Option<Quantity>| {
            let printed = self.figures.named(&owner, name).and_then(|f| f.value.quantity());
            own.zip(printed).is_some_and(|(own, printed)| (own.si() - printed.si()).abs() < 1e-6)
        };
        // A preheat is listed whoever governs: with a slip in it another may govern.
        let preheat = joint.preheat.as_ref();
        let interpass =
            joint.interpass_max.as_ref().filter(|p| rules("interpass_max", Some(p.value.value.into())));
        let heat = vec![self.said(preheat), self.said(interpass)];
        let bare = wps.is_none();
        let settings = vec![
            self.said(joint.volts.as_ref().filter(|_| bare)),
            self.said(joint.amps.as_ref().filter(|_| bare)),
            self.said(joint.travel.as_ref().filter(|_| bare)),
            self.said(joint.wire.as_ref().filter(|_| bare)),
            self.said(joint.wire_feed.as_ref().filter(|_| bare)),
            self.said(joint.tack_spacing.as_ref()),
        ];
        let welded = if self.figures.named(&owner, "utilisation").is_some() {
            "welds that are made, utilisation of the weld"
        } else {
            "welds that are made"
        };
        let set = if bare { "settings on the card, heat input, tacks" } else { "tacks" };
        [
            row(welds, welded, None),
            row(heat, "preheat and interpass temperature on the card", wps.clone()),
            row(settings, set, wps),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    /// The maker's torque, else what a table takes the torque from; and how many there are.
    fn fastener(&self, group: &Fastener) -> Option<Once> {
        let owner = Owner::Fastener(group.id.0.clone());
        let own = group.torque.is_some();
        let word = |value: Option<&Located<Text>>| {
            value.filter(|v| !own && !v.value.is_blank()).map(|v| Stated {
                key: v.key.clone(),
                words: v.value.to_string(),
                span: v.span.clone(),
            })
        };
        let values = [
            self.said(group.torque.as_ref()),
            word(group.thread.as_ref()),
            word(group.grade.as_ref()),
            word(group.finish.as_ref()),
            self.said(group.proof.as_ref().filter(|_| !own)),
            self.said(group.nut_factor.as_ref().filter(|_| !own)),
            self.said(group.preload.as_ref().filter(|_| !own)),
            group.count.map(|count| self.number(&group.id, "count", count)),
        ];
        let from = if own { group.torque_from.as_ref() } else { group.values_from.as_ref() };
        let row = self.row(&owner, values, &["torque", "stage_3"])?;
        Some(Once { whose: group.id.to_string(), source: from.and_then(source), ..row })
    }

    fn number(&self, id: &Located<crate::file::Id>, name: &str, value: u32) -> Stated {
        let table = id.key.trim_end_matches(".id");
        Stated { key: format!("{table}.{name}"), words: value.to_string(), span: id.span.clone() }
    }
}

fn source(text: &Text) -> Option<String> {
    (!text.is_blank()).then(|| text.to_string())
}

/// A count the job states.
fn counted(count: Option<&Located<u32>>) -> Option<Stated> {
    let count = count?;
    Some(Stated { key: count.key.clone(), words: count.value.to_string(), span: count.span.clone() })
}
