//! How small and how large a fillet may be for the parts it joins.

use super::column::{COLUMN, Column};
use super::look_up::{THINNER, contradict, exceeds, shop_size};
use super::weld_strength::tensile_strength;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::LENGTH;
use crate::quantity::{Dimensioned, Kind, Length, unit};
use crate::reference::electrode;
use crate::source::Source;

const MINIMUM: Source = Source::standard(
    "AWS D1.1:2020",
    "table 7.7 (2015: table 5.7); ANSI/AISC 360-22 table J2.4 takes the thinner part",
);
const EDGE: Source = Source::standard("ANSI/AISC 360-22", "J2.2b(b)");
const LENGTHS: Source = Source::standard("ANSI/AISC 360-22", "J2.2b(c), (e), (g)").from_memory();
const FULL: Source = Source::handbook(
    "Blodgett, Design of Welded Structures",
    "determining weld size: 3/4 of the plate, both sides",
);

/// Least and greatest size, length and overlap of a fillet.
pub static FILLET_SIZE: Family = Family {
    name: "fillet-size",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "smallest and largest fillet for the parts, least length and overlap",
    inputs: &[
        Input::required("t1", Kind::Length, "thickness of one part; the order doesn't matter").also(&[
            "thickness",
            "t",
            "thinner",
            "thin",
            "thickness_1",
            "part_1",
            "t_min",
            "thinner_part",
            "plate",
            "base_metal",
        ]),
        Input::defaulted("t2", Kind::Length, "t1", "thickness of the other part").also(&[
            "thicker",
            "thick",
            "thickness_2",
            "part_2",
            "t_max",
            "thicker_part",
            "other_thickness",
        ]),
        Input::choice(
            "hydrogen",
            &["low", "high", "calculated-preheat"],
            Need::Default("low"),
            "low: thinner part governs; high (cellulosic or rutile stick) without a calculated preheat: thicker part",
        )
        .also(&["process_hydrogen", "hydrogen_class"]),
        Input::flag("low_hydrogen", "yes or no instead of hydrogen").also(&["lowhydrogen", "lh"]),
        Input::choice(
            "process",
            PROCESSES,
            Need::Optional,
            "sets the hydrogen rule where hydrogen is not given; smaw alone means other than low-hydrogen electrodes",
        ),
        Input::name(
            "electrode",
            Need::Optional,
            "filler classification; sets the hydrogen rule where neither hydrogen nor process does",
        )
        .also(&["filler", "classification"]),
        COLUMN,
        Input::flag("cyclic", "the joint is loaded cyclically").also(&["fatigue", "dynamic"]),
        Input::optional("edge", Kind::Length, "thickness of the edge the fillet runs along; a lap joint takes t1")
            .also(&["edge_thickness", "lap_edge"]),
        Input::flag("built_out", "the drawing says the weld is built out to give the full throat at the edge"),
        Input::optional("leg", Kind::Length, "leg to check").also(&["fillet", "size", "z", "leg_size", "weld_size", "w"]),
        Input::optional("length", Kind::Length, "length of the weld, or of each piece, to check").also(&["l"]),
        Input::flag("intermittent", "the weld is intermittent"),
        Input::flag("lap", "the joint is a lap joint: gives the least overlap").also(&["lap_joint"]),
        Input::optional("overlap", Kind::Length, "overlap of a lap joint to check"),
    ],
    outputs: &[
        Output::new(
            "governing_thickness",
            "thickness that sets the smallest fillet",
            Kind::Length,
            "thinner part with low hydrogen or a calculated preheat, else thicker part",
            MINIMUM,
        ),
        Output::new(
            "table_leg",
            "smallest leg from the table",
            Kind::Length,
            "to 1/4 in: 1/8; to 1/2: 3/16; to 3/4: 1/4; above: 5/16 (to 6 mm: 3; 12: 5; 20: 6; above: 8)",
            MINIMUM,
        )
        .range("single pass, prequalified steels")
        .up(),
        Output::new(
            "table_leg_inch",
            "smallest leg from the inch column",
            Kind::Length,
            "to 1/4 in: 1/8; to 1/2: 3/16; to 3/4: 1/4; above: 5/16",
            MINIMUM,
        )
        .up(),
        Output::new(
            "table_leg_metric",
            "smallest leg from the metric column",
            Kind::Length,
            "to 6 mm: 3; 12: 5; 20: 6; above: 8",
            MINIMUM,
        )
        .up(),
        Output::word("column", "column of the table read", "as table says, or by the unit of t1", MINIMUM),
        Output::new(
            "min_leg",
            "smallest leg",
            Kind::Length,
            "table leg, not more than the thinner part, not under 3/16 in (5 mm) when cyclic",
            MINIMUM,
        )
        .style(LENGTH)
        .up(),
        Output::new(
            "max_leg",
            "largest leg",
            Kind::Length,
            "thinner part; along an edge under 1/4 in (6 mm) also the edge, else edge - 1/16 in (2 mm), or edge if built out",
            THINNER,
        )
        .style(LENGTH)
        .down(),
        Output::new(
            "max_leg_inch",
            "largest leg along the edge, inch column",
            Kind::Length,
            "edge under 1/4 in: edge; else edge - 1/16 in; not over the thinner part",
            EDGE,
        )
        .style(LENGTH)
        .down(),
        Output::new(
            "max_leg_metric",
            "largest leg along the edge, metric column",
            Kind::Length,
            "edge under 6 mm: edge; else edge - 2 mm; not over the thinner part",
            EDGE,
        )
        .style(LENGTH)
        .down(),
        Output::new(
            "full_strength_leg",
            "leg on both sides that develops the thinner part",
            Kind::Length,
            "3/4 x thinner part, fillets on both sides for the full length",
            FULL,
        )
        .range("a rule for E70 weld metal on structural plate")
        .style(LENGTH)
        .up(),
        Output::new(
            "min_length",
            "least length of weld",
            Kind::Length,
            "4 x leg; intermittent: also not under 1-1/2 in (38 mm)",
            LENGTHS,
        )
        .style(LENGTH)
        .up(),
        Output::new(
            "effective_leg",
            "leg that may be counted at this length",
            Kind::Length,
            "leg, or length / 4 if the weld is shorter than 4 legs",
            LENGTHS,
        )
        .style(LENGTH)
        .down(),
        Output::new(
            "min_overlap",
            "least overlap",
            Kind::Length,
            "5 x thinner part, not under 1 in (25 mm)",
            LENGTHS,
        )
        .style(LENGTH)
        .up(),
        Output::word("verdict", "verdict", "leg, length and overlap against the limits above", MINIMUM),
    ],
    example: "t1=\"1/4 in\" t2=\"3/8 in\" edge=\"1/4 in\" leg=\"3/16 in\"",
    run: fillet_size,
};

/// Process words; the shop's own words beside the code's.
const PROCESSES: &[&str] = &[
    "gmaw",
    "fcaw",
    "gtaw",
    "saw",
    "smaw-low-hydrogen",
    "smaw",
    "mig",
    "mag",
    "mig/mag",
    "tig",
    "stick",
    "mma",
    "111",
    "114",
    "121",
    "131",
    "135",
    "136",
    "138",
    "141",
];

/// Smallest leg for a base metal of this thickness, before the cap at the
/// thinner part (AWS D1.1:2020 table 7.7).
#[must_use]
pub fn table_leg(thickness: Length, column: Column) -> Length {
    let rows: [(f64, f64); 3] = match column {
        Column::Inch => [(0.25, 0.125), (0.5, 0.1875), (0.75, 0.25)],
        Column::Metric => [(6.0, 3.0), (12.0, 5.0), (20.0, 6.0)],
    };
    let top = match column {
        Column::Inch => 0.3125,
        Column::Metric => 8.0,
    };
    let t = thickness.to(column.unit());
    let leg = rows.iter().find(|(limit, _)| t <= limit * (1.0 + SLACK)).map_or(top, |(_, leg)| *leg);
    Length::of(leg, column.unit())
}

/// Largest leg along an edge (AISC 360-22 J2.2b(b)).
#[must_use]
pub fn edge_leg(edge: Length, built_out: bool, column: Column) -> Length {
    let (limit, back) = (column.length(0.25, 6.0), column.length(0.0625, 2.0));
    if built_out || edge.si() < limit.si() * (1.0 - SLACK) { edge } else { edge - back }
}

/// Relative room for a limit typed in another unit.
const SLACK: f64 = 1e-9;

fn below(value: Length, limit: Length) -> bool {
    value.si() < limit.si() * (1.0 - SLACK)
}

fn larger(a: Length, b: Length) -> Length {
    if a > b { a } else { b }
}

fn smaller(a: Length, b: Length) -> Length {
    if a < b { a } else { b }
}

/// Words for stick welding with electrodes that are not low-hydrogen.
const STICK: &[&str] = &["smaw", "stick", "mma", "111"];

/// Whether a classification is low-hydrogen; a bare class such as E70 is not
/// known to be.
fn by_electrode(word: &str) -> Result<bool, Trouble> {
    match electrode::find(word) {
        Some(filler) => Ok(filler.electrode.low_hydrogen),
        None => tensile_strength(word).map(|_| false),
    }
}

/// Whether the thinner part governs: a low-hydrogen process or filler, or a
/// calculated preheat.
///
/// # Errors
/// If what says so says both.
fn low_hydrogen(given: &Given) -> Result<bool, Trouble> {
    let word = given.maybe_word("hydrogen")?;
    let flag = if given.has("low_hydrogen") { Some(given.flag("low_hydrogen")?) } else { None };
    let process = given.maybe_word("process")?;
    let wire = process.filter(|word| !STICK.contains(word)).map(|_| true);
    let rod = given.maybe_word("electrode")?.map(by_electrode).transpose()?;
    let said = [
        ("hydrogen", word.filter(|w| *w != "calculated-preheat").map(|w| w == "low")),
        ("low_hydrogen", flag),
        ("process", wire),
        // A bare class such as E70 is not known to be; a wire makes it so.
        ("electrode", rod.filter(|low| *low || wire.is_none())),
    ];
    let mut said = said.into_iter().filter_map(|(name, low)| low.map(|low| (name, low)));
    let Some((first, low)) = said.next() else {
        return Ok(word.is_some() || process.is_none());
    };
    if let Some((other, _)) = said.find(|(_, other)| *other != low) {
        return Err(contradict(first, other, "one says low hydrogen, the other does not"));
    }
    Ok(low || word == Some("calculated-preheat"))
}

fn fillet_size(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let t1: Length = shop_size("t1", given.need("t1")?)?;
    let t2: Length = shop_size("t2", given.or("t2", t1)?)?;
    let (thin, thick) = (smaller(t1, t2), larger(t1, t2));
    let column = Column::read(given, "t1")?;
    let governing = if low_hydrogen(given)? { thin } else { thick };
    let table = table_leg(governing, column);
    let mut min = smaller(table, thin);
    if given.flag("cyclic")? {
        min = larger(min, column.length(0.1875, 5.0));
        if below(thin, min) {
            answer.warn("The cyclic floor of 3/16 in (5 mm) is more than the thinner part: choose another joint or a thicker part.");
        }
    }
    answer.put("governing_thickness", governing);
    answer.put("table_leg", table);
    answer.put("table_leg_inch", table_leg(governing, Column::Inch));
    answer.put("table_leg_metric", table_leg(governing, Column::Metric));
    answer.put_word("column", column.word());
    answer.put("min_leg", min);
    warn_column(given, answer, governing, column);
    // The fillet of a lap runs along the edge of a part: the first, unless said.
    let edge = match given.maybe::<Length>("edge")? {
        Some(edge) => Some(shop_size("edge", edge)?),
        None if given.flag("lap")? => Some(t1),
        None => None,
    };
    let built_out = given.flag("built_out")?;
    if edge.is_some_and(|edge| exceeds(edge, thick)) {
        return Err(Trouble::impossible(
            "the edge is thicker than both parts",
            "edge is the thickness of the part the fillet runs along",
        ));
    }
    // A leg over the thinner part adds metal and no strength.
    let along = |edge: Length, column| smaller(edge_leg(edge, built_out, column), thin);
    let max = edge.map_or(thin, |edge| along(edge, column));
    answer.put("max_leg", max);
    if let Some(edge) = edge {
        if max < thin {
            answer.source("max_leg", EDGE);
        }
        answer.put("max_leg_inch", along(edge, Column::Inch));
        answer.put("max_leg_metric", along(edge, Column::Metric));
        if below(max, min) {
            answer.warn("The largest fillet along this edge is under the smallest the parts need: change the joint, or have it built out.");
        }
    }
    answer.put("full_strength_leg", thin * 0.75);
    check(given, answer, Limits { min, max, thin, column })
}

/// Says so where the column that goes by the unit of the thickness asks for
/// less than the other one does, by more than the rounding between them.
fn warn_column(given: &Given, answer: &mut Answer, governing: Length, column: Column) {
    let (read, other) = (table_leg(governing, column), table_leg(governing, column.other()));
    if column == Column::Metric && !given.has("table") && other.to(unit::MM) > read.to(unit::MM) + 0.5 {
        answer.warn(format!(
            "The thickness is written in metric units, so the metric column is read: {}. The inch column asks for {} here; \
             take that one where the drawing is in inches (table=inch).",
            LENGTH.up().both(read.into()),
            LENGTH.up().both(other.into()),
        ));
    }
}

struct Limits {
    min: Length,
    max: Length,
    thin: Length,
    column: Column,
}

fn check(given: &Given, answer: &mut Answer, limits: Limits) -> Result<(), Trouble> {
    let mut faults: Vec<&str> = Vec::new();
    let mut checked = false;
    if let Some(leg) = given.maybe::<Length>("leg")? {
        let leg = shop_size("leg", leg)?;
        checked = true;
        if below(leg, limits.min) {
            faults.push("leg too small");
        }
        if exceeds(leg, limits.thin) {
            faults.push("leg larger than the thinner part");
        } else if exceeds(leg, limits.max) {
            faults.push("leg too large for the edge");
        }
        let shortest = limits.column.length(1.5, 38.0);
        let intermittent = given.flag("intermittent")?;
        let least = if intermittent { larger(leg * 4.0, shortest) } else { leg * 4.0 };
        answer.put("min_length", least);
        if let Some(length) = given.maybe::<Length>("length")? {
            let length = given::positive("length", length)?;
            answer.put("effective_leg", smaller(leg, length / 4.0));
            if below(length, least) {
                faults.push("too short");
            }
        }
    } else if given.has("length") {
        return Err(Trouble::Missing(vec!["leg"]));
    }
    let overlap: Option<Length> = given.maybe("overlap")?;
    if given.flag("lap")? || overlap.is_some() {
        let least = larger(limits.thin * 5.0, limits.column.length(1.0, 25.0));
        answer.put("min_overlap", least);
        if let Some(overlap) = overlap {
            checked = true;
            if below(overlap, least) {
                faults.push("overlap too small");
            }
        }
    }
    if !checked {
        return Ok(());
    }
    if faults.is_empty() {
        answer.put_word("verdict", "fits");
    } else {
        for fault in &faults {
            answer.warn(format!("Against the limits: {fault}. Change the size or the joint before welding."));
        }
        answer.put_word("verdict", faults.join("; "));
    }
    Ok(())
}
