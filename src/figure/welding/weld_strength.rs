//! Allowable stress on the throat of a fillet weld, and how a job states it:
//! an electrode, a tensile strength, or an allowable stress of its own.

use super::look_up::shop_size;
use crate::figure::{Given, Input, Need, Trouble, given};
use crate::quantity::{Angle, Dimensioned, Form, Kind, Length, Number, Stress, Style, math, parse, unit};
use crate::reference::en_filler;
use crate::source::Source;

/// Allowable shear on the throat of a fillet weld.
pub const THROAT: Source = Source::standard(
    "ANSI/AISC 360-22",
    "table J2.5: 0.60 FEXX with phi = 0.75 or Omega = 2.00; AWS D1.1:2020 table 4.3 gives 0.30 FEXX",
);
const RANGE: Source =
    Source::practice("shear a steel weld may carry; outside it a unit is wrong").from_memory();
/// Directional strength increase.
pub const DIRECTIONAL: Source = Source::standard("ANSI/AISC 360-22", "J2.4, eq. J2-5");
/// Stress of a weld taken as a line.
pub const AS_LINE: Source = Source::handbook("Blodgett, Design of Welded Structures", "section 7.4");

/// Force per length of weld: 1 lbf/in and 0.1 N/mm.
pub const LINE_LOAD: Style =
    Style::pair(Form::decimal(unit::LBF_PER_IN, 1.0), Form::decimal(unit::N_PER_MM, 0.1));
/// A whole number of passes, tacks or segments.
pub const COUNT: Style = Style::single(Form::decimal(unit::ONE, 1.0));

/// Warning that a static check doesn't cover service that reverses.
pub const FATIGUE: &str = "These are static allowables. Brake, drive and road loads repeat and reverse: have a \
    qualified engineer check the joint for fatigue (AISC 360 appendix 3 or the IIW recommendations) before release.";

/// The electrode input, shared by the families that need a weld metal.
pub const ELECTRODE: Input = Input::name(
    "electrode",
    Need::Optional,
    "filler class such as E70, E6013, ER70S-6, E71T-1, or its tensile strength such as \"70 ksi\"",
)
.also(&["fexx", "filler", "weld_metal", "wire", "rod", "electrode_strength"]);

/// The allowable input: used instead of an electrode.
pub const ALLOWABLE: Input = Input::optional(
    "allowable",
    Kind::Stress,
    "allowable shear stress on the throat, instead of an electrode",
)
.also(&[
    "stress",
    "design_stress",
    "tau",
    "tau_allow",
    "allowable_stress",
    "allowable_shear",
    "permissible_stress",
    "tau_allowable",
]);

/// The method input.
pub const METHOD: Input = Input::choice(
    "method",
    &["asd", "lrfd"],
    Need::Default("asd"),
    "asd: loads as they act, 0.30 FEXX; lrfd: factored loads, 0.45 FEXX",
)
.also(&["design", "design_method"]);

/// The leg input.
pub const LEG: Input = Input::optional("leg", Kind::Length, "leg of the fillet; or give throat").also(&[
    "size",
    "z",
    "leg_size",
    "weld_size",
    "w",
    "h",
    "s",
]);

/// The throat input.
pub const THROAT_INPUT: Input =
    Input::optional("throat", Kind::Length, "effective throat, instead of the leg (equal legs at 90 deg)")
        .also(&["a", "effective_throat", "te"]);

/// Design method.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Allowable strength design: loads as they act.
    Asd,
    /// Load and resistance factor design: factored loads.
    Lrfd,
}

impl Method {
    /// Allowable over nominal shear strength of a weld: 1/2.00 or 0.75.
    #[must_use]
    pub const fn weld_share(self) -> f64 {
        match self {
            Method::Asd => 0.5,
            Method::Lrfd => 0.75,
        }
    }

    /// Reads `method`.
    ///
    /// # Errors
    /// If the input is not a word.
    pub fn read(given: &Given) -> Result<Self, Trouble> {
        Ok(if given.maybe_word("method")? == Some("lrfd") { Method::Lrfd } else { Method::Asd })
    }
}

/// Nominal shear strength of weld metal on the throat, 0.60 FEXX.
#[must_use]
pub fn nominal_throat(fexx: Stress) -> Stress {
    fexx * 0.60
}

/// Allowable shear on the throat: 0.30 FEXX (ASD) or 0.45 FEXX (LRFD).
#[must_use]
pub fn allowable_throat(fexx: Stress, method: Method) -> Stress {
    nominal_throat(fexx) * method.weld_share()
}

/// Directional strength factor 1.0 + 0.50 sin^1.5(theta), theta between the
/// load and the weld axis; the sign of theta doesn't matter.
#[must_use]
pub fn directional(theta: Angle) -> Number {
    Number::from_si(1.0 + 0.5 * math::pow(math::sin(theta).abs(), 1.5))
}

/// Throat of an equal-leg fillet between faces at right angles.
#[must_use]
pub fn throat_of_leg(leg: Length) -> Length {
    leg / std::f64::consts::SQRT_2
}

/// Leg of an equal-leg fillet between faces at right angles.
#[must_use]
pub fn leg_of_throat(throat: Length) -> Length {
    throat * std::f64::consts::SQRT_2
}

/// Tensile strength of weld metal from a class (AWS A5 numbering) or a text
/// such as `70 ksi`. A bare number is in ksi.
///
/// # Errors
/// If the text is neither.
pub fn tensile_strength(text: &str) -> Result<Stress, Trouble> {
    let unknown = || Trouble::Unknown {
        input: "electrode".to_owned(),
        given: text.to_owned(),
        choices: [
            "E60",
            "E70",
            "E7018",
            "ER70S-6",
            "E71T-1",
            "E11018",
            "E 42 4 B 32",
            "a strength such as 70 ksi or 480 MPa",
        ]
        .map(str::to_owned)
        .to_vec(),
    };
    if let Some(filler) = en_filler::find(text) {
        return Ok(filler.electrode.fexx());
    }
    let bare: String = text.to_uppercase().chars().filter(|c| !c.is_whitespace()).collect();
    if bare.starts_with(|c: char| c.is_ascii_digit()) {
        let with_unit = if bare.chars().all(|c| c.is_ascii_digit() || c == '.') {
            format!("{bare} ksi")
        } else {
            text.to_owned()
        };
        let stress: Stress =
            parse::quantity(Kind::Stress, &with_unit).ok().and_then(|q| q.typed()).ok_or_else(unknown)?;
        // 40 to 160 ksi spans every steel filler; outside is a slip of units.
        given::within("electrode", stress, unit::KSI, 40.0..=160.0, THROAT)?;
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

/// Reads `electrode` as a tensile strength, if it was given.
///
/// # Errors
/// If the text is no class and no strength.
pub fn read_electrode(given: &Given) -> Result<Option<Stress>, Trouble> {
    given.maybe_word("electrode")?.map(tensile_strength).transpose()
}

/// Reads the allowable throat stress from `allowable` or `electrode`.
///
/// # Errors
/// If both are given, or either is unusable.
pub fn read_allowable(given: &Given) -> Result<Option<Stress>, Trouble> {
    let fexx = read_electrode(given)?;
    match (given.maybe::<Stress>("allowable")?, fexx) {
        (Some(_), Some(_)) => Err(Trouble::impossible(
            "both electrode and allowable are given",
            "give the electrode, or the allowable stress on the throat, not both",
        )),
        (Some(tau), None) => {
            given::positive("allowable", tau)?;
            given::within("allowable", tau, unit::MPA, 1.0..=1000.0, RANGE)?;
            Ok(Some(tau))
        }
        (None, Some(fexx)) => Ok(Some(allowable_throat(fexx, Method::read(given)?))),
        (None, None) => Ok(None),
    }
}

/// Reads the throat from `leg` or `throat`.
///
/// # Errors
/// If both are given, or one is not above zero.
pub fn read_throat(given: &Given) -> Result<Option<Length>, Trouble> {
    match (given.maybe::<Length>("leg")?, given.maybe::<Length>("throat")?) {
        (Some(_), Some(_)) => Err(Trouble::impossible(
            "both leg and throat are given",
            "a drawing states one of them: z or the size is the leg, a is the throat",
        )),
        (Some(leg), None) => Ok(Some(throat_of_leg(shop_size("leg", leg)?))),
        (None, Some(throat)) => shop_size("throat", throat).map(Some),
        (None, None) => Ok(None),
    }
}
