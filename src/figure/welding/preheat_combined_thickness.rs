//! Preheat or not by EN 1011-2 method A, table C.1, on combined thickness.

use super::parent_metal::{self, with_metal};
use super::{carbon_equivalent, look_up, preheat};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Dimensioned, HeatInput, Hydrogen, Kind, Length, MassFraction, unit};
use crate::source::Source;

/// The table.
pub(super) const TABLE: Source = Source::standard("EN 1011-2:2001+A1:2003", "annex C.2, table C.1");
const COMBINED: Source = Source::standard("EN 1011-2:2001", "annex C.2, combined thickness");

/// Words for the joint.
pub(super) const JOINTS: &[&str] = &["butt", "t-fillet", "t-joint", "tee", "fillet", "lap", "corner"];

/// Method A without its curves.
pub static PREHEAT_COMBINED_THICKNESS: Family = Family {
    name: "preheat-combined-thickness",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "whether preheat is needed by EN 1011-2 method A, table C.1 (CE and combined thickness)",
    inputs: with_metal![
        Input::optional(
            "ce",
            Kind::MassFraction,
            "carbon equivalent CE (IIW), instead of a steel or composition"
        )
        .also(&["cev", "ce_iiw"]),
        Input::optional("hydrogen", Kind::Hydrogen, "diffusible hydrogen, ml per 100 g deposited")
            .also(&["hd", "h"]),
        Input::name("electrode", Need::Optional, "filler classification, instead of hydrogen")
            .also(&["filler"]),
        Input::choice(
            "hydrogen_scale",
            &["A", "B", "C", "D", "E"],
            Need::Optional,
            "hydrogen scale, instead of hydrogen; the upper end of the scale is taken"
        )
        .also(&["scale"]),
        Input::required("heat_input", Kind::HeatInput, "heat input with k").also(&["heat", "q"]),
        Input::choice("joint", JOINTS, Need::Optional, "kind of joint, with thickness")
            .also(&["joint_type", "weld_type"]),
        Input::optional(
            "thickness",
            Kind::Length,
            "thickness, averaged over 75 mm from the weld; of a tee or lap the part that runs through"
        )
        .also(&["t", "t1", "thickness_1"]),
        Input::optional("thickness_2", Kind::Length, "thickness of the other part; the same if not given")
            .also(&["t2"]),
        Input::flag("twin", "two fillets made at the same time, one on each side").also(&["simultaneous"]),
        Input::optional(
            "combined_thickness",
            Kind::Length,
            "combined thickness, instead of joint and thickness"
        )
        .also(&["combined"]),
    ],
    outputs: &[
        Output::new(
            "combined_thickness",
            "combined thickness",
            Kind::Length,
            "butt, corner: t1 + t2; tee, lap: 2 t1 + t2; half of it with twin fillets",
            COMBINED,
        )
        .up(),
        Output::word(
            "hydrogen_scale",
            "hydrogen scale",
            "A >15, B >10 to 15, C >5 to 10, D >3 to 5, E up to 3 ml/100g",
            TABLE,
        ),
        Output::new("ce_column", "column of CE used", Kind::MassFraction, "next tabulated CE above", TABLE),
        Output::new(
            "heat_input_column",
            "column of heat input used",
            Kind::HeatInput,
            "next tabulated heat input below",
            TABLE,
        ),
        Output::new(
            "limit",
            "largest combined thickness that needs no preheat",
            Kind::Length,
            "table C.1",
            TABLE,
        )
        .range("CE up to 0.49 %, heat input 1.0 kJ/mm and up; not interpolated")
        .down(),
        Output::flag("preheat_needed", "preheat must be assessed", "combined_thickness above limit", TABLE),
        Output::word("verdict", "verdict", "combined_thickness against limit", TABLE),
    ],
    example: "ce=0.43 heat_input=\"1.0 kJ/mm\" hydrogen=\"8 ml/100g\" joint=t-fillet thickness=\"16 mm\"",
    run,
};

/// Hydrogen scale letter, its upper limit (ml/100 g), and the limits of
/// combined thickness (mm) for CE 0.49 at 1.0 and 2.0 kJ/mm and CE 0.43 at the
/// same.
const ROWS: [(&str, f64, [f64; 4]); 5] = [
    ("E", 3.0, [60.0, 100.0, 100.0, 100.0]),
    ("D", 5.0, [50.0, 100.0, 100.0, 100.0]),
    ("C", 10.0, [35.0, 65.0, 60.0, 100.0]),
    ("B", 15.0, [30.0, 55.0, 50.0, 90.0]),
    ("A", f64::INFINITY, [25.0, 50.0, 40.0, 80.0]),
];

/// One reading of table C.1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Hydrogen scale, A to E.
    pub scale: &'static str,
    /// CE column used.
    pub ce: MassFraction,
    /// Heat input column used.
    pub heat_input: HeatInput,
    /// Largest combined thickness that needs no preheat.
    pub limit: Length,
}

/// Reads table C.1 without interpolation: CE at the next column above, heat
/// input at the next column below, which both err towards preheat.
///
/// # Errors
/// If CE is above 0.49 % or the heat input below 1.0 kJ/mm: the table has no
/// column there, and the curves of the standard must be read.
pub fn table_c1(ce: MassFraction, hydrogen: Hydrogen, heat_input: HeatInput) -> Result<Reading, Trouble> {
    given::within("ce", ce, unit::PCT_MASS, 0.0..=0.49, TABLE)?;
    look_up::at_least("heat_input", heat_input, unit::KJ_MM, 1.0, TABLE)?;
    given::positive("hydrogen", hydrogen)?;
    let slack = 1.0 + 1e-9;
    let (ce_column, offset) = if ce.si() <= 0.43 * slack { (0.43, 2) } else { (0.49, 0) };
    let (q_column, step) = if heat_input.to(unit::KJ_MM) * slack >= 2.0 { (2.0, 1) } else { (1.0, 0) };
    let hd = hydrogen.to(unit::ML_100G);
    let (scale, _, limits) = ROWS.iter().find(|(_, top, _)| hd <= top * slack).unwrap_or(&ROWS[4]);
    Ok(Reading {
        scale,
        ce: MassFraction::from_si(ce_column),
        heat_input: HeatInput::of(q_column, unit::KJ_MM),
        limit: Length::of(limits[offset + step], unit::MM),
    })
}

/// Combined thickness: the sum of the paths that carry heat away from the weld.
/// In a tee or a lap `through` counts twice because it runs on to both sides;
/// twin fillets share the paths, so half the sum counts for each.
#[must_use]
pub fn combined(joint: &str, through: Length, other: Length, twin: bool) -> Length {
    let sum = match joint {
        "butt" | "corner" => through + other,
        _ => through * 2.0 + other,
    };
    if twin { sum / 2.0 } else { sum }
}

/// Combined thickness as given or of the joint.
pub(super) fn combined_thickness(given: &Given) -> Result<Length, Trouble> {
    if let Some(combined) = given.maybe::<Length>("combined_thickness")? {
        return given::positive("combined_thickness", combined);
    }
    given.require(&["joint", "thickness"])?;
    let through: Length = given::positive("thickness", given.need("thickness")?)?;
    let other = given::positive("thickness_2", given.or("thickness_2", through)?)?;
    Ok(combined(given.word("joint")?, through, other, given.flag("twin")?))
}

/// Hydrogen as given, by classification, or at the upper end of a scale.
fn hydrogen(given: &Given, answer: &mut Answer) -> Result<Hydrogen, Trouble> {
    if given.has("hydrogen") || given.has("electrode") {
        return preheat::hydrogen(given, answer);
    }
    match given.maybe_word("hydrogen_scale")? {
        Some(scale) => {
            let top =
                ROWS.iter().find(|(letter, ..)| *letter == scale).map_or(f64::INFINITY, |(_, top, _)| *top);
            // Scale A has no upper end: 30 ml/100 g is that of uncontrolled fillers.
            Ok(Hydrogen::of(top.min(30.0), unit::ML_100G))
        }
        None => preheat::hydrogen(given, answer),
    }
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let metal = parent_metal::read(given, "ce", answer)?;
    let ce = parent_metal::index(given, "ce", metal.as_ref(), carbon_equivalent::ce, answer)?;
    if let (Some(metal), false) = (&metal, given.has("ce")) {
        let outside = carbon_equivalent::outside_ce(&metal.composition);
        carbon_equivalent::warn_outside(answer, "CE", &outside);
    }
    let hydrogen = hydrogen(given, answer)?;
    let thickness = combined_thickness(given)?;
    let heat: HeatInput = given::positive("heat_input", given.need("heat_input")?)?;
    given::positive("ce", ce)?;
    answer.put("combined_thickness", thickness);
    let reading = match table_c1(ce, hydrogen, heat) {
        Ok(reading) => reading,
        // Past its columns the table allows nothing cold: the curves decide.
        Err(why @ Trouble::OutOfRange { .. }) if hydrogen.si() > 0.0 => {
            answer.put_flag("preheat_needed", true);
            answer.put_word("verdict", "assess preheat");
            answer.warn(format!(
                "Table C.1 has no column here, so it lets no joint go without preheat: {why}. Read the preheat from the \
                 curves of method A or compute it by method B."
            ));
            return Ok(());
        }
        Err(why) => return Err(why),
    };
    let needed = needs_preheat(thickness, &reading);
    answer.put_word("hydrogen_scale", reading.scale);
    answer.put("ce_column", reading.ce);
    answer.put("heat_input_column", reading.heat_input);
    answer.put("limit", reading.limit);
    answer.put_flag("preheat_needed", needed);
    answer.put_word("verdict", if needed { "assess preheat" } else { "no preheat" });
    if needed {
        answer.warn(
            "The joint is thicker than table C.1 allows without preheat: read the preheat from the curves of method A \
             or compute it by method B.",
        );
    }
    Ok(())
}

/// Whether a combined thickness is above what the table allows cold.
pub(super) fn needs_preheat(thickness: Length, reading: &Reading) -> bool {
    thickness.si() > reading.limit.si() * (1.0 + 1e-9)
}
