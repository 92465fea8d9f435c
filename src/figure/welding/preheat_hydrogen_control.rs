//! Preheat by the hydrogen-control method of AWS D1.1.

use super::code_temperature::{CONTROL, cell, style};
use super::column::Column;
use super::look_up::{Filler, thickest, unknown};
use super::parent_metal::{self, Parent};
use super::preheat_category::warn_columns;
use super::{carbon_equivalent, preheat};
use crate::figure::prelude::*;
use crate::figure::usual::{EQUIVALENT, HYDROGEN, PLATE};

const INDEX: Source =
    Source::standard("AWS D1.1:2020", "annex B (2015: annex H), susceptibility index").from_memory();
/// The table, recalled.
pub(super) const TABLE: Source =
    Source::standard("AWS D1.1:2020", "annex B (2015: annex H), minimum preheat by restraint").from_memory();

words! {
    /// Restraint of the joint.
    pub Restraint { Low = "low", Medium = "medium", High = "high", }
}

words! {
    /// Hydrogen level.
    pub Level {
        /// Extra-low, 5 ml/100 g:
        H1 = "H1" | "extra-low",
        /// Low, 10 ml/100 g:
        H2 = "H2" | "low",
        /// Uncontrolled, 30 ml/100 g:
        H3 = "H3" | "uncontrolled",
    }
}

words! {
    /// Where the group comes from.
    pub GroupBy { Higher = "higher", Formula = "formula", Table = "table", }
}

family! {
    pub PREHEAT_HYDROGEN_CONTROL = "preheat-hydrogen-control" in Welding:
        "minimum preheat by the hydrogen-control method of AWS D1.1 (Pcm, hydrogen, restraint)";
    also "hydrogen-control", "susceptibility-index", "hydrogen-control-method", "preheat-pcm";
    reads PreheatHydrogenControl {
        ..metal: Parent;
        optional pcm: MassFraction in EQUIVALENT, "Pcm of the parent metal, instead of a steel or composition";
        optional hydrogen_level: Level, "H1 extra-low (5), H2 low (10), H3 uncontrolled (30 ml/100g)", "level", "hydrogen", "h";
        optional hydrogen: Hydrogen in HYDROGEN, "tested diffusible hydrogen, instead of a level", "hd", "h";
        optional electrode: Filler, "filler classification, instead of hydrogen", "filler";
        optional restraint: Restraint, "restraint of the joint", "restraint_level";
        optional thickness: Length in PLATE, "thickest part at the point of welding", "plate_thickness",
            "plate", "t", "d";
        default group_by: GroupBy = Higher,
            "group from the index formula, or from the letter table by Pcm and level; higher takes the higher of both";
        default table: Column = Inch,
            "column of the code's table; at the bench that of the units the thickness is written in", "units",
            "column";
    }
    rules { together(restraint, thickness); }
    gives PreheatHydrogenControlAnswer {
        pcm_used: MassFraction, "Pcm used", "as given, or of the composition", carbon_equivalent::PCM;
        susceptibility_index: Number, "susceptibility index", "12 Pcm + log10 H", INDEX;
        index_group: String, "group by the formula",
            "index rounded to one decimal: A to 3.0, B to 3.5, C to 4.0, D to 4.5, E to 5.0, F to 5.5, G to 7.0",
            INDEX;
        table_group: String, "group by the letter table", "by bound of Pcm and hydrogen level", INDEX;
        group: String, "group used", "the higher of both, or as group_by says", INDEX;
        needed: bool, "preheat above room temperature needed", "cell of 65 degF or more", TABLE
            => .claims(&["no"]);
        preheat: Temperature, "minimum preheat and interpass temperature",
            "table by group, restraint and thickness", TABLE => .range(
            "provisional: recalled cell by cell; check against the code").style(style(CONTROL, 5.0));
        index_preheat: Temperature, "minimum preheat of the group by the formula",
            "table by group, restraint and thickness", TABLE => .style(style(CONTROL, 5.0));
        table_preheat: Temperature, "minimum preheat of the group by the letter table",
            "table by group, restraint and thickness", TABLE => .style(style(CONTROL, 5.0));
        column: Column, "column of the table read", "as table says", TABLE;
        preheat_other_column: Temperature, "minimum preheat of the other column",
            "inch rows: 3/8, 3/4, 1-1/2, 3 in; metric rows: 10, 20, 38, 75 mm", TABLE => .style(style(CONTROL,
            5.0));
    }
    asked preheat;
    example "pcm=0.2472 hydrogen_level=H1 restraint=medium thickness=\"1 in\"";
    by run
}

/// Susceptibility index 12 Pcm + log10 H.
pub(super) fn susceptibility_index(pcm: MassFraction, hydrogen: Hydrogen) -> Number {
    Number::from_si(12.0 * pcm.si() + math::log10(hydrogen.to(unit::ML_100G)))
}

const GROUPS: [(char, f64); 7] =
    [('A', 3.0), ('B', 3.5), ('C', 4.0), ('D', 4.5), ('E', 5.0), ('F', 5.5), ('G', 7.0)];

/// Group of an index, which is rounded to one decimal first: the printed
/// ranges (3.1 to 3.5, 3.6 to 4.0 …) leave gaps that only rounding closes.
///
/// # Errors
/// If the rounded index is above 7.0, where the method ends.
pub fn group_of(index: Number) -> Result<char> {
    let rounded = (index.si() * 10.0).round() / 10.0;
    GROUPS.iter().find(|(_, top)| rounded <= *top).map(|(letter, _)| *letter).ok_or_else(|| {
        Trouble::OutOfRange {
            input: "susceptibility index".to_owned(),
            given: format!("{rounded:.1}"),
            range: "values up to 7.0".to_owned(),
            source: INDEX,
        }
    })
}

/// Group by the letter table: the first bound of Pcm the value is under, and
/// the hydrogen level. None where Pcm is past the table.
pub(super) fn table_group(pcm: MassFraction, hydrogen: Hydrogen) -> Option<char> {
    let column = [0.18, 0.23, 0.28, 0.33, 0.38].iter().position(|bound| pcm.si() < *bound)?;
    let hd = hydrogen.to(unit::ML_100G);
    let level = if hd <= 5.0 {
        0
    } else if hd <= 10.0 {
        1
    } else {
        2
    };
    GROUPS.get(column + level).map(|(letter, _)| *letter)
}

/// The higher of the two groups: the bound of the letter table and the index of
/// the Pcm itself need not give the same.
#[must_use]
pub fn higher(by_formula: char, by_table: Option<char>) -> char {
    by_table.map_or(by_formula, |letter| letter.max(by_formula))
}

/// Below this the table only says "under 65 degF".
const COLD: f64 = 0.0;

/// Degrees Fahrenheit by restraint, thickness (up to 3/8, 3/4, 1-1/2, 3 in and
/// over) and group A to G; zero stands for "under 65". The doubtful cell (low
/// restraint, over 3/4 to 1-1/2 in, group C: 65 or 80) takes the safer 80.
const LOW: [[f64; 7]; 5] = [
    [COLD, COLD, COLD, COLD, 140.0, 280.0, 300.0],
    [COLD, COLD, 65.0, 140.0, 210.0, 280.0, 300.0],
    [COLD, COLD, 80.0, 175.0, 230.0, 280.0, 300.0],
    [65.0, 65.0, 100.0, 200.0, 250.0, 280.0, 300.0],
    [65.0, 65.0, 100.0, 200.0, 250.0, 280.0, 300.0],
];
const MEDIUM: [[f64; 7]; 5] = [
    [COLD, COLD, COLD, COLD, 160.0, 280.0, 320.0],
    [COLD, COLD, 65.0, 175.0, 240.0, 290.0, 320.0],
    [COLD, 65.0, 165.0, 230.0, 280.0, 300.0, 320.0],
    [65.0, 175.0, 230.0, 265.0, 300.0, 300.0, 320.0],
    [200.0, 250.0, 280.0, 300.0, 320.0, 320.0, 320.0],
];
const HIGH: [[f64; 7]; 5] = [
    [COLD, COLD, COLD, 100.0, 230.0, 300.0, 320.0],
    [COLD, 65.0, 150.0, 220.0, 280.0, 320.0, 320.0],
    [65.0, 185.0, 240.0, 280.0, 300.0, 320.0, 320.0],
    [240.0, 265.0, 300.0, 300.0, 320.0, 320.0, 320.0],
    [240.0, 265.0, 300.0, 300.0, 320.0, 320.0, 320.0],
];

/// Minimum preheat of a group (A to G), or none where the table says only
/// that the metal may be under 65 degF.
///
/// # Errors
/// If the group is not in the table.
pub fn minimum(
    restraint: Restraint,
    thickness: Length,
    group: char,
    by: Column,
) -> Result<Option<Temperature>> {
    let table = match restraint {
        Restraint::Low => &LOW,
        Restraint::Medium => &MEDIUM,
        Restraint::High => &HIGH,
    };
    let letters = || GROUPS.map(|(letter, _)| letter.to_string()).to_vec();
    let column = GROUPS
        .iter()
        .position(|(letter, _)| *letter == group)
        .ok_or_else(|| unknown("group", &group.to_string(), letters()))?;
    let t = thickness.to(by.unit());
    let (under, tops) = match by {
        Column::Inch => (0.375, [0.75, 1.5, 3.0]),
        Column::Metric => (10.0, [20.0, 38.0, 75.0]),
    };
    // The first row is "under 3/8", the others "up to".
    let row =
        if t < under - 1e-9 { 0 } else { tops.iter().position(|top| t <= top + 1e-9).map_or(4, |i| i + 1) };
    let degrees = table[row][column];
    Ok((degrees > COLD).then(|| cell(degrees, CONTROL, by)))
}

/// Hydrogen as tested, of a level, or by classification.
pub(super) fn hydrogen(
    hydrogen: &Read<Option<Hydrogen>>,
    level: &Read<Option<Level>>,
    electrode: &Read<Option<Filler>>,
    said: &mut Said,
) -> Result<Hydrogen> {
    if hydrogen.given() {
        return preheat::hydrogen(hydrogen, electrode, said);
    }
    match **level {
        Some(Level::H1) => Ok(Hydrogen::from_si(5.0)),
        Some(Level::H2) => Ok(Hydrogen::from_si(10.0)),
        Some(Level::H3) => Ok(Hydrogen::from_si(30.0)),
        None if electrode.given() => preheat::hydrogen(hydrogen, electrode, said),
        None => Err(Trouble::Missing(vec!["hydrogen_level", "hydrogen"])),
    }
}

/// Groups by the formula and by the letter table. A row of a table has no ±: the
/// highest group the uncertainty reaches is read.
pub(super) fn groups(
    (pcm, stated): (MassFraction, &Read<Option<MassFraction>>),
    (hydrogen, tested): (Hydrogen, &Read<Option<Hydrogen>>),
) -> Result<(char, Option<char>)> {
    let most = pcm + MassFraction::from_si(2.0 * stated.uncertainty());
    let wettest = hydrogen + Hydrogen::from_si(2.0 * tested.uncertainty());
    Ok((group_of(susceptibility_index(most, wettest))?, table_group(most, wettest)))
}

fn run(given: &PreheatHydrogenControl, answer: &mut PreheatHydrogenControlAnswer) -> Result<()> {
    let metal = given.metal.read(!given.pcm.given(), &mut answer.said)?;
    let pcm = parent_metal::index(&given.pcm, metal.as_ref(), carbon_equivalent::pcm, &mut answer.said)?;
    let hydrogen = hydrogen(&given.hydrogen, &given.hydrogen_level, &given.electrode, &mut answer.said)?;
    let index = susceptibility_index(pcm, hydrogen);
    let (by_formula, by_table) = groups((pcm, &given.pcm), (hydrogen, &given.hydrogen))?;
    let group = match *given.group_by {
        GroupBy::Formula => by_formula,
        GroupBy::Table => by_table.ok_or_else(|| {
            Trouble::impossible(
                format!("Pcm of {} % is past the letter table", pcm.si()),
                "use group_by=formula",
            )
        })?,
        GroupBy::Higher => higher(by_formula, by_table),
    };
    answer.pcm_used.put(pcm);
    answer.susceptibility_index.put(index);
    answer.index_group.put(by_formula.to_string());
    answer.table_group.put_some(by_table.map(String::from));
    if let Some(letter) = by_table
        && letter != by_formula
    {
        answer.warn(format!(
            "The letter table gives group {letter} and the formula with this Pcm group {by_formula}; {group} is used. \
             index_preheat and table_preheat are those of each."
        ));
    }
    answer.group.put(group.to_string());
    // Neither restraint nor thickness: the index and its group alone.
    let (Some(restraint), Some(thickness)) = (*given.restraint, *given.thickness) else {
        answer
            .warn("Give restraint and thickness for the minimum preheat; the group alone is no temperature.");
        return Ok(());
    };
    let column = *given.table;
    let thickest = thickest(&given.thickness, thickness);
    let of = |group: char, column: Column| minimum(restraint, thickest, group, column);
    let (preheat, other) = (of(group, column)?, of(group, column.other())?);
    answer.needed.put(preheat.is_some());
    if let Some(preheat) = preheat {
        answer.preheat.decide(preheat);
    }
    if preheat.is_none() {
        answer.warn(
            "The table allows the metal to be under 65 °F: no preheat, but warm metal that is below 32 °F or damp.",
        );
    }
    if let Some(preheat) = of(by_formula, column)? {
        answer.index_preheat.decide(preheat);
    }
    if let Some(preheat) = by_table.map(|letter| of(letter, column)).transpose()?.flatten() {
        answer.table_preheat.decide(preheat);
    }
    answer.column.put(column);
    if let Some(other) = other {
        answer.preheat_other_column.decide(other);
    }
    let degrees = |t: Option<Temperature>| t.map_or(0.0, Dimensioned::si);
    if (degrees(preheat) - degrees(other)).abs() > 3.0 {
        let show = |t: Option<Temperature>| {
            t.map_or("none above 65 °F (20 °C)".to_owned(), |t| style(CONTROL, 5.0).both(t.into()))
        };
        warn_columns(&mut answer.said, column, &show(preheat), &show(other));
    }
    answer.warn("The table values are recalled: check them against the code before relying on them.");
    Ok(())
}
