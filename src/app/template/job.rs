//! The sheets a job's figures carry.

use super::{Drawn, draw, file_name};
use crate::app::plan::Plan;
use crate::diagnostic::Diagnostic;
use crate::figure::geometry::plate_layout::{AngleGauge, DrillPattern};
use crate::figure::geometry::wrap_strip::WrapStrip;
use crate::figure::{Ask, Asks, geometry};
use crate::job::model::{Axle, Fastener, Pattern};
use crate::pattern;
use crate::procedure::catalogue::{component, fastener, side};
use crate::procedure::figures::Owner;
use crate::quantity::{Angle, Dimensioned, Length, Number, unit};
use crate::reference::thread;
use crate::term::Side;

/// Sheets, and what is not drawn and why.
#[derive(Debug, Clone, Default)]
pub struct Sheets {
    /// The sheets.
    pub drawn: Vec<Drawn>,
    /// What is not drawn, with what it still needs.
    pub missing: Vec<String>,
}

/// Every sheet a job's figures carry.
///
/// # Errors
/// If the inputs of a sheet don't fit.
pub fn sheets(plan: &Plan<'_>) -> Result<Sheets, Diagnostic> {
    let mut found = Found { plan, sheets: Sheets::default() };
    for axle in &plan.loaded.job.axle {
        found.axle(axle)?;
    }
    for fastener in plan.loaded.job.fastener.iter().filter(|f| f.pattern == Pattern::UBolt) {
        found.plate(fastener)?;
    }
    let mut sheets = found.sheets;
    if sheets.drawn.is_empty() && sheets.missing.is_empty() {
        sheets.missing.push("nothing in this job has a shape to draw; at the bench, `tackwright template` lists what can be drawn from inputs".to_owned());
    }
    Ok(sheets)
}

struct Found<'a> {
    plan: &'a Plan<'a>,
    sheets: Sheets,
}

impl Found<'_> {
    fn axle(&mut self, axle: &Axle) -> Result<(), Diagnostic> {
        let id = axle.id.value.0.clone();
        let figures = &self.plan.loaded.figures;
        let component = Owner::Component(id.clone());
        for side in [Side::Left, Side::Right] {
            let owner = Owner::Side(id.clone(), side);
            let Some(rotation) = figures.quantity(&owner, side::knuckle_rotation) else {
                if axle.cut.is_some() {
                    self.miss(&owner.words(), "wrap strip", "the rotation of the knuckle");
                }
                continue;
            };
            let Some(od) = axle.tube.as_ref().and_then(|t| t.od.as_ref()) else {
                self.miss(&owner.words(), "wrap strip", "axle.tube.od, measured");
                continue;
            };
            let cut = axle.cut.as_ref();
            let walls =
                cut.map(|c| if side == Side::Left { c.walls_left.len() } else { c.walls_right.len() });
            let walls = walls.filter(|n| *n > 0).and_then(|n| u32::try_from(n).ok());
            let end = if side == Side::Left { geometry::Side::Left } else { geometry::Side::Right };
            let ask = Ask::<WrapStrip>::new()
                .some(WrapStrip::od, Some(od.value.value))
                .with(WrapStrip::side, end)
                .some(WrapStrip::rotation, Some(rotation))
                .with(WrapStrip::readings, Number::from_si(walls.map_or(8.0, f64::from)))
                .with(
                    WrapStrip::cut_line,
                    figures
                        .quantity(&component, component::groove_offset)
                        .unwrap_or(Length::of(20.0, unit::MM)),
                );
            self.add(&ask, &[&owner.words(), "wrap-strip"], &owner.words())?;
        }
        let angles = [(component::pinion_target, "pinion"), (component::caster_target, "caster")];
        for (name, word) in angles {
            let owner = component.clone();
            let Some(angle) = figures.quantity(&owner, name) else { continue };
            let size = Angle::from_si(angle.si().abs());
            if size < Angle::of(1.0, unit::DEG) {
                continue;
            }
            let ask = Ask::<AngleGauge>::new()
                .with(AngleGauge::angle, size)
                .with(AngleGauge::leg, Length::of(150.0, unit::MM));
            self.add(&ask, &[&owner.words(), word, "angle-gauge"], &format!("{}, {word}", owner.words()))?;
        }
        self.pad(axle)
    }

    /// The spring pad's outline and the hole for the centre pin.
    fn pad(&mut self, axle: &Axle) -> Result<(), Diagnostic> {
        let Some(pad) = &axle.pad else { return Ok(()) };
        let id = axle.id.value.0.clone();
        let width = axle.spring.as_ref().and_then(|s| s.width.as_ref());
        let (Some(length), Some(width)) = (&pad.length, width) else {
            self.miss(&id, "spring pad", "axle.pad.length and axle.spring.width");
            return Ok(());
        };
        let forward = pad.hole_offset.as_ref().map_or(Length::from_si(0.0), |h| h.value.value);
        let ask = Ask::<DrillPattern>::new()
            .with(DrillPattern::length, length.value.value)
            .with(DrillPattern::width, width.value.value)
            // The job does not state the pin's hole: a pilot for it.
            .some(DrillPattern::centre_hole, Some(Length::of(5.0, unit::MM)))
            .with(DrillPattern::centre_forward, forward);
        let before = self.sheets.drawn.len();
        self.add(&ask, &[&id, "spring-pad"], &format!("{id}, spring pad"))?;
        if let Some(drawn) = self.sheets.drawn.get_mut(before) {
            drawn.sheet.notes.insert(0, "The centre hole is drawn as a 5 mm pilot: drill it to the head of the centre pin. On the other side of the unit FRONT stays front.".to_owned());
        }
        Ok(())
    }

    /// The plate under the nuts of two U-bolts.
    fn plate(&mut self, fastener: &Fastener) -> Result<(), Diagnostic> {
        let id = fastener.id.value.0.clone();
        let on = fastener.on.value.0.clone();
        let axle = self.plan.loaded.job.axle.iter().find(|a| a.id.value.0 == on);
        let spring = axle.and_then(|a| a.spring.as_ref()).and_then(|s| s.width.as_ref());
        let rod = fastener.thread.as_ref().and_then(|t| thread::find(&t.value.0));
        // Where the table has no clearance hole, 1.5 mm over the rod.
        let rod = rod.map(|t| (t.major, t.clearance_hole().unwrap_or(t.major + Length::of(1.5, unit::MM))));
        let owner = Owner::Fastener(id.clone());
        let inside = self.plan.loaded.figures.quantity(&owner, fastener::inside_width);
        let inside = inside.or_else(|| fastener.inside_width.as_ref().map(|w| w.value.value));
        let (Some(spring), Some((rod, hole)), Some(inside)) = (spring, rod, inside) else {
            let needs = [
                (spring.is_none(), "axle.spring.width"),
                (rod.is_none(), "thread of the U-bolts"),
                (inside.is_none(), "inside_width of the U-bolts"),
            ];
            let needs: Vec<&str> =
                needs.into_iter().filter(|(absent, _)| *absent).map(|(_, key)| key).collect();
            self.miss(&id, "U-bolt plate", &needs.join(", "));
            return Ok(());
        };
        let (along, across) = (inside + rod, spring.value.value + rod);
        let ask = Ask::<DrillPattern>::new()
            .with(DrillPattern::length, along + hole * 3.0)
            .with(DrillPattern::width, across + hole * 3.0)
            .some(DrillPattern::along, Some(along))
            .some(DrillPattern::across, Some(across))
            .some(DrillPattern::hole, Some(hole));
        let before = self.sheets.drawn.len();
        self.add(&ask, &[&id, "u-bolt-plate"], &format!("{id}, U-bolt plate"))?;
        if let Some(drawn) = self.sheets.drawn.get_mut(before) {
            drawn.sheet.notes.insert(0, "Clearance holes for the thread, edges 1.5 diameters from their centres (common practice); legs close to the spring and to the tube. The maker's plate comes first; compare before drilling.".to_owned());
        }
        Ok(())
    }

    fn miss(&mut self, of: &str, what: &str, needs: &str) {
        self.sheets.missing.push(format!("{of}: no {what}; it still needs {needs}"));
    }

    fn add<F: Asks>(&mut self, ask: &Ask<F>, name: &[&str], of: &str) -> Result<(), Diagnostic> {
        let family = F::FAMILY;
        let Some(kind) = pattern::of(family) else { return Ok(()) };
        let figures = match ask.figures() {
            Ok(figures) => figures,
            Err(why) => {
                self.sheets.missing.push(format!("{of}: {why}"));
                return Ok(());
            }
        };
        let mut drawn = draw(kind, family, ask.given(), &figures)?;
        let head = &self.plan.loaded.job.job;
        let number = head.number.value.to_string();
        let mut parts = vec![number.as_str(), &head.revision];
        parts.extend(name);
        drawn.sheet.name = file_name(&parts);
        drawn.sheet.title = format!("{}: {of}", drawn.sheet.title);
        let draft = if self.plan.ready().is_ok() { "" } else { " DRAFT: the job is not ready to be issued." };
        let digest: String = self.plan.digest().chars().take(9).collect();
        drawn.sheet.origin =
            format!("Of traveler {number}, revision {}, plan {digest}.{draft}", head.revision);
        drawn.data["of"] = number.into();
        drawn.author = self.plan.loaded.job.shop.as_ref().map_or_else(String::new, |s| s.name.to_string());
        drawn.dated = head.date.value.0.and_time(chrono::NaiveTime::MIN).and_utc();
        self.sheets.drawn.push(drawn);
        Ok(())
    }
}
