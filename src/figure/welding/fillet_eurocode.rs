//! What a straight fillet carries by EN 1993-1-8, by its simplified and its directional
//! method, and the throat or length a load needs.

use super::base_metal::strength;
use super::look_up::{Steel, apart, contradict, exceeds, leg_on};
use super::weld_strength::{LINE_LOAD, Metal, Size, leg_of_throat};
use crate::figure::prelude::*;
use crate::figure::root::boundary;
use crate::figure::usual::{PLATE, STRENGTH};
use crate::reference::correlation;

const SIMPLE: Source = Source::standard("EN 1993-1-8:2005", "4.5.3.3, simplified method, eq. 4.2 to 4.4");
const PLANE: Source = Source::standard("EN 1993-1-8:2005", "4.5.3.2, directional method, eq. 4.1");
const LENGTHS: Source = Source::standard("EN 1993-1-8:2005", "4.5.1, length of welds");
const LAP: Source = Source::standard("EN 1993-1-8:2005", "4.11, long joints, eq. 4.9").from_memory();
const PARTIAL: Source = Source::standard("EN 1993-1-8:2005", "2.2, table 2.1; national annexes differ");
const THROATS: Source =
    Source::derived("force in the plane of a throat at 45 deg", "vectors turned into the throat plane");

family! {
    pub FILLET_EUROCODE = "fillet-eurocode" in Welding:
        "strength of straight fillets by EN 1993-1-8, simplified and directional method";
    also "fillet-en-1993", "eurocode-fillet", "ec3-fillet", "fillet-strength-en";
    reads FilletEurocode {
        ..size: Size;
        optional steel: Steel, "steel of the weaker part, for its tensile strength and beta_w", "grade", "material",
            "base_metal";
        optional tensile_strength: Stress in STRENGTH,
            "nominal tensile strength fu of the weaker part; or give steel", "fu", "tensile", "ultimate";
        optional beta_w: Number in within(0.5, 1.5, unit::ONE, correlation::SOURCE),
            "correlation factor; or give steel", "bw", "beta", "correlation_factor";
        default gamma_m2: Number = "1.25" in within(1.0, 2.0, unit::ONE, PARTIAL),
            "partial factor of welds; the national annex comes first", "gamma", "partial_factor";
        optional electrode: Metal, "filler class, checked to be no weaker than the part", "filler", "weld_metal",
            "wire", "rod";
        optional thickness: Length in PLATE, "thickness of the thinner part, checked against the scope", "t",
            "thinner", "plate";
        optional length: Length in ABOVE_ZERO, "length of one weld line, over all", "l", "weld_length";
        flag full_ends: bool, "the weld has its full size up to both ends: no throat is taken off there",
            "full_size_ends";
        default lines: Number = "1" in ABOVE_ZERO.whole(), "equal weld lines that share the load", "welds", "sides",
            "count";
        flag end_loaded: bool, "weld of a lap joint, along the load: above 150 throats it counts less", "lap", "end";
        optional load: Force in ABOVE_ZERO, "design (factored) load on all lines, to check or to size for", "force",
            "p", "f", "f_ed";
        default angle: Angle = "0", "between the load and the weld axis; 90 deg is transverse", "theta",
            "load_angle";
        optional along: Force, "instead of load: its part along the weld axis", "f_parallel";
        optional across: Force, "instead of load: its part square to the axis, in the plate the weld lies on",
            "f_across";
        optional pull: Force, "instead of load: its part square to that plate", "f_pull", "tension";
    }
    rules {
        at_most_one(load, along); at_most_one(load, across); at_most_one(load, pull);
    }
    gives FilletEurocodeAnswer {
        throat: Length, "effective throat a", "leg / sqrt(2), or as given", LENGTHS => .style(GAUGE).down();
        fu: Stress, "tensile strength used", "as given, or of the steel", SIMPLE => .down();
        beta_w: Number, "correlation factor used", "table 4.1 by the steel, or as given", correlation::SOURCE =>
            .style(HUNDREDTH).up();
        shear_strength: Stress, "design shear strength of the weld", "fu / (sqrt(3) beta_w gamma_m2)", SIMPLE =>
            .down();
        per_length: LineForce, "resistance per length, one line, simplified method", "shear_strength x throat",
            SIMPLE => .style(LINE_LOAD).down();
        effective_length: Length, "length of one line that counts",
            "length - 2 throat; full length with full_ends", LENGTHS => .style(GAUGE).down();
        long_factor: Number, "factor of a long lap joint", "1.2 - 0.2 length / (150 throat), not above 1", LAP =>
            .down();
        capacity: Force, "resistance, simplified method", "per_length x effective_length x long_factor x lines",
            SIMPLE => .range("static load; parts of 4 mm and more").down();
        capacity_directional: Force, "resistance in the direction of the load, directional method",
            "load that brings equivalent or normal stress to its limit", PLANE => .range(
            "static load; parts of 4 mm and more").down();
        normal_stress: Stress, "normal stress on the throat, sigma square",
            "(pull + across) / (sqrt(2) throat x effective length x lines), worse side", THROATS => .up();
        shear_square: Stress, "shear on the throat square to the axis, tau square",
            "(pull - across) / (sqrt(2) throat x effective length x lines), worse side", THROATS => .up();
        shear_along: Stress, "shear on the throat along the axis, tau parallel",
            "along / (throat x effective length x lines)", THROATS => .up();
        equivalent_stress: Stress, "equivalent stress",
            "sqrt(sigma^2 + 3 (tau square^2 + tau parallel^2)), of the worse side", PLANE => .up();
        equivalent_limit: Stress, "limit of the equivalent stress", "fu / (beta_w gamma_m2)", PLANE => .down();
        normal_limit: Stress, "limit of the normal stress", "0.9 fu / gamma_m2", PLANE => .down();
        utilisation: Number, "utilisation, simplified method", "load / capacity", SIMPLE => .up();
        utilisation_directional: Number, "utilisation, directional method",
            "the greater of equivalent and normal stress over their limits", PLANE => .up();
        required_throat: Length, "throat the load needs at this length, simplified method",
            "least throat whose capacity is the load; not under 3 mm", SIMPLE => .style(GAUGE).at_least();
        required_throat_directional: Length, "throat the load needs at this length, directional method",
            "least throat whose directional capacity is the load; not under 3 mm", PLANE => .style(GAUGE).at_least();
        required_length: Length, "length of each line the load needs at this throat, simplified method",
            "least length whose capacity is the load; effective not under 30 mm and 6 throats", SIMPLE =>
            .style(LENGTH).at_least();
    }
    asked capacity, per_length, required_throat;
    example "steel=S355 throat=\"5 mm\" length=\"150 mm\" lines=2 load=\"250 kN\" angle=\"90 deg\"";
    by fillet_eurocode
}

/// One straight line of weld of this standard.
#[derive(Debug, Clone, Copy)]
struct Line {
    throat: Length,
    length: Length,
    full_ends: bool,
    lap: bool,
}

impl Line {
    /// Length that counts (4.5.1): a throat is taken off at each end that is not full.
    fn effective(self) -> Length {
        if self.full_ends { self.length } else { self.length - self.throat * 2.0 }
    }

    /// Factor of a long lap joint (4.11); below nothing it carries nothing.
    fn long_factor(self) -> Number {
        let factor = 1.2 - 0.2 * self.length.si() / (150.0 * self.throat.si());
        Number::from_si(if self.lap { factor.clamp(0.0, 1.0) } else { 1.0 })
    }

    /// Whether it is long enough to be designed to carry load (4.5.1(2)).
    fn long_enough(self) -> bool {
        let least = larger(Length::of(30.0, unit::MM), self.throat * 6.0);
        self.effective().si() >= least.si() * (1.0 - 1e-9)
    }

    /// Area of the throat that counts.
    fn area(self) -> f64 {
        self.throat.si() * self.effective().si() * self.long_factor().si()
    }
}

/// Load on all lines by its parts.
#[derive(Debug, Clone, Copy)]
struct Load {
    /// Along the weld axis.
    along: f64,
    /// Square to the axis, toward both legs, without sign: the sides of a joint see both.
    legs: (f64, f64),
}

impl Load {
    /// Of a load at an angle to the axis: its square part goes along one leg. What the
    /// rounding of a right or a zero angle leaves is nothing.
    fn turned(load: Force, angle: Angle) -> Self {
        let part = |share: f64| if share.abs() < 1e-12 { 0.0 } else { load.si() * share };
        Self { along: part(math::cos(angle)), legs: (part(math::sin(angle)).abs(), 0.0) }
    }

    fn size(self) -> f64 {
        let (a, b) = self.legs;
        math::hypot(self.along, math::hypot(a, b))
    }

    /// Stresses on a throat of this area at 45 deg to both legs: normal and square shear
    /// of the side where the parts along the legs add to the normal stress, and of the
    /// side where they add to the shear.
    fn sides(self, area: f64) -> [Throat; 2] {
        let (a, b) = self.legs;
        let (sum, rest) = ((a + b) / (2.0_f64.sqrt() * area), (a - b).abs() / (2.0_f64.sqrt() * area));
        let along = self.along.abs() / area;
        [Throat { normal: sum, square: rest, along }, Throat { normal: rest, square: sum, along }]
    }
}

/// Stresses on one throat, Pa, without sign.
#[derive(Debug, Clone, Copy)]
struct Throat {
    normal: f64,
    square: f64,
    along: f64,
}

impl Throat {
    fn equivalent(self) -> f64 {
        (self.normal * self.normal + 3.0 * (self.square * self.square + self.along * self.along)).sqrt()
    }
}

/// Strengths of the weld, Pa.
#[derive(Debug, Clone, Copy)]
struct Limits {
    shear: f64,
    equivalent: f64,
    normal: f64,
}

impl Limits {
    fn new(fu: Stress, beta_w: Number, gamma: Number) -> Self {
        let equivalent = fu.si() / (beta_w.si() * gamma.si());
        Self { shear: equivalent / 3.0_f64.sqrt(), equivalent, normal: 0.9 * fu.si() / gamma.si() }
    }

    /// Utilisation of this area of throat by the directional method (eq. 4.1).
    fn directional(self, load: Load, area: f64) -> f64 {
        let used = load.sides(area).map(|s| (s.equivalent() / self.equivalent).max(s.normal / self.normal));
        used[0].max(used[1])
    }

    /// Utilisation of this area of throat by the simplified method (eq. 4.2).
    fn simplified(self, load: Load, area: f64) -> f64 {
        load.size() / (self.shear * area)
    }
}

/// Strength and correlation factor of the weaker part, as given or of its steel. A factor
/// below that of the table would make the weld stronger than the standard does.
fn part(given: &FilletEurocode, answer: &mut FilletEurocodeAnswer) -> Result<(Stress, Number)> {
    let steel = given.steel.as_ref().map(|named| **named);
    let own_fu = steel.and_then(|s| s.tensile_strength());
    let own_beta = steel.and_then(|s| correlation::factor(s.name));
    lacking([
        given.tensile_strength.absent().filter(|_| own_fu.is_none()),
        given.beta_w.absent().filter(|_| own_beta.is_none()),
    ])?;
    if let (Some(entered), Some(own), Some(steel)) = (*given.beta_w, own_beta, steel)
        && apart(entered, own)
    {
        if entered < own {
            let why = format!("table 4.1 has {} for {}", own.si(), steel.name);
            return Err(contradict("steel", "beta_w", &why));
        }
        answer.warn(format!(
            "beta_w of {} is used; table 4.1 has {} for {}.",
            entered.si(),
            own.si(),
            steel.name
        ));
    }
    let fu = strength(&given.tensile_strength, steel, own_fu, &mut answer.said)?;
    if let Some(steel) = steel
        && !given.tensile_strength.given()
    {
        answer.warn(format!(
            "fu is the least tensile strength of {} in its product standard, recalled; EN 1993-1-1 table 3.1 may list \
             more: give fu where your national annex takes that.",
            steel.name
        ));
    }
    let beta_w = given.beta_w.or(own_beta).ok_or(Trouble::Missing(vec!["beta_w"]))?;
    Ok((fu, beta_w))
}

/// The scope of the standard, and what the filler and the parts have to be.
fn scope(
    given: &FilletEurocode,
    answer: &mut FilletEurocodeAnswer,
    throat: Option<Length>,
    fu: Stress,
) -> Result<()> {
    if let Some(thickness) = *given.thickness {
        (thickness.to(unit::MM) < 4.0 * (1.0 - 1e-9)).refuse(
            "the part is thinner than 4 mm, which EN 1993-1-8 does not cover (4.1(1))",
            "thinner sheet is of EN 1993-1-3, hollow sections from 2.5 mm of section 7",
        )?;
        if let Some(throat) = throat {
            leg_on(leg_of_throat(throat), thickness)?;
        }
    }
    if let Some(filler) = given.electrode.as_ref().map(|metal| metal.0)
        && filler < fu
    {
        answer.warn(
            "The filler is weaker than the part: EN 1993-1-8, 4.2(2) wants its specified strengths at least those of \
             the parent metal. These resistances don't hold for it.",
        );
    }
    if let Some(throat) = throat
        && exceeds(Length::of(3.0, unit::MM), throat)
    {
        answer.warn(
            "A throat under 3 mm is not for welds that carry load (EN 1993-1-8, 4.5.2(2)): make it larger.",
        );
    }
    Ok(())
}

/// The load by its parts, if one is given.
fn load(given: &FilletEurocode) -> Result<Option<Load>> {
    let parts = [&given.along, &given.across, &given.pull];
    let part = |read: &Read<Option<Force>>| read.map_or(0.0, Force::si);
    let load = match *given.load {
        Some(load) => Load::turned(load, *given.angle),
        None if parts.iter().any(|p| p.given()) => {
            (given.angle.given()).refuse(
                "an angle belongs to load; along, across and pull have their directions",
                "give load with its angle, or the parts",
            )?;
            Load { along: part(&given.along), legs: (part(&given.across).abs(), part(&given.pull).abs()) }
        }
        None => return Ok(None),
    };
    (load.size() == 0.0).refuse("all parts of the load are zero", "give the load that acts, or none")?;
    Ok(Some(load))
}

fn fillet_eurocode(given: &FilletEurocode, answer: &mut FilletEurocodeAnswer) -> Result<()> {
    let throat = given.size.effective_throat()?;
    let load = load(given)?;
    let length = *given.length;
    if throat.is_none() && (length.is_none() || load.is_none()) {
        return Err(Trouble::Missing(vec!["throat"]));
    }
    let (fu, beta_w) = part(given, answer)?;
    scope(given, answer, throat, fu)?;
    let limits = Limits::new(fu, beta_w, *given.gamma_m2);
    answer.throat.put_some(throat);
    answer.fu.put(fu);
    answer.beta_w.put(beta_w);
    answer.shear_strength.put(Stress::from_si(limits.shear));
    answer.per_length.put_some(throat.map(|a| LineForce::from_si(limits.shear * a.si())));
    answer.equivalent_limit.put(Stress::from_si(limits.equivalent));
    answer.normal_limit.put(Stress::from_si(limits.normal));
    let (full_ends, lap, lines) = (*given.full_ends, *given.end_loaded, given.lines.si());
    if let Some((throat, length)) = throat.zip(length) {
        carried(given, answer, Line { throat, length, full_ends, lap }, limits, load);
    }
    let Some(load) = load else { return Ok(()) };
    let fits = |throat: Length, length: Length, used: &dyn Fn(f64) -> f64| {
        let line = Line { throat, length, full_ends, lap };
        let area = line.area() * lines;
        line.long_enough() && area > 0.0 && used(area) <= 1.0 + 1e-12
    };
    let simple = |area: f64| limits.simplified(load, area);
    let directional = |area: f64| limits.directional(load, area);
    if let Some(length) = length {
        let needed =
            |used: &dyn Fn(f64) -> f64| least_throat(length, full_ends, |throat| fits(throat, length, used));
        let (plain, turned) = (needed(&simple), needed(&directional));
        answer.required_throat.put_some(plain);
        answer.required_throat_directional.put_some(turned);
        if plain.is_none() && turned.is_none() {
            answer.warn("No throat carries the load in this length: make it longer.");
        }
    }
    if let Some(throat) = throat {
        let needed = least_length(throat, full_ends, lap, |length| fits(throat, length, &simple));
        answer.required_length.put_some(needed);
        if needed.is_none() {
            answer.warn("No length of this throat carries the load in a lap joint: take a larger throat.");
        }
    }
    Ok(())
}

/// What a line of known throat and length carries, and how far a load uses it.
fn carried(
    given: &FilletEurocode,
    answer: &mut FilletEurocodeAnswer,
    line: Line,
    limits: Limits,
    load: Option<Load>,
) {
    answer.effective_length.put_some((line.effective().si() > 0.0).then(|| line.effective()));
    if line.lap {
        answer.long_factor.put(line.long_factor());
    }
    if !line.long_enough() {
        answer.warn(
            "The weld is too short to be designed to carry load: what counts of it is under 30 mm or 6 throats \
             (EN 1993-1-8, 4.5.1(2)). Make it longer.",
        );
        return;
    }
    let area = line.area() * given.lines.si();
    if area <= 0.0 {
        answer.warn("By EN 1993-1-8, 4.11 a lap joint this long carries nothing: take a larger throat.");
        return;
    }
    if line.long_factor().si() < 1.0 {
        answer.warn("The lap joint is longer than 150 throats: its length counts less than in full.");
    }
    answer.capacity.put(Force::from_si(limits.shear * area));
    let Some(load) = load else {
        answer.note(
            "Give load and angle for the directional method: it carries more across the weld than along it.",
        );
        return;
    };
    let used = limits.directional(load, area);
    answer.capacity_directional.put(Force::from_si(load.size() / used));
    let sides = load.sides(area);
    let worse = if sides[0].equivalent() > sides[1].equivalent() { sides[0] } else { sides[1] };
    answer.normal_stress.put(Stress::from_si(sides[0].normal));
    answer.shear_square.put(Stress::from_si(worse.square));
    answer.shear_along.put(Stress::from_si(worse.along));
    answer.equivalent_stress.put(Stress::from_si(worse.equivalent()));
    answer.utilisation.put(Number::from_si(limits.simplified(load, area)));
    answer.utilisation_directional.put(Number::from_si(used));
    if used > 1.0 {
        answer.warn("The load is more than these welds carry: make them larger or longer.");
    }
}

/// Least throat that fits a length, from 3 mm up; above an eighth of the length (a sixth
/// with full ends) the weld is shorter than six throats.
fn least_throat(length: Length, full_ends: bool, fits: impl Fn(Length) -> bool) -> Option<Length> {
    let (least, most) = (Length::of(3.0, unit::MM), length / if full_ends { 6.0 } else { 8.0 });
    if fits(least) {
        return Some(least);
    }
    (most > least && fits(most)).then(|| {
        let (_, found) = boundary(|a| fits(Length::from_si(a)), least.si(), most.si());
        Length::from_si(found)
    })
}

/// Least length that fits a throat, from the shortest that may carry load; the area of a
/// lap joint grows up to 450 throats.
fn least_length(throat: Length, full_ends: bool, lap: bool, fits: impl Fn(Length) -> bool) -> Option<Length> {
    let ends = if full_ends { Length::from_si(0.0) } else { throat * 2.0 };
    let least = larger(Length::of(30.0, unit::MM), throat * 6.0) + ends;
    if fits(least) {
        return Some(least);
    }
    let mut most = if lap { throat * 450.0 } else { least * 2.0 };
    while !lap && !fits(most) && most.to(unit::MM) < 1e9 {
        most *= 2.0;
    }
    fits(most).then(|| {
        let (_, found) = boundary(|l| fits(Length::from_si(l)), least.si(), most.si());
        Length::from_si(found)
    })
}
