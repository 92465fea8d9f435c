//! How small and how large a fillet may be for the parts it joins.

use crate::figure::{Answer, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::LENGTH;
use crate::quantity::{Dimensioned, Kind, Length, Unit, unit};
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
            &["gmaw", "fcaw", "gtaw", "saw", "smaw-low-hydrogen", "smaw"],
            Need::Optional,
            "sets the hydrogen rule where hydrogen is not given; smaw alone means other than low-hydrogen electrodes",
        ),
        Input::choice("table", &["inch", "metric"], Need::Default("inch"), "which column of the table to size from")
            .also(&["units"]),
        Input::flag("cyclic", "the joint is loaded cyclically").also(&["fatigue", "dynamic"]),
        Input::optional("edge", Kind::Length, "thickness of the edge the fillet runs along, as in a lap joint")
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
        .range("single pass, prequalified steels"),
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
            "largest leg along the edge",
            Kind::Length,
            "edge under 1/4 in (6 mm): edge; else edge - 1/16 in (2 mm), or edge if built out",
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

/// Column of the table a shop sizes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Column {
    /// Inches: 1/8, 3/16, 1/4, 5/16.
    Inch,
    /// Millimetres: 3, 5, 6, 8.
    Metric,
}

impl Column {
    const fn unit(self) -> Unit {
        match self {
            Column::Inch => unit::IN,
            Column::Metric => unit::MM,
        }
    }
}

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
    let (limit, back) = match column {
        Column::Inch => (Length::of(0.25, unit::IN), Length::of(0.0625, unit::IN)),
        Column::Metric => (Length::of(6.0, unit::MM), Length::of(2.0, unit::MM)),
    };
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

fn low_hydrogen(given: &Given) -> Result<bool, Trouble> {
    if given.has("low_hydrogen") && !given.has("hydrogen") {
        return given.flag("low_hydrogen");
    }
    Ok(match (given.maybe_word("hydrogen")?, given.maybe_word("process")?) {
        (Some(word), _) => word != "high",
        (None, Some(process)) => process != "smaw",
        (None, None) => true,
    })
}

fn fillet_size(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let t1: Length = given::positive("t1", given.need("t1")?)?;
    let t2: Length = given::positive("t2", given.or("t2", t1)?)?;
    let (thin, thick) = (smaller(t1, t2), larger(t1, t2));
    let column = if given.maybe_word("table")? == Some("metric") { Column::Metric } else { Column::Inch };
    let governing = if low_hydrogen(given)? { thin } else { thick };
    let table = table_leg(governing, column);
    let mut min = smaller(table, thin);
    if given.flag("cyclic")? {
        let floor = match column {
            Column::Inch => Length::of(0.1875, unit::IN),
            Column::Metric => Length::of(5.0, unit::MM),
        };
        min = larger(min, floor);
        if below(thin, min) {
            answer.warn("The cyclic floor of 3/16 in is more than the thinner part: choose another joint or a thicker part.");
        }
    }
    answer.put("governing_thickness", governing);
    answer.put("table_leg", table);
    answer.put("min_leg", min);
    let max = match given.maybe::<Length>("edge")? {
        Some(edge) => Some(edge_leg(given::positive("edge", edge)?, given.flag("built_out")?, column)),
        None => None,
    };
    if let Some(max) = max {
        answer.put("max_leg", max);
        if below(max, min) {
            answer.warn("The largest fillet along this edge is under the smallest the parts need: change the joint, or have it built out.");
        }
    }
    answer.put("full_strength_leg", thin * 0.75);
    check(given, answer, Limits { min, max, thin, column })
}

struct Limits {
    min: Length,
    max: Option<Length>,
    thin: Length,
    column: Column,
}

fn check(given: &Given, answer: &mut Answer, limits: Limits) -> Result<(), Trouble> {
    let mut faults: Vec<&str> = Vec::new();
    let mut checked = false;
    let inch = limits.column == Column::Inch;
    if let Some(leg) = given.maybe::<Length>("leg")? {
        let leg = given::positive("leg", leg)?;
        checked = true;
        if below(leg, limits.min) {
            faults.push("leg too small");
        }
        if limits.max.is_some_and(|max| below(max, leg)) {
            faults.push("leg too large for the edge");
        }
        let shortest = if inch { Length::of(1.5, unit::IN) } else { Length::of(38.0, unit::MM) };
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
        let floor = if inch { Length::of(1.0, unit::IN) } else { Length::of(25.0, unit::MM) };
        let least = larger(limits.thin * 5.0, floor);
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
