//! Preheat or not by EN 1011-2 method A, table C.1, on combined thickness.

use super::look_up::{self, Filler};
use super::parent_metal::{self, Parent};
use super::{carbon_equivalent, preheat};
use crate::figure::prelude::*;
use crate::figure::rule::agree;
use crate::figure::usual::{EQUIVALENT, HEAT_INPUT, HYDROGEN, PLATE, TOGETHER};

pub(super) const TABLE: Source = Source::standard("EN 1011-2:2001+A1:2003", "annex C.2, table C.1");
const COMBINED: Source = Source::standard("EN 1011-2:2001", "annex C.2, combined thickness");

words! {
    /// Joint, by the paths that carry its heat away.
    pub Joint {
        Butt = "butt" | "groove",
        Corner = "corner",
        Tee = "tee" | "t-fillet" | "t-joint" | "fillet" | "t",
        Lap = "lap",
    }
}

words! {
    /// Hydrogen scale, from the wettest.
    pub Scale { A = "A", B = "B", C = "C", D = "D", E = "E", }
}

family! {
    /// Method A without its curves.
    pub PREHEAT_COMBINED_THICKNESS = "preheat-combined-thickness" in Welding:
        "whether preheat is needed by EN 1011-2 method A, table C.1 (CE and combined thickness)";
    also "preheat-a", "preheat-method-a", "method-a", "combined-thickness";
    reads PreheatCombinedThickness {
        ..metal: Parent;
        optional ce: MassFraction in EQUIVALENT, "carbon equivalent CE (IIW), instead of a steel or composition",
            "cev", "ce_iiw";
        optional hydrogen: Hydrogen in HYDROGEN, "diffusible hydrogen, ml per 100 g deposited", "hd", "h";
        optional electrode: Filler, "filler classification, instead of hydrogen", "filler";
        optional hydrogen_scale: Scale,
            "hydrogen scale, instead of hydrogen; the upper end of the scale is taken", "scale";
        required heat_input: HeatInput in HEAT_INPUT, "heat input with k", "heat", "q";
        optional joint: Joint, "kind of joint, with thickness", "joint_type", "weld_type";
        optional thickness: Length in PLATE,
            "thickness, averaged over 75 mm from the weld; of a tee or lap the part that runs through", "t",
            "t1", "d1", "thickness_1";
        fallback thickness_2: Length = "thickness" in ABOVE_ZERO, "thickness of the other part", "t2", "d2";
        flag twin: bool, "two fillets made at the same time, one on each side", "simultaneous";
        optional combined_thickness: Length in TOGETHER, "combined thickness, instead of joint and thickness",
            "combined";
    }
    gives PreheatCombinedThicknessAnswer {
        combined_thickness: Length, "combined thickness",
            "butt, corner: t1 + t2; tee, lap: 2 t1 + t2; half of it with twin fillets", COMBINED => .style(GAUGE).up();
        hydrogen_scale: Scale, "hydrogen scale", "A >15, B >10 to 15, C >5 to 10, D >3 to 5, E up to 3 ml/100g",
            TABLE;
        ce_column: MassFraction, "column of CE used", "next tabulated CE above", TABLE;
        heat_input_column: HeatInput, "column of heat input used", "next tabulated heat input below", TABLE;
        limit: Length, "largest combined thickness that needs no preheat", "table C.1", TABLE => .range(
            "CE up to 0.49 %, heat input 1.0 kJ/mm and up; not interpolated").style(GAUGE).at_most();
        preheat_needed: bool, "preheat must be assessed", "combined_thickness above limit", TABLE
            => .claims(&["no"]);
        verdict: String, "verdict", "combined_thickness against limit", TABLE
            => .claims(&["no preheat"]);
    }
    asked verdict;
    example "ce=0.43 heat_input=\"1.0 kJ/mm\" hydrogen=\"8 ml/100g\" joint=t-fillet thickness=\"16 mm\"";
    by run
}

/// Hydrogen scale letter, its upper limit (ml/100 g), and the limits of
/// combined thickness (mm) for CE 0.49 at 1.0 and 2.0 kJ/mm and CE 0.43 at the
/// same.
const ROWS: [Row; 5] = [
    (Scale::E, 3.0, [60.0, 100.0, 100.0, 100.0]),
    (Scale::D, 5.0, [50.0, 100.0, 100.0, 100.0]),
    (Scale::C, 10.0, [35.0, 65.0, 60.0, 100.0]),
    (Scale::B, 15.0, [30.0, 55.0, 50.0, 90.0]),
    (Scale::A, f64::INFINITY, [25.0, 50.0, 40.0, 80.0]),
];

type Row = (Scale, f64, [f64; 4]);

impl Scale {
    /// Its row of the table.
    fn row(self) -> &'static Row {
        ROWS.iter().find(|(scale, ..)| *scale == self).unwrap_or(&ROWS[4])
    }

    /// The row of a hydrogen content.
    fn row_of(hydrogen: Hydrogen) -> &'static Row {
        let hd = hydrogen.to(unit::ML_100G);
        ROWS.iter().find(|(_, top, _)| hd <= top * (1.0 + 1e-9)).unwrap_or(&ROWS[4])
    }

    /// The scale of a hydrogen content.
    fn of_hydrogen(hydrogen: Hydrogen) -> Self {
        Self::row_of(hydrogen).0
    }
}

/// One reading of table C.1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Hydrogen scale, A to E.
    pub scale: Scale,
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
pub fn table_c1(ce: MassFraction, hydrogen: Hydrogen, heat_input: HeatInput) -> Result<Reading> {
    within(0.0, 0.49, unit::PCT_MASS, TABLE).check("ce", ce.into())?;
    look_up::at_least("heat_input", heat_input, unit::KJ_MM, 1.0, TABLE)?;
    let slack = 1.0 + 1e-9;
    let (ce_column, offset) = if ce.si() <= 0.43 * slack { (0.43, 2) } else { (0.49, 0) };
    let (q_column, step) = if heat_input.to(unit::KJ_MM) * slack >= 2.0 { (2.0, 1) } else { (1.0, 0) };
    let (scale, _, limits) = Scale::row_of(hydrogen);
    Ok(Reading {
        scale: *scale,
        ce: MassFraction::from_si(ce_column),
        heat_input: HeatInput::of(q_column, unit::KJ_MM),
        limit: Length::of(limits[offset + step], unit::MM),
    })
}

/// Combined thickness: the sum of the paths that carry heat away from the weld.
/// In a tee or a lap `through` counts twice because it runs on to both sides;
/// twin fillets share the paths, so half the sum counts for each.
#[must_use]
pub fn combined(joint: Joint, through: Length, other: Length, twin: bool) -> Length {
    let sum = match joint {
        Joint::Butt | Joint::Corner => through + other,
        Joint::Tee | Joint::Lap => through * 2.0 + other,
    };
    if twin { sum / 2.0 } else { sum }
}

/// Combined thickness as given or of the joint.
pub(super) fn combined_thickness(
    stated: &Read<Option<Length>>,
    joint: &Read<Option<Joint>>,
    [thickness, other]: [&Read<Option<Length>>; 2],
    twin: &Read<bool>,
) -> Result<Length> {
    if let Some(combined) = **stated {
        (twin.given() && **twin).refuse(
            "combined_thickness is given and twin too: it is halved for twin fillets already, or not at all",
            "leave twin out",
        )?;
        // Stated twice, it is one thickness or a slip.
        if let (Some(joint), Some(through)) = (**joint, **thickness) {
            let sum = self::combined(joint, through, other.unwrap_or(through), false);
            agree(("combined_thickness", combined), ("that of joint and thickness", sum), sum * 0.02)?;
        }
        return Ok(combined);
    }
    require(&[joint, thickness])?;
    let through = thickness.need()?;
    (**twin && matches!(joint.need()?, Joint::Butt | Joint::Corner))
        .refuse("a butt or a corner has no twin fillets", "leave twin out, or check joint")?;
    Ok(combined(joint.need()?, through, other.unwrap_or(through), **twin))
}

fn run(given: &PreheatCombinedThickness, answer: &mut PreheatCombinedThicknessAnswer) -> Result<()> {
    let metal = given.metal.read(!given.ce.given(), &mut answer.said)?;
    let ce = parent_metal::index(&given.ce, metal.as_ref(), carbon_equivalent::ce, &mut answer.said)?;
    if let (Some(metal), false) = (&metal, given.ce.given()) {
        let outside = carbon_equivalent::outside_ce(&metal.composition);
        carbon_equivalent::warn_outside(&mut answer.said, "CE", &outside);
    }
    let hydrogen = if given.hydrogen.given() || given.electrode.given() || !given.hydrogen_scale.given() {
        preheat::hydrogen(&given.hydrogen, &given.electrode, &mut answer.said)?
    } else {
        // Scale A has no upper end: 30 ml/100 g is that of uncontrolled fillers.
        let top = given.hydrogen_scale.map_or(f64::INFINITY, |scale| scale.row().1);
        Hydrogen::of(top.min(30.0), unit::ML_100G)
    };
    if given.hydrogen_scale.is_some_and(|scale| scale != Scale::of_hydrogen(hydrogen)) {
        let why = format!("{} ml/100g is of another scale", hydrogen.to(unit::ML_100G));
        return Err(look_up::contradict("hydrogen_scale", "hydrogen", &why));
    }
    let sizes = [&given.thickness, &given.thickness_2];
    let thickness = combined_thickness(&given.combined_thickness, &given.joint, sizes, &given.twin)?;
    answer.combined_thickness.put(thickness);
    // A column has no ±: the strictest the uncertainty reaches is read.
    let most = ce + MassFraction::from_si(2.0 * given.ce.uncertainty());
    let wettest = hydrogen + Hydrogen::from_si(2.0 * given.hydrogen.uncertainty());
    let coldest = *given.heat_input - HeatInput::from_si(2.0 * given.heat_input.uncertainty());
    let reading = match table_c1(most, wettest, coldest) {
        Ok(reading) => reading,
        // Past its columns the table allows nothing cold: the curves decide.
        Err(why @ Trouble::OutOfRange { .. }) => {
            answer.preheat_needed.put(true);
            answer.verdict.put("assess preheat".to_owned());
            answer.warn(format!(
                "Table C.1 has no column here, so it lets no joint go without preheat: {why}. Read the preheat from the \
                 curves of method A or compute it by method B."
            ));
            return Ok(());
        }
        Err(why) => return Err(why),
    };
    answer.hydrogen_scale.put(reading.scale);
    answer.ce_column.decide(reading.ce);
    answer.heat_input_column.decide(reading.heat_input);
    let limit = answer.limit.decide(reading.limit);
    let reading = Reading { limit, ..reading };
    let needed = needs_preheat(thickness, &reading);
    answer.preheat_needed.put(needed);
    answer.verdict.put(if needed { "assess preheat" } else { "no preheat" }.to_owned());
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
