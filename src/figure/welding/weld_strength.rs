//! Allowable stress on the throat of a fillet weld, and how a job states it:
//! an electrode, a tensile strength, or an allowable stress of its own.

use super::look_up::{LookedUp, Named, SHOP_SIZE, unknown};
use crate::figure::prelude::*;
use crate::quantity::parse;
use crate::reference::{electrode, en_filler};

/// Allowable shear on the throat of a fillet weld.
pub(super) const THROAT: Source = Source::standard(
    "ANSI/AISC 360-22",
    "table J2.5: 0.60 FEXX with phi = 0.75 or Omega = 2.00; AWS D1.1:2020 table 4.3 gives 0.30 FEXX",
);
const RANGE: Source =
    Source::practice("shear a steel weld may carry; outside it a unit is wrong").from_memory();
/// Directional strength increase.
pub(super) const DIRECTIONAL: Source = Source::standard("ANSI/AISC 360-22", "J2.4, eq. J2-5");
/// Stress of a weld taken as a line.
pub(super) const AS_LINE: Source = Source::handbook("Blodgett, Design of Welded Structures", "section 7.4");

/// Force per length of weld: 1 lbf/in and 0.1 N/mm.
pub(super) const LINE_LOAD: Style =
    Style::pair(Form::decimal(unit::LBF_PER_IN, 1.0), Form::decimal(unit::N_PER_MM, 0.1));

/// Warning that a static check doesn't cover service that reverses.
pub(super) const FATIGUE: &str = "These are static allowables. Brake, drive and road loads repeat and reverse: have a \
    qualified engineer check the joint for fatigue (AISC 360 appendix 3 or the IIW recommendations) before release.";

/// Tensile strength of a weld metal, by its class or in a unit of stress.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fexx(pub Stress);

/// A weld metal by its class, such as E70, or by its strength.
pub type Metal = Named<Fexx>;

impl LookedUp for Fexx {
    fn look_up(_: &str, name: &str) -> Result<Self> {
        tensile_strength(name).map(Self)
    }
}

words! {
    /// Design method.
    pub Method {
        /// Allowable strength design: loads as they act.
        Asd = "asd" | "allowable" | "allowable-stress",
        /// Load and resistance factor design: factored loads.
        Lrfd = "lrfd" | "load-and-resistance" | "limit-state",
    }
}

family! {
    /// Size of a fillet between faces at right angles.
    reads Size {
        optional leg: Length in SHOP_SIZE, "leg of the fillet; or give throat", "size", "z", "leg_size", "weld_size",
            "w", "h", "s";
        optional throat: Length in SHOP_SIZE, "effective throat, instead of the leg (equal legs at 90 deg)", "a",
            "effective_throat", "te";
    }
}

impl Size {
    /// The throat, from either.
    pub(super) fn effective_throat(&self) -> Result<Option<Length>> {
        match (*self.leg, *self.throat) {
            (Some(_), Some(_)) => Err(Trouble::impossible(
                "both leg and throat are given",
                "a drawing states one of them: z or the size is the leg, a is the throat",
            )),
            (leg, throat) => Ok(throat.or(leg.map(throat_of_leg))),
        }
    }
}

family! {
    /// What the weld metal may carry.
    reads Strength {
        optional electrode: Metal,
            "filler class such as E70, E6013, ER70S-6, E71T-1, or its tensile strength such as \"70 ksi\"", "fexx",
            "filler", "weld_metal", "wire", "rod";
        optional allowable: Stress in within(1.0, 1000.0, unit::MPA, RANGE).above_zero(),
            "allowable shear stress on the throat, instead of an electrode", "stress", "design_stress", "tau",
            "tau_allow", "allowable_stress", "allowable_shear";
        default method: Method = Asd, "asd: loads as they act, 0.30 FEXX; lrfd: factored loads, 0.45 FEXX", "design",
            "design_method";
    }
    rules { at_most_one(electrode, allowable); }
}

impl Strength {
    /// Tensile strength of the weld metal, if it is known.
    #[must_use]
    pub fn fexx(&self) -> Option<Stress> {
        self.electrode.as_ref().map(|metal| metal.0)
    }

    /// Allowable stress on the throat, if it is known.
    #[must_use]
    pub fn allowed(&self) -> Option<Stress> {
        self.allowable.or_else(|| self.fexx().map(|fexx| allowable_throat(fexx, *self.method)))
    }
}

impl Method {
    /// Allowable over nominal shear strength of a weld: 1/2.00 or 0.75.
    pub(super) const fn weld_share(self) -> f64 {
        match self {
            Method::Asd => 0.5,
            Method::Lrfd => 0.75,
        }
    }
}

/// Nominal shear strength of weld metal on the throat, 0.60 FEXX.
pub(super) fn nominal_throat(fexx: Stress) -> Stress {
    fexx * 0.60
}

/// Allowable shear on the throat: 0.30 FEXX (ASD) or 0.45 FEXX (LRFD).
pub(in crate::figure) fn allowable_throat(fexx: Stress, method: Method) -> Stress {
    nominal_throat(fexx) * method.weld_share()
}

/// Directional strength factor 1.0 + 0.50 sin^1.5(theta), theta between the
/// load and the weld axis; the sign of theta doesn't matter.
pub(super) fn directional(theta: Angle) -> Number {
    Number::from_si(1.0 + 0.5 * math::pow(math::sin(theta).abs(), 1.5))
}

/// Throat of an equal-leg fillet between faces at right angles.
pub(super) fn throat_of_leg(leg: Length) -> Length {
    leg / std::f64::consts::SQRT_2
}

/// Leg of an equal-leg fillet between faces at right angles.
pub(super) fn leg_of_throat(throat: Length) -> Length {
    throat * std::f64::consts::SQRT_2
}

/// Tensile strength of weld metal from a class (AWS A5 numbering) or a text
/// such as `70 ksi`. A bare number is in ksi.
///
/// # Errors
/// If the text is neither.
pub fn tensile_strength(text: &str) -> Result<Stress> {
    let unknown = || {
        let known =
            ["E60", "E70", "E7018", "ER70S-6", "E71T-1", "E11018", "E 42 4 B 32", "70 ksi", "480 MPa"];
        unknown("electrode", text, known.map(str::to_owned).to_vec())
    };
    if let Some(filler) = en_filler::find(text) {
        return Ok(filler.electrode.fexx());
    }
    let bare: String = text.to_uppercase().chars().filter(|c| !c.is_whitespace()).collect();
    // A covered electrode is called by its digits: 7018.
    let digits = bare.len() > 3 && bare.chars().all(|c| c.is_ascii_digit());
    if digits && let Some(filler) = electrode::find(&bare) {
        return Ok(filler.electrode.fexx());
    }
    if bare.starts_with(|c: char| c.is_ascii_digit()) {
        let with_unit = if bare.chars().all(|c| c.is_ascii_digit() || c == '.') {
            format!("{bare} ksi")
        } else {
            text.to_owned()
        };
        let stress: Stress =
            parse::maybe(Kind::Stress, &with_unit).and_then(|q| q.typed()).ok_or_else(unknown)?;
        // 40 to 160 ksi spans every steel filler; outside is a slip of units.
        within(40.0, 160.0, unit::KSI, THROAT).check("electrode", stress.into())?;
        return Ok(stress);
    }
    if let Some(stress) = metric_class(&bare) {
        return Ok(stress);
    }
    let flux_wire = bare.starts_with('F');
    let rest = bare.strip_prefix("ER").or_else(|| bare.strip_prefix(['E', 'F'])).ok_or_else(unknown)?;
    let split = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
    let (digits, tail) = rest.split_at(split);
    let number = digits.parse::<u32>().map_err(|_| unknown())?;
    // Stick electrodes carry two more digits for position and coating; tubular
    // wires carry one digit for position before the T; a flux-wire class gives
    // tens of ksi.
    let ksi = match digits.len() {
        4 | 5 => number / 100,
        1 if flux_wire => number * 10,
        2 if flux_wire && number < 20 => number * 10,
        2 | 3 if tail.starts_with('T') => number / 10 * 10,
        2 | 3 => number,
        _ => return Err(unknown()),
    };
    if !(60..=120).contains(&ksi) || ksi % 10 != 0 {
        return Err(unknown());
    }
    Ok(Stress::of(f64::from(ksi), unit::KSI))
}

/// Tensile strength of a metric AWS or CSA class, such as E49 or E4918: tens of
/// MPa in the first two digits (AWS A5.1M, CSA W48; from memory).
fn metric_class(bare: &str) -> Option<Stress> {
    let rest = bare.strip_prefix("ER").or_else(|| bare.strip_prefix('E'))?;
    let tens =
        ["43", "49", "55", "57", "62", "69", "76", "83"].iter().find(|tens| rest.starts_with(**tens))?;
    let tail = rest.get(2..)?;
    // A stick electrode has two more digits, a wire a letter; AWS E5510 would be
    // a strength of 55 ksi, which no steel filler has.
    let plain = tail.is_empty()
        || tail.starts_with(['T', 'S', 'C'])
        || tail.starts_with(|c: char| c.is_ascii_digit());
    let value: f64 = tens.parse().ok()?;
    plain.then(|| Stress::of(value * 10.0, unit::MPA))
}
