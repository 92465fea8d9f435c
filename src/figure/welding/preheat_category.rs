//! Prequalified minimum preheat by category and thickness (AWS D1.1).

use super::code_temperature::{CATEGORY, cell, style};
use super::column::{COLUMN, Column};
use super::look_up;
use super::parent_metal::{self, with_metal};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Dimensioned, Hydrogen, Kind, Length, Temperature, unit};
use crate::reference::metal::{Listing, Steel};
use crate::reference::process::{self, Process};
use crate::source::Source;

/// The table.
pub(super) const TABLE: Source = Source::standard("AWS D1.1:2020", "table 5.8 (2015: table 3.3)");
const WARM: Source = Source::standard("AWS D1.1:2020", "table 5.8, note on cold base metal").from_memory();
const ZONE: Source = Source::standard("AWS D1.1:2020", "preheat and interpass temperature clause");

/// Preheat by category.
pub static PREHEAT_CATEGORY: Family = Family {
    name: "preheat-category",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "prequalified minimum preheat of AWS D1.1 by category and thickness",
    inputs: with_metal![
        Input::choice(
            "category",
            &["A", "B", "C", "D"],
            Need::Optional,
            "category, instead of steel and process"
        ),
        Input::required("thickness", Kind::Length, "thickest part at the point of welding").also(&[
            "plate",
            "plate_thickness",
            "thickest",
            "t",
            "d"
        ]),
        Input::name("process", Need::Optional, "process, with steel"),
        Input::name(
            "electrode",
            Need::Optional,
            "electrode classification, with steel; decides low-hydrogen or not"
        )
        .also(&["filler", "classification"]),
        Input::flag("low_hydrogen", "the electrode is low-hydrogen, instead of a classification"),
        Input::optional("hydrogen", Kind::Hydrogen, "diffusible hydrogen; category D needs 8 or less")
            .also(&["hd", "h"]),
        Input::optional("ambient", Kind::Temperature, "temperature of the metal before welding")
            .also(&["metal_temperature"]),
        COLUMN,
    ],
    outputs: &[
        Output::word("category", "category", "by steel group, process and electrode", TABLE),
        Output::new(
            "preheat",
            "minimum preheat and interpass temperature",
            Kind::Temperature,
            "table by category and thickness",
            TABLE,
        )
        .range("steels the code lists, 1/8 in and thicker")
        .style(style(CATEGORY, 5.0)),
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
            "inch rows: 3/4, 1-1/2, 2-1/2 in; metric rows: 20, 38, 65 mm",
            TABLE,
        )
        .style(style(CATEGORY, 5.0)),
        Output::new(
            "warm_to",
            "warm the cold metal to",
            Kind::Temperature,
            "70 degF where the metal is below 32 degF",
            WARM,
        )
        .style(style(CATEGORY, 5.0)),
        Output::new(
            "zone",
            "width to be heated on every side of the weld",
            Kind::Length,
            "max(thickness, 3 in)",
            ZONE,
        )
        .up(),
    ],
    example: "steel=A36 electrode=E7018 thickness=\"1 in\"",
    run,
};

/// Greatest thickness of a row in inches and in millimetres, and its minimum
/// preheat in degrees Fahrenheit, categories A to D.
const ROWS: [(f64, f64, [f64; 4]); 4] = [
    (0.75, 20.0, [32.0, 32.0, 50.0, 32.0]),
    (1.5, 38.0, [150.0, 50.0, 150.0, 32.0]),
    (2.5, 65.0, [225.0, 150.0, 225.0, 32.0]),
    (f64::INFINITY, f64::INFINITY, [300.0, 225.0, 300.0, 32.0]),
];

/// Minimum preheat of a category (A to D) for the thickest part, by the limits
/// of thickness of one column.
///
/// # Errors
/// If the category is none of the four or the part is thinner than 1/8 in.
pub fn minimum(category: &str, thickness: Length, by: Column) -> Result<Temperature, Trouble> {
    look_up::at_least("thickness", thickness, unit::MM, 3.0, TABLE)?;
    let column =
        ["A", "B", "C", "D"].iter().position(|c| *c == category).ok_or_else(|| Trouble::Unknown {
            input: "category".to_owned(),
            given: category.to_owned(),
            choices: ["A", "B", "C", "D"].map(str::to_owned).to_vec(),
        })?;
    let t = thickness.to(by.unit());
    let inside = |(inches, millimetres, _): &&(f64, f64, [f64; 4])| {
        t <= if by == Column::Inch { *inches } else { *millimetres } + 1e-9
    };
    let (_, _, row) = ROWS.iter().find(inside).unwrap_or(&ROWS[3]);
    Ok(cell(row[column], CATEGORY, by))
}

/// Width to be heated in every direction from the point of welding: the
/// thickness of the thickest part, and not under 3 in.
#[must_use]
pub fn zone(thickness: Length) -> Length {
    let least = Length::of(3.0, unit::IN);
    if thickness > least { thickness } else { least }
}

/// The category as given, or of a listed steel with its process and filler.
///
/// # Errors
/// If something is missing, the steel is not listed, or the electrode is not
/// allowed on it.
pub(super) fn category(given: &Given, metal: Option<&parent_metal::Metal>) -> Result<&'static str, Trouble> {
    let stated = given.maybe_word("category")?;
    let stated = stated.and_then(|word| ["A", "B", "C", "D"].into_iter().find(|c| *c == word));
    let Some(steel) = metal.and_then(|m| m.steel) else {
        return stated.ok_or(Trouble::Missing(vec!["category", "steel"]));
    };
    match (stated, of_steel(given, steel)) {
        (Some(stated), Ok(own)) if stated != own => {
            let why = format!("{} with this process and filler is category {own}", steel.name);
            Err(look_up::contradict("category", "steel", &why))
        }
        // What the steel still needs for its own category, the stated one says.
        (Some(stated), Err(Trouble::Missing(_))) => Ok(stated),
        (_, own) => own,
    }
}

/// The category of a listed steel with its process and filler.
fn of_steel(given: &Given, steel: &Steel) -> Result<&'static str, Trouble> {
    let Some(listing) = steel.listing else {
        return Err(Trouble::impossible(
            format!("{} is not in the code's list of prequalified steels", steel.name),
            "use preheat (EN 1011-2 method B), preheat-hydrogen-control or a qualified procedure",
        ));
    };
    let low = low_hydrogen(given, listing)?;
    match (listing, low) {
        (Listing::GroupOne, false) => Ok("A"),
        (Listing::GroupOne | Listing::GroupTwo, true) => Ok("B"),
        (Listing::CategoryC, true) => Ok("C"),
        (Listing::CategoryD, true) => Ok("D"),
        (_, false) => Err(Trouble::impossible(
            format!("{} is prequalified with low-hydrogen electrodes only", steel.name),
            "choose a low-hydrogen electrode or process",
        )),
    }
}

/// Whether the filler counts as low-hydrogen.
fn low_hydrogen(given: &Given, listing: Listing) -> Result<bool, Trouble> {
    if let Some(filler) = look_up::filler(given)? {
        let covered = |process: &Process| process.number == "111";
        if let (Some(own), Some(process)) =
            (process::find(filler.electrode.process), look_up::process(given)?)
            && covered(own) != covered(process)
        {
            return Err(Trouble::impossible(
                format!("{} is no filler for {}", filler.electrode.name, process.title),
                "give the process and the electrode that go together",
            ));
        }
        if given.has("low_hydrogen") && given.flag("low_hydrogen")? != filler.electrode.low_hydrogen {
            let why = format!("{} says otherwise", filler.electrode.name);
            return Err(look_up::contradict("low_hydrogen", "electrode", &why));
        }
        return Ok(filler.electrode.low_hydrogen);
    }
    if given.has("low_hydrogen") {
        return given.flag("low_hydrogen");
    }
    match look_up::process(given)? {
        Some(process) if process.low_hydrogen => Ok(true),
        Some(_) => Err(Trouble::Missing(vec!["electrode"])),
        None if matches!(listing, Listing::CategoryD) => Ok(true),
        None => Err(Trouble::Missing(vec!["process", "electrode"])),
    }
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let metal = parent_metal::read(given, "category", &mut Answer::default())?;
    let thickness: Length = given::positive("thickness", given.need("thickness")?)?;
    let category = category(given, metal.as_ref())?;
    let column = Column::read(given, "thickness")?;
    let preheat = minimum(category, thickness, column)?;
    let other = minimum(category, thickness, column.other())?;
    answer.put_word("category", category);
    answer.put("preheat", preheat);
    answer.put_word("column", column.word());
    answer.put("preheat_other_column", other);
    if category == "D" {
        match given.maybe::<Hydrogen>("hydrogen")? {
            Some(hydrogen) => given::within("hydrogen", hydrogen, unit::ML_100G, 0.0..=8.0, TABLE)?,
            None => {
                answer.warn("Category D holds only with filler of H8 or lower: check the classification.");
            }
        }
    }
    // The columns print the same step as 150 degF and 65 degC: less than a
    // degree apart is the same row.
    if (preheat.si() - other.si()).abs() > 5.0 {
        let show = |t: Temperature| style(CATEGORY, 5.0).both(t.into());
        answer.warn(format!(
            "The thickness lies between the inch and the metric limit of a row: the {} column is read ({}); the {} column \
             asks for {}. table=inch or table=metric chooses; the higher is the safer.",
            column.word(),
            show(preheat),
            column.other().word(),
            show(other),
        ));
    }
    let freezing = Temperature::of(32.0, unit::DEGF);
    match given.maybe::<Temperature>("ambient")? {
        Some(ambient) if ambient < freezing => {
            answer.put("warm_to", Temperature::of(70.0, unit::DEGF));
            answer.warn("The metal is below 32 °F (0 °C): warm it to at least 70 °F (20 °C) and hold it there during welding.");
        }
        Some(_) => {}
        None => answer.warn(
            "If the metal is below 32 °F (0 °C), warm it to at least 70 °F (20 °C) and hold it there during welding.",
        ),
    }
    answer.put("zone", zone(thickness));
    answer.warn(
        "The table holds for steels, processes and service the code lists; vehicle parts are usually outside it: let \
         an engineer decide.",
    );
    Ok(())
}
