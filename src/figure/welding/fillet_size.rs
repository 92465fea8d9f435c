//! How small and how large a fillet may be for the parts it joins.

use super::column::Column;
use super::look_up::{LookedUp, Named, SHOP_SIZE, THINNER, contradict, exceeds, expanded, thickest};
use super::weld_strength::tensile_strength;
use crate::figure::prelude::*;
use crate::reference::{electrode, process};

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

words! {
    /// What lets the thinner part govern.
    pub Governing {
        Low = "low",
        High = "high",
        Calculated = "calculated-preheat",
    }
}

words! {
    /// Process, by whether it is low-hydrogen whatever the filler.
    pub Arc {
        Wire = "gmaw" | "fcaw" | "gtaw" | "saw" | "mig" | "mag" | "mig/mag" | "tig" | "114" | "121" | "131" | "135" | "136"
            | "138" | "141",
        LowHydrogenStick = "smaw-low-hydrogen" | "e7018",
        Stick = "smaw" | "stick" | "mma" | "111" | "e6010",
    }
}

/// Whether a classification is low-hydrogen; a bare class such as E70 is not
/// known to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LowHydrogen {
    low: bool,
    /// Whether it is a covered electrode, as against a wire or rod.
    stick: Option<bool>,
}

/// A filler of which only that matters.
pub type Rod = Named<LowHydrogen>;

impl LookedUp for LowHydrogen {
    fn look_up(_: &str, name: &str) -> Result<Self> {
        match electrode::find(name) {
            Some(filler) => Ok(Self {
                low: filler.electrode.low_hydrogen,
                stick: process::find(filler.electrode.process).map(|process| process.number == "111"),
            }),
            None => tensile_strength(name).map(|_| Self { low: false, stick: None }),
        }
    }
}

family! {
    pub FILLET_SIZE = "fillet-size" in Welding:
        "smallest and largest fillet for the parts, least length and overlap";
    also "minimum-fillet", "maximum-fillet", "min-fillet", "max-fillet";
    reads FilletSize {
        required t1: Length in SHOP_SIZE, "thickness of one part; the order doesn't matter", "thickness", "t",
            "thinner", "plate";
        fallback t2: Length = "t1" in SHOP_SIZE, "thickness of the other part", "thicker", "thick",
            "thickness_2";
        fallback hydrogen: Governing = "low, or as process and electrode say",
            "low: thinner part governs; high (cellulosic or rutile stick) without a calculated preheat: thicker part",
            "process_hydrogen", "hydrogen_class";
        optional low_hydrogen: bool, "yes or no instead of hydrogen", "lowhydrogen", "lh";
        optional process: Arc,
            "sets the hydrogen rule where hydrogen is not given; smaw alone means other than low-hydrogen electrodes";
        optional electrode: Rod,
            "filler classification; sets the hydrogen rule where neither hydrogen nor process does", "filler",
            "classification";
        flag cyclic: bool, "the joint is loaded cyclically", "fatigue", "dynamic";
        optional edge: Length in SHOP_SIZE, "thickness of the edge the fillet runs along; a lap joint takes t1",
            "edge_thickness", "lap_edge";
        flag built_out: bool, "the drawing says the weld is built out to give the full throat at the edge";
        optional leg: Length in SHOP_SIZE, "leg to check", "fillet", "size", "z";
        optional length: Length in ABOVE_ZERO, "length of the weld, or of each piece, to check", "l";
        flag intermittent: bool, "the weld is intermittent";
        flag lap: bool, "the joint is a lap joint: gives the least overlap", "lap_joint";
        optional overlap: Length in NOT_NEGATIVE, "overlap of a lap joint to check";
        default table: Column = Inch,
            "column of the code's table; at the bench that of the units the thickness is written in", "units",
            "column";
    }
    rules { needs(length, leg); }
    gives FilletSizeAnswer {
        governing_thickness: Length, "thickness that sets the smallest fillet",
            "thinner part with low hydrogen or a calculated preheat, else thicker part", MINIMUM;
        table_leg: Length, "smallest leg from the table",
            "to 1/4 in: 1/8; to 1/2: 3/16; to 3/4: 1/4; above: 5/16 (to 6 mm: 3; 12: 5; 20: 6; above: 8)",
            MINIMUM => .range("single pass, prequalified steels").up();
        table_leg_inch: Length, "smallest leg from the inch column",
            "to 1/4 in: 1/8; to 1/2: 3/16; to 3/4: 1/4; above: 5/16", MINIMUM => .up();
        table_leg_metric: Length, "smallest leg from the metric column", "to 6 mm: 3; 12: 5; 20: 6; above: 8",
            MINIMUM => .up();
        column: Column, "column of the table read", "as table says", MINIMUM;
        min_leg: Length, "smallest leg",
            "table leg, not more than the thinner part, not under 3/16 in (5 mm) when cyclic", MINIMUM =>
            .style(LENGTH).up();
        max_leg: Length, "largest leg",
            "thinner part; along an edge under 1/4 in (6 mm) also the edge, else edge - 1/16 in (2 mm), or edge if built out",
            THINNER => .style(LENGTH).at_most();
        max_leg_inch: Length, "largest leg along the edge, inch column",
            "edge under 1/4 in: edge; else edge - 1/16 in; not over the thinner part", EDGE =>
            .style(LENGTH).at_most();
        max_leg_metric: Length, "largest leg along the edge, metric column",
            "edge under 6 mm: edge; else edge - 2 mm; not over the thinner part", EDGE => .style(LENGTH).at_most();
        full_strength_leg: Length, "leg on both sides that develops the thinner part",
            "3/4 x thinner part, fillets on both sides for the full length", FULL => .range(
            "a rule for E70 weld metal on structural plate").style(LENGTH).at_least();
        min_length: Length, "least length of weld", "4 x leg; intermittent: also not under 1-1/2 in (38 mm)",
            LENGTHS => .style(LENGTH).at_least();
        effective_leg: Length, "leg that may be counted at this length",
            "leg, or length / 4 if the weld is shorter than 4 legs", LENGTHS => .style(LENGTH).at_most();
        min_overlap: Length, "least overlap", "5 x thinner part, not under 1 in (25 mm)", LENGTHS =>
            .style(LENGTH).at_least();
        verdict: String, "verdict", "leg, length and overlap against the limits above; what the joint has and was not told is named", MINIMUM
            => .claims(&["fits"]);
    }
    asked min_leg;
    example "t1=\"1/4 in\" t2=\"3/8 in\" edge=\"1/4 in\" leg=\"3/16 in\"";
    by fillet_size
}

/// Smallest leg for a base metal of this thickness, before the cap at the
/// thinner part (AWS D1.1:2020 table 7.7).
fn table_leg(thickness: Length, column: Column) -> Length {
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
fn edge_leg(edge: Length, built_out: bool, column: Column) -> Length {
    let (limit, back) = (column.length(0.25, 6.0), column.length(0.0625, 2.0));
    if built_out || edge.si() < limit.si() * (1.0 - SLACK) { edge } else { edge - back }
}

/// Relative room for a limit typed in another unit.
const SLACK: f64 = 1e-9;

fn below(value: Length, limit: Length) -> bool {
    value.si() < limit.si() * (1.0 - SLACK)
}

/// Whether the thinner part governs: a low-hydrogen process or filler, or a
/// calculated preheat.
fn low_hydrogen(given: &FilletSize) -> Result<bool> {
    let word = *given.hydrogen;
    let wire = given.process.filter(|process| *process != Arc::Stick).map(|_| true);
    if let (Some(process), Some(Some(stick))) =
        (*given.process, given.electrode.as_ref().map(|rod| rod.stick))
        && stick == (process == Arc::Wire)
    {
        return Err(contradict(
            "process",
            "electrode",
            if stick { "a covered electrode is no wire" } else { "a wire is no covered electrode" },
        ));
    }
    let rod = given.electrode.as_ref().map(|rod| rod.low);
    let said = [
        ("hydrogen", word.filter(|w| *w != Governing::Calculated).map(|w| w == Governing::Low)),
        ("low_hydrogen", *given.low_hydrogen),
        ("process", wire),
        // A bare class such as E70 is not known to be; a wire makes it so.
        ("electrode", rod.filter(|low| *low || wire.is_none())),
    ];
    let mut said = said.into_iter().filter_map(|(name, low)| low.map(|low| (name, low)));
    let Some((first, low)) = said.next() else {
        return Ok(word.is_some() || !given.process.given());
    };
    if let Some((other, _)) = said.find(|(_, other)| *other != low) {
        return Err(contradict(first, other, "one says low hydrogen, the other does not"));
    }
    Ok(low || word == Some(Governing::Calculated))
}

fn fillet_size(given: &FilletSize, answer: &mut FilletSizeAnswer) -> Result<()> {
    let t1 = *given.t1;
    let t2 = given.t2.unwrap_or(t1);
    let (thin, thick) = (smaller(t1, t2), larger(t1, t2));
    let first = thickest(&given.t1, t1);
    let most = [first, if given.t2.given() { thickest(&given.t2, t2) } else { first }];
    let column = *given.table;
    let low = low_hydrogen(given)?;
    let governing = if low { thin } else { thick };
    let read = if low { smaller(most[0], most[1]) } else { larger(most[0], most[1]) };
    let table = table_leg(read, column);
    let mut min = smaller(table, thin);
    if *given.cyclic {
        min = larger(min, column.length(0.1875, 5.0));
        if below(thin, min) {
            answer.warn("The cyclic floor of 3/16 in (5 mm) is more than the thinner part: choose another joint or a thicker part.");
        }
    }
    answer.governing_thickness.put(governing);
    answer.table_leg.decide(table);
    answer.table_leg_inch.decide(table_leg(read, Column::Inch));
    answer.table_leg_metric.decide(table_leg(read, Column::Metric));
    answer.column.put(column);
    let min = answer.min_leg.decide(min);
    warn_column(answer, read, column);
    // The fillet of a lap runs along the edge of a part: the first, unless said.
    let edge = given.edge.or_else(|| given.lap.then_some(t1));
    edge.is_some_and(|edge| exceeds(edge, thick)).refuse(
        "the edge is thicker than both parts",
        "edge is the thickness of the part the fillet runs along",
    )?;
    // A leg over the thinner part adds metal and no strength.
    let along = |edge: Length, column| smaller(edge_leg(edge, *given.built_out, column), thin);
    let max = edge.map_or(thin, |edge| along(edge, column));
    answer.max_leg.put(max);
    if let Some(edge) = edge {
        if max < thin {
            answer.max_leg.source(EDGE);
        }
        answer.max_leg_inch.put(along(edge, Column::Inch));
        answer.max_leg_metric.put(along(edge, Column::Metric));
        if below(max, min) {
            answer.warn("The largest fillet along this edge is under the smallest the parts need: change the joint, or have it built out.");
        }
    }
    answer.full_strength_leg.put(thin * 0.75);
    // Nothing says which part governs: what only the thinner one allows is not judged.
    let told = given.hydrogen.given()
        || given.low_hydrogen.given()
        || given.process.given()
        || given.electrode.given();
    let thicker = smaller(table_leg(larger(most[0], most[1]), column), thin);
    let unsure = (!told && min < thicker).then_some(thicker);
    check(given, answer, Limits { min, max, thin, column, unsure });
    Ok(())
}

/// Says so where the metric column asks for less than the inch column does, by
/// more than the rounding between them.
fn warn_column(answer: &mut FilletSizeAnswer, governing: Length, column: Column) {
    let (read, other) = (table_leg(governing, column), table_leg(governing, column.other()));
    if column == Column::Metric && other.to(unit::MM) > read.to(unit::MM) + 0.5 {
        answer.warn(format!(
            "The metric column is read: {}. The inch column asks for {} here; take that one where the drawing is in inches \
             (table=inch).",
            LENGTH.up().both(read.into()),
            LENGTH.up().both(other.into()),
        ));
    }
}

/// What of the joint has a limit and was not told.
fn untold(given: &FilletSize) -> Vec<&'static str> {
    let lap = *given.lap || given.overlap.given();
    let open = [
        ("leg", !given.leg.given()),
        ("length", !given.length.given() && given.leg.given()),
        ("overlap", lap && !given.overlap.given()),
    ];
    open.iter().filter(|(_, open)| *open).map(|(name, _)| *name).collect()
}

struct Limits {
    min: Length,
    max: Length,
    thin: Length,
    column: Column,
    /// Smallest leg without low hydrogen, where nobody told which it is.
    unsure: Option<Length>,
}

fn check(given: &FilletSize, answer: &mut FilletSizeAnswer, limits: Limits) {
    let mut faults: Vec<&str> = Vec::new();
    if let Some(leg) = *given.leg {
        let spread = expanded(&given.leg);
        if below(leg, limits.min) {
            faults.push("leg too small");
        }
        if exceeds(leg, limits.thin) {
            faults.push("leg larger than the thinner part");
        } else if exceeds(leg, limits.max) {
            faults.push("leg too large for the edge");
        }
        if faults.is_empty() && (below(leg - spread, limits.min) || exceeds(leg + spread, limits.max)) {
            faults.push("leg not proven, a limit is inside its uncertainty");
        }
        let shortest = limits.column.length(1.5, 38.0);
        let least = if *given.intermittent { larger(leg * 4.0, shortest) } else { leg * 4.0 };
        answer.min_length.put(least);
        if let Some(length) = *given.length {
            answer.effective_leg.put(smaller(leg, length / 4.0));
            if below(length, least) {
                faults.push("too short");
            }
        }
    }
    if *given.lap || given.overlap.given() {
        let least = larger(limits.thin * 5.0, limits.column.length(1.0, 25.0));
        answer.min_overlap.put(least);
        if given.overlap.is_some_and(|overlap| below(overlap, least)) {
            faults.push("overlap too small");
        }
    }
    if !given.leg.given() && !given.overlap.given() {
        return;
    }
    for fault in &faults {
        answer.warn(format!("Against the limits: {fault}. Change the size or the joint before welding."));
    }
    let unsure = limits.unsure.is_some_and(|least| given.leg.is_some_and(|leg| below(leg, least)));
    if faults.is_empty() && unsure {
        answer.warn(
            "Without low-hydrogen filler the thicker part governs: give process, electrode or hydrogen.",
        );
        answer.verdict.put("not judged: process or hydrogen not told".to_owned());
        return;
    }
    if !faults.is_empty() {
        answer.verdict.put(faults.join("; "));
        return;
    }
    let open = untold(given);
    answer.verdict.put(if open.is_empty() {
        "fits".to_owned()
    } else {
        format!("fits so far; not told: {}", open.join(", "))
    });
}
