//! Prequalified minimum preheat by category and thickness (AWS D1.1).

use super::carbon_equivalent::{ce, cet};
use super::code_temperature::{CATEGORY, cell, style};
use super::column::Column;
use super::look_up::{self, Filler, Process};
use super::parent_metal::{Metal, Parent};
use crate::figure::prelude::*;
use crate::figure::usual::PLATE;
use crate::reference::metal::Listing;
use crate::reference::process;

pub(super) const TABLE: Source = Source::standard("AWS D1.1:2020", "table 5.8 (2015: table 3.3)");
const WARM: Source = Source::standard("AWS D1.1:2020", "table 5.8, note on cold base metal").from_memory();
const LOW_HYDROGEN: Source =
    Source::standard("AWS D1.1:2020", "table 5.8: low-hydrogen filler, H16 or lower").from_memory();
const ZONE: Source = Source::standard("AWS D1.1:2020", "preheat and interpass temperature clause");

words! {
    /// Category of the table.
    pub Category {
        /// Sticks that are not low-hydrogen:
        A = "A",
        /// Low-hydrogen:
        B = "B",
        /// Low-hydrogen, higher strength:
        C = "C",
        /// H8 or lower, selected steels:
        D = "D",
    }
}

family! {
    pub PREHEAT_CATEGORY = "preheat-category" in Welding:
        "prequalified minimum preheat of AWS D1.1 by category and thickness";
    also "preheat-d1.1", "preheat-aws", "d1.1-preheat", "preheat-table";
    reads PreheatCategory {
        ..metal: Parent;
        optional category: Category, "category, instead of steel and process";
        required thickness: Length in PLATE, "thickest part at the point of welding", "plate",
            "plate_thickness", "thickest", "t", "d";
        optional process: Process, "process, with steel";
        optional electrode: Filler, "electrode classification, with steel; decides low-hydrogen or not",
            "filler", "classification";
        optional low_hydrogen: bool, "the electrode is low-hydrogen, instead of a classification";
        optional hydrogen: Hydrogen in NOT_NEGATIVE.usually(0.5, 60.0, unit::ML_100G), "diffusible hydrogen; category D needs 8 or less", "hd",
            "h";
        optional ambient: Temperature, "temperature of the metal before welding", "metal_temperature";
        default table: Column = Inch,
            "column of the code's table; at the bench that of the units the thickness is written in", "units",
            "column";
    }
    gives PreheatCategoryAnswer {
        category: Category, "category", "by steel group, process and electrode", TABLE;
        preheat: Temperature, "minimum preheat and interpass temperature", "table by category and thickness",
            TABLE => .range("steels the code lists, 1/8 in and thicker").style(style(CATEGORY, 5.0));
        column: Column, "column of the table read", "as table says", TABLE;
        preheat_other_column: Temperature, "minimum preheat of the other column",
            "inch rows: 3/4, 1-1/2, 2-1/2 in; metric rows: 20, 38, 65 mm", TABLE => .style(style(CATEGORY, 5.0));
        warm_to: Temperature, "warm the cold metal to", "70 degF where the metal is below 32 degF", WARM =>
            .style(style(CATEGORY, 5.0));
        zone: Length, "width to be heated on every side of the weld", "max(thickness, 3 in)", ZONE => .up();
    }
    asked preheat;
    example "steel=A36 electrode=E7018 thickness=\"1 in\"";
    by run
}

/// Greatest thickness of a row in inches and in millimetres, and its minimum
/// preheat in degrees Fahrenheit, categories A to D.
const ROWS: [(f64, f64, [f64; 4]); 4] = [
    (0.75, 20.0, [32.0, 32.0, 50.0, 32.0]),
    (1.5, 38.0, [150.0, 50.0, 150.0, 32.0]),
    (2.5, 65.0, [225.0, 150.0, 225.0, 32.0]),
    (f64::INFINITY, f64::INFINITY, [300.0, 225.0, 300.0, 32.0]),
];

/// Minimum preheat of a category for the thickest part, by the limits of
/// thickness of one column.
///
/// # Errors
/// If the part is thinner than 1/8 in.
pub fn minimum(category: Category, thickness: Length, by: Column) -> Result<Temperature> {
    look_up::at_least("thickness", thickness, unit::MM, 3.0, TABLE)?;
    let t = thickness.to(by.unit());
    let inside = |(inches, millimetres, _): &&(f64, f64, [f64; 4])| {
        t <= if by == Column::Inch { *inches } else { *millimetres } + 1e-9
    };
    let (_, _, row) = ROWS.iter().find(inside).unwrap_or(&ROWS[3]);
    Ok(cell(row[category as usize], CATEGORY, by))
}

/// Width to be heated in every direction from the point of welding: the
/// thickness of the thickest part, and not under 3 in.
#[must_use]
pub fn zone(thickness: Length) -> Length {
    let least = Length::of(3.0, unit::IN);
    larger(thickness, least)
}

/// What says the category.
pub(super) struct Told<'a> {
    pub(super) category: &'a Read<Option<Category>>,
    pub(super) process: &'a Read<Option<Process>>,
    pub(super) electrode: &'a Read<Option<Filler>>,
    pub(super) low_hydrogen: &'a Read<Option<bool>>,
}

impl Told<'_> {
    /// The category as given, or of a listed steel with its process and filler.
    pub(super) fn category(&self, metal: Option<&Metal>) -> Result<Category> {
        let stated = **self.category;
        let Some(steel) = metal.and_then(|m| m.steel) else {
            return stated.ok_or(Trouble::Missing(vec!["category", "steel"]));
        };
        let Some(listing) = steel.listing else {
            return Err(Trouble::impossible(
                format!("{} is not in the code's list of prequalified steels", steel.name),
                "use preheat (EN 1011-2 method B), preheat-hydrogen-control or a qualified procedure",
            ));
        };
        let low = match (self.low_hydrogen(listing), stated) {
            // What the steel still needs for its own category, the stated one says; of
            // those it can be in.
            (Err(Trouble::Missing(_)), Some(stated)) => {
                let own: &[Category] = match listing {
                    Listing::GroupOne => &[Category::A, Category::B],
                    Listing::GroupTwo => &[Category::B],
                    Listing::CategoryC => &[Category::C],
                    Listing::CategoryD => &[Category::D],
                };
                if own.contains(&stated) {
                    return Ok(stated);
                }
                let words = own.iter().map(|c| c.word()).collect::<Vec<_>>().join(" or ");
                let why = format!("{} is category {words}, whatever it is welded with", steel.name);
                return Err(look_up::contradict("category", "steel", &why));
            }
            (low, _) => low?,
        };
        let own = match (listing, low) {
            (Listing::GroupOne, false) => Category::A,
            (Listing::GroupOne | Listing::GroupTwo, true) => Category::B,
            (Listing::CategoryC, true) => Category::C,
            (Listing::CategoryD, true) => Category::D,
            (_, false) => {
                return Err(Trouble::impossible(
                    format!("{} is prequalified with low-hydrogen electrodes only", steel.name),
                    "choose a low-hydrogen electrode or process",
                ));
            }
        };
        if stated.is_some_and(|stated| stated != own) {
            let why = format!("{} with this process and filler is category {}", steel.name, own.word());
            return Err(look_up::contradict("category", "steel", &why));
        }
        Ok(own)
    }

    /// Whether the filler counts as low-hydrogen.
    fn low_hydrogen(&self, listing: Listing) -> Result<bool> {
        let process = self.process.as_ref().map(|p| **p);
        let flag = **self.low_hydrogen;
        if let Some(filler) = look_up::filler(self.electrode) {
            let covered = |process: &process::Process| process.number == "111";
            let rod = filler.electrode;
            if let (Some(own), Some(process)) = (process::find(rod.process), process)
                && covered(own) != covered(process)
            {
                return Err(Trouble::impossible(
                    format!("{} is no filler for {}", rod.name, process.title),
                    "give the process and the electrode that go together",
                ));
            }
            if flag.is_some_and(|flag| flag != rod.low_hydrogen) {
                let why = format!("{} says otherwise", rod.name);
                return Err(look_up::contradict("low_hydrogen", "electrode", &why));
            }
            return Ok(rod.low_hydrogen);
        }
        match (flag, process) {
            (Some(false), Some(process)) if process.low_hydrogen => {
                let why = format!("{} counts as low-hydrogen", process.title);
                Err(look_up::contradict("low_hydrogen", "process", &why))
            }
            (Some(flag), _) => Ok(flag),
            (None, Some(process)) if process.low_hydrogen => Ok(true),
            (None, Some(_)) => Err(Trouble::Missing(vec!["electrode"])),
            (None, None) if matches!(listing, Listing::CategoryD) => Ok(true),
            (None, None) => Err(Trouble::Missing(vec!["process", "electrode"])),
        }
    }
}

/// Category D holds with filler of H8 or lower.
pub(super) fn dry_enough(hydrogen: Hydrogen) -> Result<()> {
    within(0.0, 8.0, unit::ML_100G, TABLE).check("hydrogen", hydrogen.into())
}

/// What a category rests on: all but A on low-hydrogen filler, D on H8.
pub(super) fn rests_on(category: Category, hydrogen: Hydrogen) -> Result<()> {
    match category {
        Category::A => Ok(()),
        Category::B | Category::C => {
            within(0.0, 16.0, unit::ML_100G, LOW_HYDROGEN).check("hydrogen", hydrogen.into())
        }
        Category::D => dry_enough(hydrogen),
    }
}

/// Least temperature of metal that is welded: what is below 32 degF is warmed to
/// 70 degF and held there.
pub(super) fn warmed(minimum: Temperature, ambient: Option<Temperature>) -> Temperature {
    let cold = ambient.is_some_and(|ambient| ambient < Temperature::of(32.0, unit::DEGF));
    if cold { larger(minimum, Temperature::of(70.0, unit::DEGF)) } else { minimum }
}

/// Says so where the columns lie a row apart. They print the same step as
/// 150 degF and 65 degC, less than a few degrees apart.
pub(super) fn warn_columns(said: &mut Said, column: Column, own: &str, other: &str) {
    said.warn(format!(
        "The thickness lies between the inch and the metric limit of a row: the {} column is read ({own}); the {} \
         column asks for {other}. table=inch or table=metric chooses; the higher is the safer.",
        column.word(),
        column.other().word(),
    ));
}

/// The method whose range a carbon equivalent is past, if there is one.
pub(super) fn past_composition(cet: Option<MassFraction>, ce: Option<MassFraction>) -> Option<String> {
    let methods =
        [("CET", cet, 0.50, "EN 1011-2 method B"), ("CE", ce, 0.49, "table C.1 of EN 1011-2 method A")];
    methods.into_iter().find_map(|(symbol, value, top, method)| {
        let value = value.map(Dimensioned::si).filter(|value| *value > top + 1e-9)?;
        // 0.493 is past 0.49: as many digits as tell them apart.
        Some(format!("{symbol} of {value:.3} % is past {method}, which ends at {top:.3} %"))
    })
}

fn run(given: &PreheatCategory, answer: &mut PreheatCategoryAnswer) -> Result<()> {
    let metal = given.metal.read(false, &mut Said::default())?;
    let thickness = *given.thickness;
    let category = Told {
        category: &given.category,
        process: &given.process,
        electrode: &given.electrode,
        low_hydrogen: &given.low_hydrogen,
    }
    .category(metal.as_ref())?;
    if let Some(metal) = metal.as_ref().filter(|_| given.metal.analysed())
        && let Some(why) = past_composition(Some(cet(&metal.composition)), Some(ce(&metal.composition)))
    {
        return Err(Trouble::impossible(
            format!("the minimum preheat is not proven: {why}, and the category is for milder steel"),
            "check the composition, or use preheat-hydrogen-control or a procedure qualified on this steel",
        ));
    }
    let column = *given.table;
    let thickest = look_up::thickest(&given.thickness, thickness);
    answer.category.put(category);
    let asked = |column| minimum(category, thickest, column).map(|least| warmed(least, *given.ambient));
    let preheat = answer.preheat.decide(asked(column)?);
    answer.column.put(column);
    let other = answer.preheat_other_column.decide(asked(column.other())?);
    match *given.hydrogen {
        Some(hydrogen) => rests_on(category, hydrogen)?,
        None if category == Category::D => {
            answer.warn("Category D holds only with filler of H8 or lower: check the classification.");
        }
        None => {}
    }
    if (preheat.si() - other.si()).abs() > 5.0 {
        let show = |t: Temperature| style(CATEGORY, 5.0).both(t.into());
        warn_columns(&mut answer.said, column, &show(preheat), &show(other));
    }
    match *given.ambient {
        Some(ambient) if ambient < Temperature::of(32.0, unit::DEGF) => {
            answer.warm_to.put(Temperature::of(70.0, unit::DEGF));
            answer.warn("The metal is below 32 °F (0 °C): warm it to at least 70 °F (20 °C) and hold it there during welding.");
        }
        Some(_) => {}
        None => answer.warn(
            "If the metal is below 32 °F (0 °C), warm it to at least 70 °F (20 °C) and hold it there during welding.",
        ),
    }
    answer.zone.put(zone(thickness));
    answer.warn(
        "The table holds for steels, processes and service the code lists; vehicle parts are usually outside it: let \
         an engineer decide.",
    );
    Ok(())
}
