//! Preheat by the hydrogen-control method of AWS D1.1.

use super::code_temperature::{CONTROL, cell, style};
use super::column::{COLUMN, Column};
use super::parent_metal::{self, with_metal};
use super::{carbon_equivalent, preheat};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Dimensioned, Hydrogen, Kind, Length, MassFraction, Number, Temperature, math, unit};
use crate::source::Source;

const INDEX: Source =
    Source::standard("AWS D1.1:2020", "annex B (2015: annex H), susceptibility index").from_memory();
/// The table, recalled.
pub(super) const TABLE: Source =
    Source::standard("AWS D1.1:2020", "annex B (2015: annex H), minimum preheat by restraint").from_memory();

/// Preheat by hydrogen control.
pub static PREHEAT_HYDROGEN_CONTROL: Family = Family {
    name: "preheat-hydrogen-control",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "minimum preheat by the hydrogen-control method of AWS D1.1 (Pcm, hydrogen, restraint)",
    inputs: with_metal![
        Input::optional(
            "pcm",
            Kind::MassFraction,
            "Pcm of the parent metal, instead of a steel or composition"
        ),
        Input::choice(
            "hydrogen_level",
            &["H1", "H2", "H3", "extra-low", "low", "uncontrolled"],
            Need::Optional,
            "H1 extra-low (5), H2 low (10), H3 uncontrolled (30 ml/100g)"
        )
        .also(&["level"]),
        Input::optional("hydrogen", Kind::Hydrogen, "tested diffusible hydrogen, instead of a level")
            .also(&["hd", "h"]),
        Input::name("electrode", Need::Optional, "filler classification, instead of hydrogen")
            .also(&["filler"]),
        Input::choice("restraint", &["low", "medium", "high"], Need::Optional, "restraint of the joint")
            .also(&["restraint_level"]),
        Input::optional("thickness", Kind::Length, "thickest part at the point of welding").also(&[
            "plate_thickness",
            "plate",
            "t",
            "d"
        ]),
        Input::choice(
            "group_by",
            &["higher", "formula", "table"],
            Need::Default("higher"),
            "group from the index formula, or from the letter table by Pcm and level; higher takes the higher of both"
        ),
        COLUMN,
    ],
    outputs: &[
        Output::new(
            "pcm_used",
            "Pcm used",
            Kind::MassFraction,
            "as given, or of the composition",
            carbon_equivalent::PCM,
        ),
        Output::new("susceptibility_index", "susceptibility index", Kind::Number, "12 Pcm + log10 H", INDEX),
        Output::word(
            "index_group",
            "group by the formula",
            "index rounded to one decimal: A to 3.0, B to 3.5, C to 4.0, D to 4.5, E to 5.0, F to 5.5, G to 7.0",
            INDEX,
        ),
        Output::word("table_group", "group by the letter table", "by bound of Pcm and hydrogen level", INDEX),
        Output::word("group", "group used", "the higher of both, or as group_by says", INDEX),
        Output::flag("needed", "preheat above room temperature needed", "cell of 65 degF or more", TABLE),
        Output::new(
            "preheat",
            "minimum preheat and interpass temperature",
            Kind::Temperature,
            "table by group, restraint and thickness",
            TABLE,
        )
        .range("provisional: recalled cell by cell; check against the code")
        .style(style(CONTROL, 5.0)),
        Output::new(
            "index_preheat",
            "minimum preheat of the group by the formula",
            Kind::Temperature,
            "table by group, restraint and thickness",
            TABLE,
        )
        .style(style(CONTROL, 5.0)),
        Output::new(
            "table_preheat",
            "minimum preheat of the group by the letter table",
            Kind::Temperature,
            "table by group, restraint and thickness",
            TABLE,
        )
        .style(style(CONTROL, 5.0)),
        Output::word(
            "column",
            "column of the table read",
            "as table says, or by the unit of the thickness",
            TABLE,
        ),
        Output::new(
            "preheat_other_column",
            "minimum preheat of the other column",
            Kind::Temperature,
            "inch rows: 3/8, 3/4, 1-1/2, 3 in; metric rows: 10, 20, 38, 75 mm",
            TABLE,
        )
        .style(style(CONTROL, 5.0)),
    ],
    example: "pcm=0.2472 hydrogen_level=H1 restraint=medium thickness=\"1 in\"",
    run,
};

/// Susceptibility index 12 Pcm + log10 H.
#[must_use]
pub fn susceptibility_index(pcm: MassFraction, hydrogen: Hydrogen) -> Number {
    Number::from_si(12.0 * pcm.si() + math::log10(hydrogen.to(unit::ML_100G)))
}

const GROUPS: [(char, f64); 7] =
    [('A', 3.0), ('B', 3.5), ('C', 4.0), ('D', 4.5), ('E', 5.0), ('F', 5.5), ('G', 7.0)];

/// Group of an index, which is rounded to one decimal first: the printed
/// ranges (3.1 to 3.5, 3.6 to 4.0 …) leave gaps that only rounding closes.
///
/// # Errors
/// If the rounded index is above 7.0, where the method ends.
pub fn group_of(index: Number) -> Result<char, Trouble> {
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
#[must_use]
pub fn table_group(pcm: MassFraction, hydrogen: Hydrogen) -> Option<char> {
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
/// If the group or the restraint is not in the table.
pub fn minimum(
    restraint: &str,
    thickness: Length,
    group: char,
    by: Column,
) -> Result<Option<Temperature>, Trouble> {
    let table = match restraint {
        "low" => &LOW,
        "medium" => &MEDIUM,
        "high" => &HIGH,
        other => {
            return Err(Trouble::Unknown {
                input: "restraint".to_owned(),
                given: other.to_owned(),
                choices: ["low", "medium", "high"].map(str::to_owned).to_vec(),
            });
        }
    };
    let column = GROUPS.iter().position(|(letter, _)| *letter == group).ok_or_else(|| Trouble::Unknown {
        input: "group".to_owned(),
        given: group.to_string(),
        choices: GROUPS.map(|(letter, _)| letter.to_string()).to_vec(),
    })?;
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

/// Hydrogen of a level, as tested, or by classification.
pub(super) fn hydrogen(given: &Given, answer: &mut Answer) -> Result<Hydrogen, Trouble> {
    if given.has("hydrogen") {
        return preheat::hydrogen(given, answer);
    }
    match given.maybe_word("hydrogen_level")? {
        Some("H1" | "extra-low") => Ok(Hydrogen::from_si(5.0)),
        Some("H2" | "low") => Ok(Hydrogen::from_si(10.0)),
        Some(_) => Ok(Hydrogen::from_si(30.0)),
        None if given.has("electrode") => preheat::hydrogen(given, answer),
        None => Err(Trouble::Missing(vec!["hydrogen_level", "hydrogen"])),
    }
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    // Neither: the index and its group alone.
    let table = given.has("restraint") || given.has("thickness");
    if table {
        given.require(&["restraint", "thickness"])?;
    }
    let metal = parent_metal::read(given, "pcm", answer)?;
    let pcm = parent_metal::index(given, "pcm", metal.as_ref(), carbon_equivalent::pcm, answer)?;
    let hydrogen = hydrogen(given, answer)?;
    let index = susceptibility_index(pcm, hydrogen);
    let by_formula = group_of(index)?;
    let by_table = table_group(pcm, hydrogen);
    let group = match given.maybe_word("group_by")? {
        Some("formula") => by_formula,
        Some("table") => by_table.ok_or_else(|| {
            Trouble::impossible(
                format!("Pcm of {} % is past the letter table", pcm.si()),
                "use group_by=formula",
            )
        })?,
        _ => higher(by_formula, by_table),
    };
    answer.put("pcm_used", pcm);
    answer.put("susceptibility_index", index);
    answer.put_word("index_group", by_formula.to_string());
    if let Some(letter) = by_table {
        answer.put_word("table_group", letter.to_string());
        if letter != by_formula {
            answer.warn(format!(
                "The letter table gives group {letter} and the formula with this Pcm group {by_formula}; {group} is used. \
                 index_preheat and table_preheat are those of each."
            ));
        }
    }
    answer.put_word("group", group.to_string());
    if !table {
        answer
            .warn("Give restraint and thickness for the minimum preheat; the group alone is no temperature.");
        return Ok(());
    }
    let thickness: Length = given::positive("thickness", given.need("thickness")?)?;
    let restraint = given.word("restraint")?;
    let column = Column::read(given, "thickness")?;
    let of = |group: char, column: Column| minimum(restraint, thickness, group, column);
    let preheat = of(group, column)?;
    answer.put_flag("needed", preheat.is_some());
    match preheat {
        Some(preheat) => answer.put("preheat", preheat),
        None => answer.warn(
            "The table allows the metal to be under 65 °F: no preheat, but warm metal that is below 32 °F or damp.",
        ),
    }
    if let Some(preheat) = of(by_formula, column)? {
        answer.put("index_preheat", preheat);
    }
    if let Some(preheat) = by_table.map(|letter| of(letter, column)).transpose()?.flatten() {
        answer.put("table_preheat", preheat);
    }
    answer.put_word("column", column.word());
    let other = of(group, column.other())?;
    if let Some(other) = other {
        answer.put("preheat_other_column", other);
    }
    let degrees = |t: Option<Temperature>| t.map_or(0.0, Dimensioned::si);
    if (degrees(preheat) - degrees(other)).abs() > 3.0 {
        let show = |t: Option<Temperature>| {
            t.map_or("none above 65 °F (20 °C)".to_owned(), |t| style(CONTROL, 5.0).both(t.into()))
        };
        answer.warn(format!(
            "The thickness lies between the inch and the metric limit of a row: the {} column is read ({}); the {} column \
             asks for {}. table=inch or table=metric chooses; the higher is the safer.",
            column.word(),
            show(preheat),
            column.other().word(),
            show(other),
        ));
    }
    answer.warn("The table values are recalled: check them against the code before relying on them.");
    Ok(())
}
