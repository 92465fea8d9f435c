//! Rate, stress, nip and leaf thickness of a semi-elliptic leaf pack.

use crate::figure::prelude::*;
use crate::figure::usual::{MODULUS, STRENGTH};

/// Textbook theory of semi-elliptic packs.
pub(super) const PACK: Source =
    Source::handbook("Bhandari, Design of Machine Elements", "leaf springs, nipping and solved examples");
/// Yield strength about which spring steel is used, MPa.
pub const SPRING_STEEL_YIELD: f64 = 1100.0;
const HS788: Source =
    Source::handbook("SAE HS-788, Manual on Design and Application of Leaf Springs", "").from_memory();

const SIZES: Source =
    Source::practice("leaf springs of vehicles and trailers; outside it a unit or a digit is wrong");
const LEAF: Range = within(1.0, 65.0, unit::MM, SIZES).usually(3.5, 25.0, unit::MM);
/// Leaf thickness over active half length above which it is no slender beam.
const STOCKY: f64 = 0.1;

/// A leaf pack seen as two cantilevers from the clamp, not pre-stressed. The
/// master counts with the graduated leaves; `full` are the extra full-length ones.
#[derive(Debug, Clone, Copy)]
pub struct Pack {
    /// Extra full-length leaves.
    pub full: Number,
    /// Graduated leaves, master included.
    pub graduated: Number,
    /// Leaf width.
    pub width: Length,
    /// Thickness of each leaf.
    pub thickness: Length,
    /// Active half length, clamp edge to eye.
    pub half: Length,
    /// Modulus of elasticity.
    pub modulus: Stress,
}

impl Pack {
    fn leaves(&self) -> f64 {
        self.full.si() + self.graduated.si()
    }

    /// 2 n_g + 3 n_f: the weight of a mixed pack.
    fn weight(&self) -> f64 {
        2.0 * self.graduated.si() + 3.0 * self.full.si()
    }

    /// E b t^3 / L^3, the measure every rate of the pack is a multiple of.
    fn unit_rate(&self) -> f64 {
        let slender = self.thickness.si() / self.half.si();
        self.modulus.si() * self.width.si() * slender * slender * slender
    }

    /// 6 P L / (b t^2): stress of one leaf that carries the whole eye load.
    fn unit_stress(&self, eye_load: Force) -> f64 {
        let t = self.thickness.si();
        6.0 * eye_load.si() * self.half.si() / (self.width.si() * t * t)
    }

    /// Second moment of area of all leaves at the clamp, n b t^3 / 12.
    #[must_use]
    pub fn second_moment(&self) -> SecondMoment {
        let t = self.thickness.si();
        SecondMoment::from_si(self.leaves() * self.width.si() * t * t * t / 12.0)
    }

    /// Rate at the seat as if every leaf were graduated, 8 E n b t^3 / (3 S^3).
    fn ideal_rate(&self) -> SpringRate {
        SpringRate::from_si(self.leaves() * self.unit_rate() / 3.0)
    }

    /// Rate at the seat with its full-length leaves, E b t^3 (2 n_g + 3 n_f) / (6 L^3).
    #[must_use]
    pub fn rate(&self) -> SpringRate {
        SpringRate::from_si(self.weight() * self.unit_rate() / 6.0)
    }

    /// Stress in the full-length leaves, 18 P L / (b t^2 (2 n_g + 3 n_f)), by load per eye.
    #[must_use]
    pub fn stress_full(&self, eye_load: Force) -> Stress {
        Stress::from_si(3.0 * self.unit_stress(eye_load) / self.weight())
    }

    /// Stress in the graduated leaves, two thirds of that in the full-length ones.
    #[must_use]
    pub fn stress_graduated(&self, eye_load: Force) -> Stress {
        Stress::from_si(2.0 * self.unit_stress(eye_load) / self.weight())
    }

    /// Stress in every leaf of a pack nipped for equal stress, 6 P L / (n b t^2).
    #[must_use]
    pub fn stress_equal(&self, eye_load: Force) -> Stress {
        Stress::from_si(self.unit_stress(eye_load) / self.leaves())
    }

    /// Gap between full-length and graduated leaves before clamping that gives
    /// equal stress at `eye_load`, 2 P L^3 / (n E b t^3).
    #[must_use]
    pub fn nip(&self, eye_load: Force) -> Length {
        Length::from_si(2.0 * eye_load.si() / (self.leaves() * self.unit_rate()))
    }

    /// Force of the centre bolt that closes that gap,
    /// 2 n_g n_f P / (n (3 n_f + 2 n_g)).
    #[must_use]
    pub fn bolt_force(&self, eye_load: Force) -> Force {
        eye_load * (2.0 * self.graduated.si() * self.full.si() / (self.leaves() * self.weight()))
    }
}

/// Deflection at the seat under twice `eye_load`.
#[must_use]
pub fn deflection(eye_load: Force, rate: SpringRate) -> Length {
    Length::from_si(2.0 * eye_load.si() / rate.si())
}

words! {
    /// Which stress must stay allowable: in the full leaves as assembled, or after nipping.
    pub LimitOn {
        FullLeaf = "full-leaf",
        Equalised = "equalised" | "equalized",
    }
}

family! {
    pub LEAF_RATE = "leaf-rate" in Geometry: "rate, stress, nip and leaf thickness of a leaf spring with equal halves";
    also "semi-elliptic", "half-elliptic", "multi-leaf", "semi-elliptic-spring", "leaf-spring", "spring-rate";
    reads LeafRate {
        optional leaves: Number in count(1, 100, PACK), "number of leaves in all", "n", "leaf_count", "number_of_leaves";
        default full_leaves: Number = "0" in within(0.0, 50.0, unit::ONE, PACK).whole(),
            "extra full-length leaves; the master counts as graduated", "full", "n_f", "nf", "full_length",
            "full_length_leaves", "extra_full_length";
        optional graduated_leaves: Number in within(0.0, 50.0, unit::ONE, PACK).whole(),
            "graduated leaves, master included; or give leaves", "graduated", "n_g", "ng";
        optional width: Length in within(10.0, 300.0, unit::MM, SIZES).usually(30.0, 130.0, unit::MM), "leaf width; or give width_ratio", "b", "leaf_width";
        optional width_ratio: Number in ABOVE_ZERO, "width over thickness of a leaf, if the width is open",
            "b_over_t";
        optional thickness: Length in LEAF, "thickness of each leaf; found from load and allowable if absent",
            "t", "leaf_thickness", "h";
        optional half_length: Length in ABOVE_ZERO, "active half length, clamp edge to eye; or give span", "half";
        optional span: Length in within(50.0, 5000.0, unit::MM, SIZES).usually(350.0, 2400.0, unit::MM), "eye to eye along the flat spring", "s", "length";
        default clamp: Length = "0" in NOT_NEGATIVE, "inactive length at the clamp, taken off the span", "band", "inactive",
            "clamp_length";
        optional eye_load: Force in ABOVE_ZERO, "load at each eye; or give load", "p", "load_per_eye";
        optional load: Force in ABOVE_ZERO, "load on the seat, twice the eye load", "seat_load", "w";
        default modulus: Stress = "207 GPa" in MODULUS, "modulus of elasticity", "e";
        optional allowable: Stress in STRENGTH, "allowable bending stress", "stress", "allowable_stress",
            "permissible_stress";
        default limit_on: LimitOn = FullLeaf,
            "which stress must stay allowable: in the full leaves as assembled, or after nipping";
        default stock_step: Length = "1 mm" in ABOVE_ZERO, "a needed thickness is raised to a multiple of this",
            "step";
        optional stiffening: Number in within(1.0, 1.5, unit::ONE, HS788),
            "stiffening factor on the ideal rate, 1.0 to 1.5", "sf", "stiffening_factor";
    }
    rules {
        one_of(half_length, span);
        at_most_one(eye_load, load);
        one_of(width, width_ratio);
        some_of(leaves, graduated_leaves);
    }
    gives LeafRateAnswer {
        half_length: Length, "active half length", "(span - clamp) / 2", PACK;
        eye_load: Force, "load at each eye", "load / 2", PACK;
        thickness_needed: Length, "least leaf thickness", "sqrt(18 P L / (b allowable (2 n_g + 3 n_f)))",
            PACK => .style(GAUGE).at_least();
        thickness: Length, "leaf thickness used", "thickness_needed up to stock_step", PACK => .style(GAUGE);
        width: Length, "leaf width used", "width, or width_ratio x thickness", PACK => .style(GAUGE);
        second_moment: SecondMoment, "second moment of the pack", "n b t^3 / 12", PACK;
        ideal_rate: SpringRate, "rate if all leaves were graduated", "8 E n b t^3 / (3 S^3)",
            PACK => .range("symmetrical pack, small deflection, no friction");
        rate: SpringRate, "spring rate at the seat", "E b t^3 (2 n_g + 3 n_f) / (6 L^3)",
            PACK => .range("symmetrical pack, small deflection, no friction, no shackle effect");
        stiffness_ratio: Number, "rate over ideal rate", "(2 n_g + 3 n_f) / (2 n)", PACK;
        factored_rate: SpringRate, "rate with the stiffening factor", "SF 32 E I / S^3",
            HS788 => .range("factor 1.0 (ideal) to 1.5 (all full length)");
        deflection: Length, "deflection under the load", "12 P L^3 / (E b t^3 (2 n_g + 3 n_f))", PACK;
        stress_full: Stress, "stress in the full-length leaves", "18 P L / (b t^2 (2 n_g + 3 n_f))", PACK => .up();
        stress_graduated: Stress, "stress in the graduated leaves", "12 P L / (b t^2 (2 n_g + 3 n_f))",
            PACK => .up();
        stress_equal: Stress, "stress after nipping", "6 P L / (n b t^2)", PACK => .up();
        nip: Length, "nip for equal stress", "2 P L^3 / (n E b t^3)", PACK => .style(GAUGE);
        bolt_force: Force, "centre bolt force that closes the nip", "2 n_g n_f P / (n (3 n_f + 2 n_g))",
            PACK => .up();
    }
    asked rate;
    example "leaves=7 full_leaves=2 width=\"65 mm\" span=\"1100 mm\" clamp=\"80 mm\" load=\"6000 N\" allowable=\"350 MPa\"";
    by leaf_rate
}

fn leaf_rate(given: &LeafRate, answer: &mut LeafRateAnswer) -> Result<()> {
    let (full, graduated) = counts(given)?;
    let half = half_length(given)?;
    let modulus = *given.modulus;
    let eye_load = eye_load(given);
    let allowable = *given.allowable;
    answer.half_length.put(half);
    answer.eye_load.put_some(eye_load);
    let thickness = match *given.thickness {
        Some(t) => t,
        None => {
            let (Some(load), Some(allowable)) = (eye_load, allowable) else {
                let mut missing = vec!["thickness"];
                missing.extend((allowable.is_none()).then_some("allowable"));
                missing.extend((eye_load.is_none()).then_some("load"));
                return Err(Trouble::Missing(missing));
            };
            let equal = *given.limit_on == LimitOn::Equalised;
            let section = Section { full, graduated, half, load, allowable, equal };
            let (needed, text) = match (*given.width, *given.width_ratio) {
                (Some(width), _) => (section.for_width(width), "square root"),
                (None, Some(ratio)) => (section.for_ratio(ratio), "cube root"),
                (None, None) => return Err(Trouble::Missing(vec!["width", "width_ratio"])),
            };
            answer.thickness_needed.put(needed);
            answer.thickness_needed.formula(section.formula(text));
            let step = *given.stock_step;
            let guard = answer.thickness_needed.expanded();
            // A hair of room, so that an exact multiple is not raised by rounding noise.
            let up = |least: Length| Length::from_si((least.si() / step.si() - 1e-9).ceil() * step.si());
            if guard.si() > 0.0 {
                // Stock for the most that may be needed, with no uncertainty of its own.
                answer.thickness.fixed();
                up(needed + guard)
            } else {
                answer.thickness.decide(up(needed))
            }
        }
    };
    (thickness > half * STOCKY).refuse(
        "the leaf is thicker than a tenth of its active half length: no spring that bends as a beam",
        "check thickness, span and half_length",
    )?;
    answer.thickness.put(thickness);
    let width = match (*given.width, *given.width_ratio) {
        (Some(width), _) => width,
        (None, Some(ratio)) => thickness * ratio.si(),
        (None, None) => return Err(Trouble::Missing(vec!["width"])),
    };
    answer.width.put(width);
    let pack = Pack { full, graduated, width, thickness, half, modulus };
    answer.second_moment.put(pack.second_moment());
    answer.ideal_rate.put(pack.ideal_rate());
    answer.rate.put(pack.rate());
    answer.stiffness_ratio.put(Number::from_si(pack.rate() / pack.ideal_rate()));
    answer.factored_rate.put_some(given.stiffening.map(|factor| pack.ideal_rate() * factor.si()));
    if let Some(load) = eye_load {
        stresses(&pack, load, allowable, answer);
    }
    Ok(())
}

fn stresses(pack: &Pack, load: Force, allowable: Option<Stress>, answer: &mut LeafRateAnswer) {
    answer.deflection.put(deflection(load, pack.rate()));
    let (any_full, any_graduated) = (pack.full.si() > 0.0, pack.graduated.si() > 0.0);
    let mut worst = pack.stress_graduated(load);
    if any_full {
        worst = pack.stress_full(load);
        answer.stress_full.put(worst);
    }
    if any_graduated {
        answer.stress_graduated.put(pack.stress_graduated(load));
    }
    answer.stress_equal.put(pack.stress_equal(load));
    beyond_reason(worst, deflection(load, pack.rate()), pack.half, &mut answer.said);
    if any_full && any_graduated {
        answer.nip.put(pack.nip(load));
        answer.bolt_force.put(pack.bolt_force(load));
    }
    if let Some(limit) = allowable.filter(|limit| worst.si() > limit.si() * (1.0 + 1e-9)) {
        answer.warn(format!(
            "The most stressed leaves reach {:.0} MPa as assembled, above the allowable {:.0} MPa; nip the pack for equal stress or use a thicker or wider leaf.",
            worst.to(unit::MPA),
            limit.to(unit::MPA)
        ));
    }
}

/// What fixes the thickness of a pack.
struct Section {
    full: Number,
    graduated: Number,
    half: Length,
    load: Force,
    allowable: Stress,
    equal: bool,
}

impl Section {
    /// Share of 6 P L / (b t^2) that is the governing stress.
    fn share(&self) -> f64 {
        let (f, g) = (self.full.si(), self.graduated.si());
        if self.equal || f <= 0.0 { 1.0 / (f + g) } else { 3.0 / (2.0 * g + 3.0 * f) }
    }

    fn for_width(&self, width: Length) -> Length {
        let square =
            6.0 * self.load.si() * self.half.si() * self.share() / (width.si() * self.allowable.si());
        Length::from_si(square.sqrt())
    }

    fn for_ratio(&self, ratio: Number) -> Length {
        let cube = 6.0 * self.load.si() * self.half.si() * self.share() / (ratio.si() * self.allowable.si());
        Length::from_si(math::cbrt(cube))
    }

    fn formula(&self, root: &str) -> String {
        let stress = if self.equal || self.full.si() <= 0.0 {
            "6 P L / (n b t^2)"
        } else {
            "18 P L / (b t^2 (2 n_g + 3 n_f))"
        };
        format!("{root} in t of {stress} = allowable")
    }
}

fn counts(given: &LeafRate) -> Result<(Number, Number)> {
    let full = *given.full_leaves;
    let graduated = match (*given.graduated_leaves, *given.leaves) {
        (Some(graduated), None) => graduated,
        (None, Some(all)) => all - full,
        (Some(graduated), Some(all)) => {
            ((all.si() - full.si() - graduated.si()).abs() > 1e-9)
                .refuse("leaves is not full_leaves plus graduated_leaves", "leave one of the three out")?;
            graduated
        }
        (None, None) => full + given.leaves.need()?,
    };
    positive("leaves", full + graduated)?;
    NOT_NEGATIVE.check("leaves less full_leaves", graduated.into())?;
    Ok((full, graduated))
}

/// Tells about a stress no spring steel takes and a deflection beyond the theory.
pub(super) fn beyond_reason(worst: Stress, sag: Length, half: Length, said: &mut Said) {
    if worst.to(unit::MPA) > SPRING_STEEL_YIELD {
        said.warn(format!(
            "A stress of {:.0} MPa is above what quenched and tempered spring steel yields at, about {SPRING_STEEL_YIELD:.0} MPa (common practice): check load, length and thickness.",
            worst.to(unit::MPA)
        ));
    }
    if sag.si() > 0.5 * half.si() {
        said.warn("The deflection is more than half the active half length, beyond small-deflection theory: check whether the length is that of a half or of the whole spring.");
    }
}

fn half_length(given: &LeafRate) -> Result<Length> {
    if let Some(half) = *given.half_length {
        return Ok(half);
    }
    let span = given.span.need()?;
    positive("span less clamp", span - *given.clamp).map(|active| active / 2.0)
}

fn eye_load(given: &LeafRate) -> Option<Force> {
    given.eye_load.or(given.load.map(|load| load / 2.0))
}
