//! The sheets a job's figures carry.

use super::drawn::{Drawn, draw, file_name};
use crate::app::load::Loaded;
use crate::app::reckon::{self, Reply, Unanswered};
use crate::diagnostic::{Diagnostic, Report};
use crate::figure::geometry::plate_layout::{AngleGauge, DrillPattern};
use crate::figure::geometry::wrap_strip::WrapStrip;
use crate::figure::{Ask, Asks, Figure, Given, geometry};
use crate::job::model::{Axle, Fastener, OwnSheet, Pattern};
use crate::pattern::{self, Kind};
use crate::plan as planned;
use crate::procedure::catalogue::{component, fastener, side};
use crate::procedure::figures::Owner;
use crate::quantity::{Angle, Dimensioned, Length, Number, unit};
use crate::record::sha256;
use crate::reference::thread;
use crate::shape::{Sheet as Shapes, svg};
use crate::term::{FullSize, Side};

/// The job whose sheets are drawn.
#[derive(Debug, Clone)]
pub struct Of<'a> {
    /// The job with its figures.
    pub loaded: &'a Loaded,
    /// Digest of its plan.
    pub digest: String,
    /// Whether it may be issued; a draft says so on every sheet.
    pub ready: bool,
    /// What else is said of where it stands, as a sentence; empty for nothing.
    pub read: String,
}

/// Sheets, and what is not drawn and why.
#[derive(Debug, Clone, Default)]
pub struct Sheets {
    /// In the order of the job: axles, plates of U-bolts, sheets the job orders itself.
    pub drawn: Vec<Drawn>,
    /// What is not drawn, with what it still needs.
    pub missing: Vec<String>,
}

/// The sheets of a job as its plan lists them.
///
/// # Errors
/// If a sheet the job orders can't be drawn, with its place in the file.
pub fn listed(plan: &Of<'_>) -> Result<Vec<planned::Sheet>, Report> {
    let sheets = sheets(plan).map_err(|problem| Report { problems: vec![problem] })?;
    Ok(sheets.drawn.into_iter().filter_map(|d| d.of).collect())
}

/// Every sheet a job's figures carry.
///
/// # Errors
/// If the inputs of a sheet don't fit.
pub fn sheets(plan: &Of<'_>) -> Result<Sheets, Diagnostic> {
    let mut found = Found { plan, sheets: Sheets::default() };
    for axle in &plan.loaded.job.axle {
        found.axle(axle)?;
    }
    for fastener in plan.loaded.job.fastener.iter().filter(|f| f.pattern == Pattern::UBolt) {
        found.plate(fastener)?;
    }
    for sheet in &plan.loaded.job.sheet {
        found.own(sheet)?;
    }
    let mut sheets = found.sheets;
    if sheets.drawn.is_empty() && sheets.missing.is_empty() {
        sheets.missing.push("nothing in this job has a shape to draw; at the bench, `tackwright template` lists what can be drawn from inputs".to_owned());
    }
    Ok(sheets)
}

struct Found<'a> {
    plan: &'a Of<'a>,
    sheets: Sheets,
}

impl Found<'_> {
    fn axle(&mut self, axle: &Axle) -> Result<(), Diagnostic> {
        let id = axle.id.0.clone();
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
            // Where the traveler asks for the wall: top, front, bottom, rear.
            let ask = Ask::<WrapStrip>::new()
                .some(WrapStrip::od, Some(od.value.value))
                .with(WrapStrip::side, end)
                .some(WrapStrip::rotation, Some(rotation))
                .with(WrapStrip::readings, Number::from_si(walls.map_or(4.0, f64::from)))
                .with(
                    WrapStrip::cut_line,
                    figures
                        .quantity(&component, component::groove_offset)
                        .unwrap_or(Length::of(20.0, unit::MM)),
                );
            self.add(&ask, (FullSize::WrapStrip, &id), &[&owner.words()], &owner.words())?;
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
            self.add(
                &ask,
                (FullSize::AngleGauge, &id),
                &[&owner.words(), word],
                &format!("{}, {word}", owner.words()),
            )?;
        }
        self.pad(axle)
    }

    /// The spring pad's outline and the hole for the centre pin.
    fn pad(&mut self, axle: &Axle) -> Result<(), Diagnostic> {
        let Some(pad) = &axle.pad else { return Ok(()) };
        let id = axle.id.0.clone();
        let width = axle.spring.as_ref().and_then(|s| s.width.as_ref());
        let (Some(length), Some(width)) = (&pad.length, width) else {
            let needs = [(pad.length.is_none(), "axle.pad.length"), (width.is_none(), "axle.spring.width")];
            let needs: Vec<&str> =
                needs.into_iter().filter(|(absent, _)| *absent).map(|(_, key)| key).collect();
            self.miss(&id, "spring pad", &needs.join(" and "));
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
        self.add(&ask, (FullSize::SpringPad, &id), &[&id], &format!("{id}, spring pad"))?;
        if let Some(drawn) = self.sheets.drawn.get_mut(before) {
            drawn.sheet.notes.insert(0, "The centre hole is drawn as a 5 mm pilot: drill it to the head of the centre pin. On the other side of the unit FRONT stays front.".to_owned());
        }
        Ok(())
    }

    /// The plate under the nuts of two U-bolts.
    fn plate(&mut self, fastener: &Fastener) -> Result<(), Diagnostic> {
        let id = fastener.id.0.clone();
        let on = fastener.on.0.clone();
        let axle = self.plan.loaded.job.axle.iter().find(|a| a.id.0 == on);
        let spring = axle.and_then(|a| a.spring.as_ref()).and_then(|s| s.width.as_ref());
        let rod = fastener.thread.as_ref().and_then(|t| thread::find(&t.0));
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
        self.add(&ask, (FullSize::UBoltPlate, &on), &[&id], &format!("{id}, U-bolt plate"))?;
        if let Some(drawn) = self.sheets.drawn.get_mut(before) {
            drawn.sheet.notes.insert(0, "Clearance holes for the thread, edges 1.5 diameters from their centres (common practice); legs close to the spring and to the tube. The maker's plate comes first; compare before drilling.".to_owned());
        }
        Ok(())
    }

    /// A sheet the job orders, from its own inputs.
    fn own(&mut self, sheet: &OwnSheet) -> Result<(), Diagnostic> {
        let (id, kind) = (&sheet.id.0, sheet.kind.value);
        let at = |problem: Diagnostic| problem.at(Some(sheet.kind.span.clone())).key(sheet.kind.key.clone());
        let Some(drawn) = pattern::KINDS.iter().find(|k| k.family.name == kind.word()) else {
            let names: Vec<&str> = pattern::KINDS.iter().map(|k| k.family.name).collect();
            return Err(at(Diagnostic::error(
                "J217",
                format!("a {kind} follows from the figures of its axle and is drawn without being ordered"),
            )
            .expected(names.join(", "))
            .example("kind = \"cope\"")));
        };
        let texts: Vec<String> = sheet.inputs.iter().map(|i| i.0.clone()).collect();
        let wrong = |why: Unanswered| {
            let problem = why.report().problems.into_iter().next();
            let said = problem.as_ref().map_or_else(String::new, |p| p.message.clone());
            let problem = at(Diagnostic::error("J217", format!("sheet \"{id}\", {kind}: {said}")))
                .expected(problem.map_or_else(String::new, |p| p.expected));
            problem.help(format!("as at the bench: tackwright template {kind} {}", drawn.family.example))
        };
        match reckon::ask(kind.word(), &texts) {
            Ok(Reply::Figures(_, given, figures)) => {
                let words = format!("{}, {id}", sheet.on.value);
                self.sheet((drawn, &given, &figures), (kind, &sheet.on.0), &[id], &words)
            }
            Ok(_) => Err(wrong(Unanswered::Refused(Report {
                problems: vec![Diagnostic::error("J217", "it has no inputs")],
            }))),
            Err(why) => Err(wrong(why)),
        }
    }

    fn miss(&mut self, of: &str, what: &str, needs: &str) {
        self.sheets.missing.push(format!("{of}: no {what}; it still needs {needs}"));
    }

    /// Draws a sheet of this kind for a component, named by the words and the kind.
    fn add<F: Asks>(
        &mut self,
        ask: &Ask<F>,
        (what, on): (FullSize, &str),
        name: &[&str],
        of: &str,
    ) -> Result<(), Diagnostic> {
        let family = F::FAMILY;
        let Some(kind) = pattern::of(family) else { return Ok(()) };
        let figures = match ask.figures() {
            Ok(figures) => figures,
            Err(why) => {
                self.sheets.missing.push(format!("{of}: {why}"));
                return Ok(());
            }
        };
        self.sheet((kind, ask.given(), &figures), (what, on), name, of)
    }

    /// Names a drawn sheet and puts it with the others.
    fn sheet(
        &mut self,
        (kind, given, figures): (&'static Kind, &Given, &[Figure]),
        (what, on): (FullSize, &str),
        name: &[&str],
        of: &str,
    ) -> Result<(), Diagnostic> {
        let mut drawn = draw(kind, kind.family, given, figures, self.plan.loaded.job.job.units)?;
        drawn.sheet.notes.extend(reckon::idle(given, figures));
        let head = &self.plan.loaded.job.job;
        let number = head.number.value.to_string();
        let name = file_name(&[name, &[what.word()]].concat());
        drawn.sheet.name = file_name(&[&number, &head.revision, &name]);
        drawn.sheet.title = format!("{}: {of}", drawn.sheet.title);
        let draft = if self.plan.ready { "" } else { " DRAFT: the job is not ready to be issued." };
        let digest: String = self.plan.digest.chars().take(9).collect();
        let sheet = planned::Sheet {
            name,
            title: drawn.sheet.title.clone(),
            kind: what,
            on: on.to_owned(),
            digest: digest_of(&drawn.sheet),
        };
        drawn.sheet.origin = format!(
            "Of traveler {number}, revision {}, plan {digest}. Sheet {}.{}{draft}",
            head.revision,
            sheet.mark(),
            self.plan.read
        );
        drawn.sheet.notes.insert(0, format!(
            "Enter what the 100 mm bars measure: tackwright bars {number} {} --across … --along … --by ID.",
            sheet.mark()
        ));
        drawn.data["of"] = number.into();
        drawn.data["digest"] = sheet.digest.clone().into();
        drawn.of = Some(sheet);
        drawn.author =
            self.plan.loaded.job.shop.as_ref().map_or_else(String::new, |s| s.name.value.to_string());
        drawn.paper = head.paper;
        drawn.dated = head.date.0.and_time(chrono::NaiveTime::MIN).and_utc();
        self.sheets.drawn.push(drawn);
        Ok(())
    }
}

/// SHA-256 of the shapes and the words among them: the same print serves as long
/// as they are the same.
fn digest_of(sheet: &Shapes) -> String {
    let bare = Shapes { title: sheet.title.clone(), shapes: sheet.shapes.clone(), ..Shapes::default() };
    sha256(svg::write(&bare).as_bytes())
}
