//! Rate, stress, nip and leaf thickness of a semi-elliptic leaf pack.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::GAUGE;
use crate::quantity::{
    Dimensioned, Force, Kind, Length, Number, SecondMoment, SpringRate, Stress, math, unit,
};
use crate::source::Source;

/// Textbook theory of semi-elliptic packs.
pub(super) const PACK: Source =
    Source::handbook("Bhandari, Design of Machine Elements", "leaf springs, nipping and solved examples");
/// Yield strength about which spring steel is used, MPa.
const SPRING_STEEL_YIELD: f64 = 1100.0;
const HS788: Source =
    Source::handbook("SAE HS-788, Manual on Design and Application of Leaf Springs", "").from_memory();

/// Modulus used when none is given: spring steel, 207 GPa (30 Mpsi is 206.8).
pub(super) const SPRING_STEEL: (f64, &str) = (207.0, "207 GPa");

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
    #[must_use]
    pub fn ideal_rate(&self) -> SpringRate {
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

/// Rate, stress and thickness of a leaf pack.
pub static LEAF_RATE: Family = Family {
    name: "leaf-rate",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "rate, stress, nip and leaf thickness of a leaf spring with equal halves",
    inputs: &[
        Input::optional("leaves", Kind::Number, "number of leaves in all").also(&[
            "n",
            "leaf_count",
            "number_of_leaves",
        ]),
        Input::defaulted(
            "full_leaves",
            Kind::Number,
            "0",
            "extra full-length leaves; the master counts as graduated",
        )
        .also(&["full", "n_f", "nf", "full_length", "full_length_leaves", "extra_full_length"]),
        Input::optional(
            "graduated_leaves",
            Kind::Number,
            "graduated leaves, master included; or give leaves",
        )
        .also(&["graduated", "n_g", "ng"]),
        Input::optional("width", Kind::Length, "leaf width; or give width_ratio").also(&["b", "leaf_width"]),
        Input::optional("width_ratio", Kind::Number, "width over thickness of a leaf, if the width is open")
            .also(&["b_over_t"]),
        Input::optional(
            "thickness",
            Kind::Length,
            "thickness of each leaf; found from load and allowable if absent",
        )
        .also(&["t", "leaf_thickness"]),
        Input::optional("half_length", Kind::Length, "active half length, clamp edge to eye; or give span")
            .also(&["half"]),
        Input::optional("span", Kind::Length, "eye to eye along the flat spring").also(&["s", "length"]),
        Input::defaulted("clamp", Kind::Length, "0", "inactive length at the clamp, taken off the span")
            .also(&["band", "inactive", "clamp_length"]),
        Input::optional("eye_load", Kind::Force, "load at each eye; or give load")
            .also(&["p", "load_per_eye"]),
        Input::optional("load", Kind::Force, "load on the seat, twice the eye load")
            .also(&["seat_load", "w"]),
        Input::defaulted("modulus", Kind::Stress, SPRING_STEEL.1, "modulus of elasticity").also(&["e"]),
        Input::optional("allowable", Kind::Stress, "allowable bending stress").also(&[
            "stress",
            "allowable_stress",
            "permissible_stress",
        ]),
        Input::choice(
            "limit_on",
            &["full-leaf", "equalised"],
            Need::Default("full-leaf"),
            "which stress must stay allowable: in the full leaves as assembled, or after nipping",
        ),
        Input::defaulted(
            "stock_step",
            Kind::Length,
            "1 mm",
            "a needed thickness is raised to a multiple of this",
        )
        .also(&["step"]),
        Input::optional("stiffening", Kind::Number, "stiffening factor on the ideal rate, 1.0 to 1.5")
            .also(&["sf", "stiffening_factor"]),
    ],
    outputs: &[
        Output::new("half_length", "active half length", Kind::Length, "(span - clamp) / 2", PACK),
        Output::new("eye_load", "load at each eye", Kind::Force, "load / 2", PACK),
        Output::new(
            "thickness_needed",
            "least leaf thickness",
            Kind::Length,
            "sqrt(18 P L / (b allowable (2 n_g + 3 n_f)))",
            PACK,
        )
        .style(GAUGE)
        .up(),
        Output::new(
            "thickness",
            "leaf thickness used",
            Kind::Length,
            "thickness_needed up to stock_step",
            PACK,
        )
        .style(GAUGE),
        Output::new("width", "leaf width used", Kind::Length, "width, or width_ratio x thickness", PACK)
            .style(GAUGE),
        Output::new("second_moment", "second moment of the pack", Kind::SecondMoment, "n b t^3 / 12", PACK),
        Output::new(
            "ideal_rate",
            "rate if all leaves were graduated",
            Kind::SpringRate,
            "8 E n b t^3 / (3 S^3)",
            PACK,
        )
        .range("symmetrical pack, small deflection, no friction"),
        Output::new(
            "rate",
            "spring rate at the seat",
            Kind::SpringRate,
            "E b t^3 (2 n_g + 3 n_f) / (6 L^3)",
            PACK,
        )
        .range("symmetrical pack, small deflection, no friction, no shackle effect"),
        Output::new("stiffness_ratio", "rate over ideal rate", Kind::Number, "(2 n_g + 3 n_f) / (2 n)", PACK),
        Output::new(
            "factored_rate",
            "rate with the stiffening factor",
            Kind::SpringRate,
            "SF 32 E I / S^3",
            HS788,
        )
        .range("factor 1.0 (ideal) to 1.5 (all full length)"),
        Output::new(
            "deflection",
            "deflection under the load",
            Kind::Length,
            "12 P L^3 / (E b t^3 (2 n_g + 3 n_f))",
            PACK,
        ),
        Output::new(
            "stress_full",
            "stress in the full-length leaves",
            Kind::Stress,
            "18 P L / (b t^2 (2 n_g + 3 n_f))",
            PACK,
        )
        .up(),
        Output::new(
            "stress_graduated",
            "stress in the graduated leaves",
            Kind::Stress,
            "12 P L / (b t^2 (2 n_g + 3 n_f))",
            PACK,
        )
        .up(),
        Output::new("stress_equal", "stress after nipping", Kind::Stress, "6 P L / (n b t^2)", PACK).up(),
        Output::new("nip", "nip for equal stress", Kind::Length, "2 P L^3 / (n E b t^3)", PACK).style(GAUGE),
        Output::new(
            "bolt_force",
            "centre bolt force that closes the nip",
            Kind::Force,
            "2 n_g n_f P / (n (3 n_f + 2 n_g))",
            PACK,
        )
        .up(),
    ],
    example: "leaves=7 full_leaves=2 width=\"65 mm\" span=\"1100 mm\" clamp=\"80 mm\" load=\"6000 N\" allowable=\"350 MPa\"",
    run: leaf_rate,
};

fn leaf_rate(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let (full, graduated) = counts(given)?;
    let half = half_length(given)?;
    let modulus: Stress =
        given::positive("modulus", given.or("modulus", Stress::of(SPRING_STEEL.0, unit::GPA))?)?;
    let eye_load = eye_load(given)?;
    let allowable: Option<Stress> = given.maybe("allowable")?;
    answer.put("half_length", half);
    if let Some(load) = eye_load {
        answer.put("eye_load", load);
    }
    let thickness = match given.maybe::<Length>("thickness")? {
        Some(t) => given::positive("thickness", t)?,
        None => {
            let (Some(load), Some(allowable)) = (eye_load, allowable) else {
                let mut missing = vec!["thickness"];
                missing.extend((allowable.is_none()).then_some("allowable"));
                missing.extend((eye_load.is_none()).then_some("load"));
                return Err(Trouble::Missing(missing));
            };
            let equal = given.maybe_word("limit_on")?.unwrap_or("full-leaf") == "equalised";
            let section = Section {
                full,
                graduated,
                half,
                load,
                allowable: given::positive("allowable", allowable)?,
                equal,
            };
            let (needed, text) =
                match (given.maybe::<Length>("width")?, given.maybe::<Number>("width_ratio")?) {
                    (Some(width), _) => (section.for_width(given::positive("width", width)?), "square root"),
                    (None, Some(ratio)) => {
                        (section.for_ratio(given::positive("width_ratio", ratio)?), "cube root")
                    }
                    (None, None) => return Err(Trouble::Missing(vec!["width", "width_ratio"])),
                };
            answer.put("thickness_needed", needed);
            answer.formula("thickness_needed", section.formula(text));
            let step: Length =
                given::positive("stock_step", given.or("stock_step", Length::of(1.0, unit::MM))?)?;
            // A hair of room, so that an exact multiple is not raised by rounding noise.
            Length::from_si((needed.si() / step.si() - 1e-9).ceil() * step.si())
        }
    };
    answer.put("thickness", thickness);
    let width = match (given.maybe::<Length>("width")?, given.maybe::<Number>("width_ratio")?) {
        (Some(width), _) => given::positive("width", width)?,
        (None, Some(ratio)) => thickness * given::positive("width_ratio", ratio)?.si(),
        (None, None) => return Err(Trouble::Missing(vec!["width"])),
    };
    answer.put("width", width);
    let pack = Pack { full, graduated, width, thickness, half, modulus };
    answer.put("second_moment", pack.second_moment());
    answer.put("ideal_rate", pack.ideal_rate());
    answer.put("rate", pack.rate());
    answer.put("stiffness_ratio", Number::from_si(pack.rate() / pack.ideal_rate()));
    if let Some(factor) = given.maybe::<Number>("stiffening")? {
        given::within("stiffening", factor, unit::ONE, 1.0..=1.5, HS788)?;
        answer.put("factored_rate", pack.ideal_rate() * factor.si());
    }
    if let Some(load) = eye_load {
        stresses(&pack, load, allowable, answer);
    }
    Ok(())
}

fn stresses(pack: &Pack, load: Force, allowable: Option<Stress>, answer: &mut Answer) {
    answer.put("deflection", deflection(load, pack.rate()));
    let (any_full, any_graduated) = (pack.full.si() > 0.0, pack.graduated.si() > 0.0);
    let mut worst = pack.stress_graduated(load);
    if any_full {
        worst = pack.stress_full(load);
        answer.put("stress_full", worst);
    }
    if any_graduated {
        answer.put("stress_graduated", pack.stress_graduated(load));
    }
    answer.put("stress_equal", pack.stress_equal(load));
    beyond_reason(worst, deflection(load, pack.rate()), pack.half, answer);
    if any_full && any_graduated {
        answer.put("nip", pack.nip(load));
        answer.put("bolt_force", pack.bolt_force(load));
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

fn counts(given: &Given) -> Result<(Number, Number), Trouble> {
    let full: Number = given.or("full_leaves", Number::from_si(0.0))?;
    given::within("full_leaves", full, unit::ONE, 0.0..=50.0, PACK)?;
    let graduated = match (given.maybe::<Number>("graduated_leaves")?, given.maybe::<Number>("leaves")?) {
        (Some(graduated), None) => graduated,
        (None, Some(all)) => all - full,
        (Some(graduated), Some(all)) => {
            if (all.si() - full.si() - graduated.si()).abs() > 1e-9 {
                return Err(Trouble::impossible(
                    "leaves is not full_leaves plus graduated_leaves",
                    "leave one of the three out",
                ));
            }
            graduated
        }
        (None, None) => return Err(Trouble::Missing(vec!["leaves"])),
    };
    given::within("graduated_leaves", graduated, unit::ONE, 0.0..=50.0, PACK)?;
    given::positive("leaves", full + graduated)?;
    whole_leaves("leaves", full)?;
    whole_leaves("leaves", graduated)?;
    Ok((full, graduated))
}

/// Refuses a part of a leaf.
///
/// # Errors
/// If the number is not whole.
pub(super) fn whole_leaves(name: &str, leaves: Number) -> Result<Number, Trouble> {
    if (leaves.si() - leaves.si().round()).abs() < 1e-9 {
        return Ok(leaves);
    }
    Err(Trouble::impossible(format!("{name} must be a whole number"), "count the leaves"))
}

/// Tells about a stress no spring steel takes and a deflection beyond the theory.
pub(super) fn beyond_reason(worst: Stress, sag: Length, half: Length, answer: &mut Answer) {
    if worst.to(unit::MPA) > SPRING_STEEL_YIELD {
        answer.warn(format!(
            "A stress of {:.0} MPa is above what quenched and tempered spring steel yields at, about {SPRING_STEEL_YIELD:.0} MPa (common practice): check load, length and thickness.",
            worst.to(unit::MPA)
        ));
    }
    if sag.si() > 0.5 * half.si() {
        answer.warn("The deflection is more than half the active half length, beyond small-deflection theory: check whether the length is that of a half or of the whole spring.");
    }
}

fn half_length(given: &Given) -> Result<Length, Trouble> {
    if let Some(half) = given.maybe::<Length>("half_length")? {
        return given::positive("half_length", half);
    }
    let Some(span) = given.maybe::<Length>("span")? else {
        return Err(Trouble::Missing(vec!["span"]));
    };
    let clamp: Length = given.or("clamp", Length::from_si(0.0))?;
    given::positive("span less clamp", span - clamp).map(|active| active / 2.0)
}

fn eye_load(given: &Given) -> Result<Option<Force>, Trouble> {
    let load = match given.maybe::<Force>("eye_load")? {
        Some(load) => Some(load),
        None => given.maybe::<Force>("load")?.map(|load| load / 2.0),
    };
    load.map(|load| given::positive("load", load)).transpose()
}
