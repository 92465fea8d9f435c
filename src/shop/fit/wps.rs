//! A procedure against a joint: every essential variable, each mismatch named.

use chrono::NaiveDate;

use super::{Finding, Need, shown};
use crate::quantity::{Current, Dimensioned, Speed, Voltage, unit};
use crate::reference::metal::squeezed;
use crate::shop::Band;
use crate::shop::model::{Support, WeldKind, Wps};
use crate::shop::position;
use crate::shop::process::{self, SHORT_CIRCUIT};
use crate::shop::qualify::tolerance::{self, RECALLED, SEEN};
use crate::source::Source;
use crate::term::Units;

const SINGLE_PASS: Source =
    Source::standard("AWS D1.1:2015", "table 3.6, prequalified single-pass fillets (2020: table 5.1)")
        .from_memory();

/// Ranges a welder may set: those the procedure states, or those the code
/// allows about its qualified values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ranges {
    /// Welding current.
    pub amps: Option<Band<Current>>,
    /// Arc voltage.
    pub volts: Option<Band<Voltage>>,
    /// Speed the wire is fed at.
    pub wire_feed: Option<Band<Speed>>,
    /// Speed of the arc along the seam.
    pub travel: Option<Band<Speed>>,
}

/// The ranges of a procedure.
#[must_use]
pub fn ranges(wps: &Wps) -> Ranges {
    let name = &*wps.process.0;
    let q = wps.qualified.as_ref();
    Ranges {
        amps: wps
            .amps
            .as_ref()
            .map(|b| b.value)
            .or_else(|| tolerance::current(name, q?.amps.as_ref()?.value.value)),
        volts: wps
            .volts
            .as_ref()
            .map(|b| b.value)
            .or_else(|| tolerance::voltage(name, q?.volts.as_ref()?.value.value)),
        wire_feed: wps
            .wire_feed
            .as_ref()
            .map(|b| b.value)
            .or_else(|| tolerance::wire_feed(name, q?.wire_feed.as_ref()?.value.value)),
        travel: wps
            .travel
            .as_ref()
            .map(|b| b.value)
            .or_else(|| tolerance::travel(name, q?.travel.as_ref()?.value.value)),
    }
}

struct Check<'a> {
    wps: &'a Wps,
    found: Vec<Finding>,
    /// Units that stand first.
    units: Units,
}

impl Check<'_> {
    fn no(&mut self, text: String) {
        let finding = Finding::no(text);
        // Two parts of one steel, or of one thickness, are one reason.
        if !self.found.contains(&finding) {
            self.found.push(finding);
        }
    }

    fn within<T: Dimensioned>(
        &mut self,
        what: &str,
        value: Option<T>,
        band: Option<Band<T>>,
        by: Option<Source>,
    ) {
        let Some(band) = band else { return };
        match value {
            Some(value) if !band.contains(value) => {
                let mut finding = Finding::no(format!(
                    "{what} {} is outside {}'s {}",
                    shown(self.units, value),
                    self.wps.id.value,
                    band.told(self.units)
                ));
                finding.source = by;
                // A setting is turned to the end it went past; a part is what it is. Which
                // setting was meant nobody knows: it is told, and not written.
                let nearest = match (band.low, band.high) {
                    (Some(low), _) if value.si() < low.si() => Some(low),
                    (_, high) => high,
                };
                if let (Some(key), Some(nearest)) = (setting(what), nearest) {
                    finding = finding.near(key, alone(self.units, nearest));
                }
                self.found.push(finding);
            }
            Some(_) => {}
            None => self.found.push(Finding::remark(format!(
                "{what} is not stated in the joint; {} allows {}",
                self.wps.id.value,
                band.told(self.units)
            ))),
        }
    }

    /// A word that must be on a list, compared as designations are.
    fn listed<'b>(
        &mut self,
        what: &'static str,
        word: Option<&str>,
        list: impl Iterator<Item = &'b str> + Clone,
    ) {
        if list.clone().next().is_none() {
            return;
        }
        let names = list.clone().collect::<Vec<_>>().join(", ");
        match word {
            Some(word) if !list.clone().any(|w| squeezed(w) == squeezed(word)) => {
                let mut finding =
                    Finding::no(format!("{what} {word} is not {}'s {names}", self.wps.id.value));
                // How the parts meet is drawn, not chosen.
                // Of several the one that was meant is not known, nor is which of two it is.
                let mut all = list.clone();
                if let Some(first) = all.next().filter(|_| matches!(what, "filler" | "gas")) {
                    finding = match all.next() {
                        None => finding.write(what, first),
                        Some(_) => {
                            let near = crate::diagnostic::nearest(word, list.clone()).unwrap_or(first);
                            finding.near(what, near)
                        }
                    };
                }
                self.found.push(finding);
            }
            Some(_) => {}
            None => {
                let said = format!("{what} is not stated in the joint; {} is for {names}", self.wps.id.value);
                let mut all = list.clone();
                // What a weld is made with decides its strength and its hydrogen.
                self.found.push(match (what, all.next(), all.next()) {
                    ("filler", Some(only), None) => Finding::no(said).write(what, only),
                    ("filler", ..) => Finding::no(said),
                    _ => Finding::remark(said),
                });
            }
        }
    }
}

/// What speaks against welding the joint with this procedure on a day.
#[must_use]
pub fn check(wps: &Wps, need: &Need, on: NaiveDate) -> Vec<Finding> {
    let mut check = Check { wps, found: Vec::new(), units: need.units };
    dates(&mut check, on);
    process(&mut check, need);
    metal(&mut check, need);
    joint(&mut check, need);
    settings(&mut check, need);
    heat(&mut check, need);
    size(&mut check, need);
    check.found
}

fn dates(check: &mut Check<'_>, on: NaiveDate) {
    let wps = check.wps;
    if let Some(date) = &wps.date
        && date.0 > on
    {
        check.no(format!("{} is released only from {}", wps.id.value, date.value));
    }
    if let Some(until) = &wps.until
        && until.0 < on
    {
        check.no(format!("{} ran out on {}", wps.id.value, until.value));
    }
    if wps.support.value == Support::Prequalified && wps.short_circuit() {
        check.found.push(
            Finding::no("short-circuit transfer is never prequalified; it needs a PQR").by(SHORT_CIRCUIT),
        );
    }
}

fn process(check: &mut Check<'_>, need: &Need) {
    let wps = check.wps;
    let own = process::counted(&wps.process.value);
    match need.process.as_deref() {
        Some(name) if process::counted(name) != own => {
            check.found.push(
                Finding::no(format!("process {name} is not {}'s {}", wps.id.value, &*wps.process.value))
                    .write("process", &*wps.process.value),
            );
        }
        Some(name) if process::named_short_circuit(name) && !wps.short_circuit() => {
            check.found.push(
                Finding::no(format!("{} is not written for short-circuit transfer", wps.id.value))
                    .by(SHORT_CIRCUIT),
            );
        }
        Some(_) => {}
        // What is not stated fits nothing: nobody says yes to it.
        None => {
            let none = Finding::no("the joint states no process");
            check.found.push(none.write("process", &*wps.process.value));
        }
    }
    check.listed("filler", need.filler.as_deref(), wps.fillers.iter().map(|f| &*f.0));
    check.listed("gas", need.gas.as_deref(), wps.gas.iter().map(|g| &*g.0));
    let diameters = &wps.wire;
    if let (Some(wire), Some(first)) = (need.wire, diameters.first())
        && !diameters.iter().any(|d| one_wire(d.value.value, wire))
    {
        let list: Vec<_> = diameters.iter().map(|d| gauge(check.units, d.value.value)).collect();
        let finding = Finding::no(format!(
            "wire {} is not {}'s {}",
            gauge(check.units, wire),
            wps.id.value,
            list.join(", ")
        ));
        let size = sized(check.units, first.value.value);
        check.found.push(match diameters.len() {
            1 => finding.write("wire", size),
            _ => finding.near("wire", size),
        });
    }
}

/// Key of a joint that a welder sets on the machine or by hand.
fn setting(what: &str) -> Option<&'static str> {
    ["amps", "volts", "travel", "wire_feed"].into_iter().find(|key| key.replace('_', " ") == what)
}

/// A value alone, in the units of a job.
fn alone<T: Dimensioned>(units: Units, value: T) -> String {
    let style = super::ordered(units, crate::quantity::Style::of(T::KIND));
    match units {
        Units::Inch => style.shop(value.into()),
        Units::Metric => style.si(value.into()),
    }
}

fn sized(units: Units, wire: crate::quantity::Length) -> String {
    match units {
        Units::Inch => crate::quantity::show::GAUGE.shop(wire.into()),
        // As it is sold: 0.9 mm, not 0.89 mm.
        Units::Metric => {
            let sold = (wire.to(unit::MM) * 10.0).round() / 10.0;
            if one_wire(crate::quantity::Length::of(sold, unit::MM), wire) {
                format!("{sold} mm")
            } else {
                crate::quantity::show::GAUGE.si(wire.into())
            }
        }
    }
}

/// Wire is sold by one size under two names: 0.035 in is 0.9 mm, 0.045 in is 1.2 mm
/// (AWS A5.18 and ISO 544 list both; from memory). The widest pair, 0.045 in and 1.2 mm,
/// is 0.057 mm apart, sizes next to each other at least a tenth of a millimetre.
const ONE_WIRE: f64 = 0.06e-3;

fn one_wire(a: crate::quantity::Length, b: crate::quantity::Length) -> bool {
    (a.si() - b.si()).abs() < ONE_WIRE
}

fn gauge(units: Units, wire: crate::quantity::Length) -> String {
    super::ordered(units, crate::quantity::show::GAUGE).both(wire.into())
}

fn metal(check: &mut Check<'_>, need: &Need) {
    let wps = check.wps;
    if !wps.base.is_empty() {
        let allowed: Vec<String> = wps.base.iter().map(|b| squeezed(&b.value)).collect();
        for (steel, words) in &need.steels {
            let fits = std::iter::once(steel).chain(words).any(|w| allowed.contains(&squeezed(w)));
            if !fits {
                let list: Vec<_> = wps.base.iter().map(|b| b.0.as_str()).collect();
                check.no(format!("base metal {steel} is not among {}'s {}", wps.id.value, list.join(", ")));
            }
        }
        if need.steels.is_empty() {
            check.found.push(Finding::no("the joint names no base metal"));
        }
    }
    if need.parts.is_empty() {
        check.found.push(Finding::no("the joint states no thickness"));
    }
    let mut parts = need.parts.clone();
    parts.dedup_by(|a, b| (a.si() - b.si()).abs() < 1e-9);
    for part in parts {
        check.within("thickness", Some(part), Some(wps.thickness.value), None);
    }
    match (need.diameter, &wps.diameter) {
        (Some(_), Some(band)) => check.within("diameter", need.diameter, Some(band.value), None),
        (Some(od), None) => {
            check.no(format!(
                "{} says nothing about tube; the joint runs round {}",
                wps.id.value,
                shown(check.units, od)
            ));
        }
        (None, _) => {}
    }
}

fn joint(check: &mut Check<'_>, need: &Need) {
    let wps = check.wps;
    if !wps.weld.is_empty() && !wps.weld.contains(&need.kind) {
        let list: Vec<_> = wps.weld.iter().map(|k| k.word()).collect();
        check.no(format!("a {} weld is not {}'s {}", need.kind, wps.id.value, list.join(", ")));
    }
    let form = (!need.joint.is_empty()).then_some(need.joint.as_str());
    check.listed("joint", form, wps.joints.iter().map(|j| &*j.0));
    for word in &need.unknown_positions {
        check
            .found
            .push(Finding::no(format!("position \"{word}\" is no designation: nothing is compared with it")));
    }
    let allowed: Vec<_> = wps.positions.iter().flat_map(|p| position::parse(&p.value).0).collect();
    if allowed.is_empty() {
        return;
    }
    let places: Vec<_> = allowed.iter().flat_map(|p| p.needs(wps.progression)).collect();
    for position in &need.positions {
        let fits =
            allowed.contains(position) || position.needs(wps.progression).iter().all(|p| places.contains(p));
        if !fits {
            let list: Vec<_> = allowed.iter().map(|p| p.title()).collect();
            let finding = Finding::no(format!(
                "position {} is not {}'s {}",
                position.title(),
                wps.id.value,
                list.join(", ")
            ));
            check.found.push(match wps.positions.as_slice() {
                [only] => finding.write("position", only.value.to_string()),
                [first, ..] => finding.near("position", first.value.to_string()),
                [] => finding,
            });
        }
    }
    if need.positions.is_empty() && need.unknown_positions.is_empty() {
        check.found.push(Finding::no("the joint states no position"));
    }
}

fn settings(check: &mut Check<'_>, need: &Need) {
    let ranges = ranges(check.wps);
    let wps = check.wps;
    let derived = |stated: bool, source| (!stated).then_some(source);
    check.within("amps", need.amps, ranges.amps, derived(wps.amps.is_some(), SEEN));
    check.within("volts", need.volts, ranges.volts, derived(wps.volts.is_some(), SEEN));
    check.within("wire feed", need.wire_feed, ranges.wire_feed, derived(wps.wire_feed.is_some(), RECALLED));
    check.within("travel", need.travel, ranges.travel, derived(wps.travel.is_some(), RECALLED));
}

fn heat(check: &mut Check<'_>, need: &Need) {
    let wps = check.wps;
    let minimum = wps.preheat_min(need.thickest());
    if wps.preheat.is_empty() {
        check.no(format!("{} states no least preheat", wps.id.value));
    } else if minimum.is_none() {
        check.no(format!("{} states no preheat for this thickness", wps.id.value));
    }
    if let (Some(stated), Some(minimum)) = (need.preheat_stated, minimum)
        && stated.si() < minimum.si() - 1e-6
    {
        let text = format!(
            "preheat {} is below {}'s {}",
            shown(check.units, stated),
            wps.id.value,
            shown(check.units, minimum)
        );
        check.found.push(Finding::no(text).write("preheat", degrees(check.units, minimum, true)));
    }
    // The welder heats to the larger of what the joint and the procedure say.
    let works_at = [need.preheat_stated, minimum]
        .into_iter()
        .flatten()
        .reduce(|a, b| if a.si() > b.si() { a } else { b });
    if let (Some(needed), Some(works_at)) = (need.preheat_needed, works_at)
        && works_at.si() < needed.si() - 1e-6
    {
        let text = format!(
            "the joint needs {} of preheat; {} asks for {}",
            shown(check.units, needed),
            wps.id.value,
            shown(check.units, works_at)
        );
        check.found.push(Finding::no(text).write("preheat", degrees(check.units, needed, true)));
    }
    let limit = wps.interpass_max.value.value;
    match need.interpass_max {
        Some(interpass) if interpass.si() > limit.si() + 1e-6 => {
            let text = format!(
                "interpass {} is above {}'s {}",
                shown(check.units, interpass),
                wps.id.value,
                shown(check.units, limit)
            );
            check.found.push(Finding::no(text).write("interpass_max", degrees(check.units, limit, false)));
        }
        _ => {}
    }
    if let Some(needed) = need.preheat_needed
        && needed.si() >= limit.si()
    {
        check.no(format!(
            "preheat {} is not below {}'s interpass limit {}",
            shown(check.units, needed),
            wps.id.value,
            shown(check.units, limit)
        ));
    }
    if need.heat_input.is_some() {
        check.within("arc energy, the heat input without k,", need.heat_input, wps.arc_energy(), None);
    }
    if let (Some(heat), Some(window)) = (need.heat_effective, need.heat_window)
        && !window.contains(heat)
    {
        check.no(format!(
            "heat input {} is outside the window {} that the cooling limits leave",
            shown(check.units, heat),
            window.told(check.units)
        ));
    }
}

/// A temperature as a job file takes it.
fn degrees(units: Units, value: crate::quantity::Temperature, least: bool) -> String {
    // A least is rounded up, a most down; what came through another unit is no fraction.
    let whole = |degrees: f64| if least { (degrees - 1e-6).ceil() } else { (degrees + 1e-6).floor() };
    match units {
        Units::Inch => format!("{:.0} degF", whole(value.to(unit::DEGF))),
        Units::Metric => format!("{:.0} degC", whole(value.to(unit::DEGC))),
    }
}

fn size(check: &mut Check<'_>, need: &Need) {
    let wps = check.wps;
    let (WeldKind::Fillet, Some(leg)) = (need.kind, need.leg) else { return };
    let over = |max: crate::quantity::Length| leg.si() > max.si() * (1.0 + 1e-9);
    let (limit, source) = match &wps.single_pass {
        Some(stated) => (Some(stated.value.value), None),
        None => (need.single_pass_max, Some(SINGLE_PASS)),
    };
    let mut reach = |text: String, source: Option<Source>| {
        let mut finding = if wps.multipass { Finding::remark(text) } else { Finding::no(text) };
        finding.source = source;
        check.found.push(finding);
    };
    let tail = if wps.multipass { "lay it in more passes" } else { "the procedure allows one pass only" };
    if let Some(limit) = limit.filter(|l| over(*l)) {
        reach(
            format!(
                "a leg of {} is over {} for one pass: {tail}",
                shown(check.units, leg),
                shown(check.units, limit)
            ),
            source,
        );
    } else if let Some(bead) = need.bead_leg.filter(|b| over(*b)) {
        let passes = need.passes.map_or_else(String::new, |n| format!(", {:.0} passes", n.si()));
        reach(
            format!(
                "one pass at these settings lays {}; a leg of {}{passes}: {tail}",
                shown(check.units, bead),
                shown(check.units, leg)
            ),
            None,
        );
    }
}
