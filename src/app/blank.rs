//! A commented job file to start from: exactly the tables the chosen
//! procedures need, what the lead must fill left blank.

mod book;
mod metric;
mod needs;
mod write;

use std::collections::BTreeSet;

use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::job::model::{
    Axle, Customer, Cut, DragLink, Driveshaft, End, Fastener, Frame, Head, Joint, Knuckle, OwnOperation, Pad,
    Person, Pinion, Shock, Shop, Spring, Target, Tube, Tyre, UnitFacts, Units, Waiver, Weldment, Work,
};
use crate::procedure::{Library, Procedure};
use crate::term::Paper;
pub use book::shop_book;
use write::Table;

const INTRODUCTION: &str = "\
# A job file for Tackwright.
#
# Fill the blanks, the keys with an empty text \"\": without them the work can't
# start. What buys a further figure stands behind a # with what it buys. A size
# is a text with its unit: \"3-1/4 in\", \"82.5 mm\", \"2.5 deg\"; \"± 0.1 deg\" behind it is its limit of
# error. A blank that is left is printed as a line to write on, as long as the
# work can begin without it.
#
# A sketch named beside a key shows where it is measured and which way its sign
# counts: tackwright new --sketches --out sketches.pdf
#
# `tackwright check` says what is still blank and whether the values can be
# true together; `tackwright issue` writes the traveler.

";

/// A chosen procedure and the component it is written for.
struct Chosen<'a> {
    procedure: &'a Procedure,
    kind: &'a str,
}

/// Kind that stands for a shop book.
pub const SHOP: &str = "shop";

/// What the blank is written for.
#[derive(Debug, Clone)]
pub struct Wish {
    /// Ends whose axles are worked on; by the procedures if empty.
    pub ends: Vec<End>,
    /// Which units stand first.
    pub units: Units,
    /// Paper of the traveler.
    pub paper: Paper,
}

impl Default for Wish {
    fn default() -> Self {
        Self { ends: Vec::new(), units: Units::Inch, paper: Paper::Letter }
    }
}

/// The ends these words mean, each once.
#[must_use]
pub fn ends(words: &[String]) -> Vec<End> {
    let mut ends: Vec<End> = Vec::new();
    for end in words.iter().filter_map(|word| End::of(word)) {
        if !ends.contains(&end) {
            ends.push(end);
        }
    }
    ends
}

/// A table of the job's own operations, or of a waiver, to be added to a job.
#[must_use]
pub fn piece(kind: &str) -> Option<String> {
    let table = match kind {
        OPERATION => Table::of::<OwnOperation>("[[operation]]")
            .text("id", "own-1")
            .text("verb", "inspect")
            .text("title", "What is done, in a few words")
            .text("station", "weld bay")
            .set("step", "[\"One line for each step.\"]"),
        WAIVER => Table::of::<Waiver>("[[waiver]]")
            .text("rule", "")
            .text("by", "")
            .text("reason", "")
            .text("date", ""),
        _ => return None,
    };
    let mut out = format!(
        "# Goes into a job file. {}\n\n",
        match kind {
            OPERATION => "`tackwright route JOB` names the operations it may stand behind or before.",
            _ => "`tackwright rules` lists the rules with their ids. A waiver is printed, never hidden.",
        }
    );
    table.write(Units::Inch, &mut out);
    Some(out)
}

/// Kind that stands for an operation of the job's own.
pub const OPERATION: &str = "operation";

/// Kind that stands for a waiver.
pub const WAIVER: &str = "waiver";

/// The text of a job file for these procedures.
///
/// # Errors
/// Procedures the library does not know, all of them, each with the nearest
/// name.
pub fn job_file(library: &Library, kinds: &[String], wish: &Wish) -> Result<String, Report> {
    let mut chosen: Vec<&Procedure> = Vec::new();
    let mut report = Report::new();
    for kind in kinds {
        match library.procedures.get(kind) {
            Some(procedure) if chosen.iter().any(|c| c.id == procedure.id) => {}
            Some(procedure) => chosen.push(procedure),
            None => report.push(unknown(library, kind)),
        }
    }
    if report.has_errors() {
        return Err(report);
    }
    let chosen: Vec<Chosen<'_>> =
        chosen.iter().map(|procedure| Chosen { procedure, kind: kind(procedure, &chosen) }).collect();
    let ends: Vec<Option<End>> =
        if wish.ends.is_empty() { vec![None] } else { wish.ends.iter().copied().map(Some).collect() };
    let several = ends.len() > 1;
    let needs: Vec<Need> = ends.into_iter().map(|end| Need::of(library, &chosen, end, several)).collect();
    let mut out = INTRODUCTION.to_owned();
    let tables = head(&chosen, &needs, wish)
        .into_iter()
        .chain(components(&needs))
        .chain(work(library, &chosen, &needs));
    for table in tables {
        table.write(wish.units, &mut out);
    }
    while out.ends_with("\n\n") {
        out.pop();
    }
    Ok(out)
}

fn unknown(library: &Library, kind: &str) -> Diagnostic {
    let names = || library.procedures.keys().map(String::as_str);
    let mut problem = Diagnostic::error("J201", format!("there is no procedure \"{kind}\""))
        .expected(names().collect::<Vec<_>>().join(", "))
        .help("`tackwright new --list` says what each is for");
    if let Some(near) = nearest(kind, names()) {
        problem = problem.help(format!("did you mean \"{near}\"?")).example(format!("tackwright new {near}"));
    }
    problem
}

/// The kind of component a procedure is written for: one another chosen
/// procedure must have anyway, else its first.
fn kind<'a>(procedure: &'a Procedure, chosen: &[&'a Procedure]) -> &'a str {
    let kinds = |p: &'a Procedure| -> Vec<&'a str> { p.applies_to.iter().map(|k| k.0.as_str()).collect() };
    let own = kinds(procedure);
    let fixed = chosen.iter().filter_map(|p| match kinds(p).as_slice() {
        [only] => Some(*only),
        _ => None,
    });
    fixed.into_iter().find(|k| own.contains(k)).or(own.first().copied()).unwrap_or("unit")
}

/// What the chosen procedures ask of the job file.
struct Need {
    axle: Option<&'static str>,
    steered: bool,
    end: End,
    /// Whether it is one of several axles in work.
    several: bool,
    driven: bool,
    over: bool,
    /// Whether new pads are set, and whether a shackle is changed.
    pads: bool,
    shackles: bool,
    shaft: bool,
    weldment: bool,
    axle_keys: BTreeSet<&'static str>,
    shaft_keys: BTreeSet<&'static str>,
}

impl Need {
    fn of(library: &Library, chosen: &[Chosen<'_>], end: Option<End>, several: bool) -> Self {
        let on = |kind: &str| chosen.iter().any(|c| c.kind == kind);
        let axle = match (on("axle"), on("trailer-axle")) {
            (true, _) => Some("axle"),
            (_, true) => Some("trailer-axle"),
            _ => None,
        };
        let listed =
            |p: &Procedure| -> Vec<String> { p.figures.iter().map(|f| f.value.to_string()).collect() };
        let own: Vec<String> = chosen.iter().flat_map(|c| listed(c.procedure)).collect();
        let all = |kind: &str| -> Vec<String> {
            let mut figures = Vec::new();
            for id in chosen.iter().filter(|c| kind.contains(c.kind)).flat_map(|c| with_included(library, c))
            {
                figures.extend(library.procedures.get(&id).map(&listed).unwrap_or_default());
            }
            figures
        };
        let own_keys = keys(needs::AXLE, &own);
        let steered =
            on("axle") && own_keys.iter().any(|k| starts(k, needs::STEERED) || starts(k, needs::FRONT));
        // A rear axle steers only if its knuckles are worked on.
        let turned = own_keys.iter().any(|k| starts(k, needs::TURNED));
        let end = end.unwrap_or(if steered { End::Front } else { End::Rear });
        let steered = on("axle") && (turned || end == End::Front && steered);
        let driven = on("axle")
            && chosen.iter().filter(|c| c.kind == "axle").any(|c| {
                library.operations_of(&c.procedure.id).iter().filter_map(|id| library.operations.get(id)).any(
                    |o| {
                        let condition = |w: &Option<crate::file::Located<crate::file::Text>>| {
                            w.as_ref().is_some_and(|w| w.value.contains("c.driven"))
                        };
                        !o.shared && (condition(&o.row.when) || o.row.step.iter().any(|s| condition(&s.when)))
                    },
                )
            });
        let mut axle_keys = keys(needs::AXLE, &all("trailer-axle"));
        axle_keys.retain(|key| {
            let fits = steered || !starts(key, needs::STEERED);
            // What is behind its axles belongs to a trailer, whichever axle it is.
            let ahead = on("axle") && end == End::Front;
            let fits = fits && !starts(key, if ahead { needs::REAR } else { needs::FRONT });
            // The axle of a trailer has no other end to speak of.
            let fits = fits && (on("axle") || !matches!(*key, "unit.other_axle_lift" | "unit.cg_to_rear"));
            // One distance from the coupler is no place of several axles (J284).
            let fits = fits && (on("axle") || !several || *key != "unit.wheelbase");
            // Two single joints are set without an allowance for wind-up.
            let fits = fits && (steered || *key != "pinion.allowance");
            fits && (driven || !key.starts_with("pinion.") && *key != "target.pinion_tolerance")
        });
        let shaft = on("driveshaft");
        let mut shaft_keys = keys(needs::SHAFT, &all("driveshaft"));
        if shaft && !axle_keys.contains("pinion.reach") {
            shaft_keys.extend(needs::SHAFT_ALONE);
        }
        let over = own.iter().any(|f| f == "stack");
        let works = |ids: &[&str]| {
            chosen.iter().any(|c| with_included(library, c).iter().any(|id| ids.contains(&id.as_str())))
        };
        Self {
            axle,
            steered,
            end,
            several,
            driven,
            over,
            pads: works(&["spring-over", "housing-rotation", "trailer-springs"]),
            shackles: works(&["shackle-move"]),
            shaft,
            weldment: on("weldment"),
            axle_keys,
            shaft_keys,
        }
    }

    fn id(&self, kind: &str) -> &'static str {
        match kind {
            "trailer-axle" if !self.several => "trailer",
            "axle" | "trailer-axle" => self.end.word(),
            "driveshaft" => "shaft",
            "weldment" => "frame",
            _ => "unit",
        }
    }
}

/// A chosen procedure and all it includes.
fn with_included(library: &Library, chosen: &Chosen<'_>) -> Vec<String> {
    let mut found = vec![chosen.procedure.id.clone()];
    let mut at = 0;
    while let Some(procedure) = found.get(at).and_then(|id| library.procedures.get(id)) {
        for included in &procedure.includes {
            if !found.contains(&included.0) {
                found.push(included.0.clone());
            }
        }
        at += 1;
    }
    found
}

type Rows = &'static [(&'static [&'static str], &'static [&'static str])];

fn keys(rows: Rows, figures: &[String]) -> BTreeSet<&'static str> {
    rows.iter()
        .filter(|(names, _)| names.iter().any(|n| figures.iter().any(|f| f == n)))
        .flat_map(|(_, keys)| keys.iter().copied())
        .collect()
}

fn starts(key: &str, beginnings: &[&str]) -> bool {
    beginnings.iter().any(|b| key.starts_with(b))
}

/// Job, shop, customer, unit, people.
fn head(chosen: &[Chosen<'_>], needs: &[Need], wish: &Wish) -> Vec<Table> {
    let mut tables = vec![
        Table::of::<Head>("[job]")
            .blank(["number", "title", "date", "asked"])
            .text("revision", "A")
            .text("paper", wish.paper.word())
            .text("units", wish.units.word()),
        Table::of::<Shop>("[shop]").blank(["name", "address", "contact"]),
        Table::of::<Customer>("[customer]").blank(["name", "contact", "order"]),
    ];
    let mut unit = Table::of::<UnitFacts>("[unit]").blank(["name", "identification"]);
    if chosen.iter().any(|c| c.kind != "weldment") {
        unit = unit.blank(["meter"]);
    }
    let both = needs.len() > 1;
    let unit_keys: BTreeSet<&str> =
        needs.iter().flat_map(|n| &n.axle_keys).filter_map(|k| k.strip_prefix("unit.")).collect();
    // With both axles in the job there is no other one, and of a trailer none at all.
    let trailer = needs.iter().any(|n| n.axle == Some("trailer-axle"));
    unit = unit.blank(unit_keys.into_iter().filter(|k| !(both && *k == "other_axle_lift")));
    if trailer {
        unit = unit.without(&["other_axle_lift", "cg_to_rear"]);
    }
    tables.push(if trailer && both { unit.without(&["wheelbase"]) } else { unit });
    for (id, roles, example) in [
        ("P1", "[\"lead\"]", "\"Lead One\""),
        ("P2", "[\"welder\", \"fitter\"]", "\"Welder One\""),
        ("P3", "[\"inspector\"]", "\"Inspector One\""),
    ] {
        tables.push(
            Table::of::<Person>("[[person]]")
                .text("id", id)
                .example("name", example)
                .blank(["name", "stamp"])
                .set("role", roles),
        );
    }
    for chosen in chosen {
        let mut on: Vec<String> = needs.iter().map(|need| format!("\"{}\"", need.id(chosen.kind))).collect();
        on.dedup();
        tables.push(
            Table::of::<Work>("[[work]]")
                .text("procedure", &chosen.procedure.id)
                .set("on", format!("[{}]", on.join(", "))),
        );
    }
    tables
}

/// The components, each with the tables its figures need.
fn components(needs: &[Need]) -> Vec<Table> {
    let mut tables = Vec::new();
    for need in needs {
        if let Some(kind) = need.axle {
            axle(kind, need, &mut tables);
        }
    }
    let frame: BTreeSet<&str> =
        needs.iter().flat_map(|n| &n.axle_keys).filter_map(|k| k.strip_prefix("frame.")).collect();
    tables.push(Table::of::<Frame>("[frame]").blank(frame));
    tables.retain(|t| !t.is_empty());
    let Some(need) = needs.first() else { return tables };
    if need.shaft {
        let mut shaft =
            Table::of::<Driveshaft>("[[driveshaft]]").text("id", need.id("driveshaft")).blank(["name"]);
        if need.axle == Some("axle") {
            shaft = shaft.text("axle", need.id("axle"));
        }
        tables.push(shaft.blank(need.shaft_keys.iter().copied()));
    }
    if need.weldment {
        tables.push(
            Table::of::<Weldment>("[[weldment]]")
                .text("id", need.id("weldment"))
                .blank(["name"])
                .blank(needs::WELDMENT.iter().copied()),
        );
    }
    tables
}

fn axle(kind: &str, need: &Need, tables: &mut Vec<Table>) {
    let flag = |on: bool| if on { "true" } else { "false" };
    let mut head = Table::of::<Axle>("[[axle]]")
        .text("id", need.id(kind))
        // Its id alone reads badly in a sentence.
        .text("name", &format!("{} axle", need.id(kind)));
    head = if kind == "axle" { head.text("end", need.end.word()) } else { head.without(&["end"]) };
    tables.push(
        head.set("driven", flag(need.driven))
            .set("steered", flag(need.steered))
            .set("trailer", flag(kind == "trailer-axle")),
    );
    let under = |prefix: &str| -> Vec<&'static str> {
        need.axle_keys.iter().filter_map(|k| k.strip_prefix(prefix)).collect()
    };
    // Work that leaves the springs alone can begin without what stands under them.
    let spring = Table::of::<Spring>("[axle.spring]");
    let raised = need.axle_keys.contains("spring.pack");
    let keys = under("spring.");
    let mut spring = if raised { spring.blank(keys) } else { spring.waiting(keys) };
    if !spring.is_empty() {
        let (from, to) = if need.over { ("under", "over") } else { ("over", "over") };
        spring = spring.text("from", from).text("to", to);
        // A seat that no new pad changes stays.
        if !need.pads {
            spring = spring.example("seat_new", "\"1/4 in\"");
        }
        if !need.shackles {
            spring = spring.example("shackle_new", "\"3-3/4 in\"");
        }
    }
    let mut pinion = Table::of::<Pinion>("[axle.pinion]").blank(under("pinion."));
    if !pinion.is_empty() {
        pinion = pinion.text("layout", if need.steered { "pointed" } else { "parallel" });
        // Values that go together: a short shaft to the front, a long one to the rear.
        let values: [(&str, &str); 5] = if need.steered {
            [
                ("angle", "12.5 deg"),
                ("reach", "13 in"),
                ("case_forward", "33-1/2 in"),
                ("case_up", "6 in"),
                ("output_slope", "-2 deg"),
            ]
        } else {
            [
                ("angle", "7.0 deg"),
                ("reach", "12-1/2 in"),
                ("case_forward", "62 in"),
                ("case_up", "2-1/4 in"),
                ("output_slope", "3.0 deg"),
            ]
        };
        for (key, value) in values {
            pinion = pinion.example(key, format!("\"{value}\""));
        }
    }
    // An axle that does not steer has none of what the steering is set to.
    let mut target = Table::of::<Target>("[axle.target]").blank(under("target."));
    if !need.steered {
        target = target.without(needs::STEERING);
    }
    let all = [
        Table::of::<Tube>("[axle.tube]").blank(under("tube.")),
        spring,
        pinion,
        Table::of::<Knuckle>("[axle.knuckle.left]").blank(under("knuckle.left.")),
        Table::of::<Knuckle>("[axle.knuckle.right]").blank(under("knuckle.right.")),
        target,
        Table::of::<Cut>("[axle.cut]").blank(under("cut.")),
        Table::of::<Pad>("[axle.pad]").blank(under("pad.")),
        Table::of::<Tyre>("[axle.tyre]").blank(under("tyre.")),
        Table::of::<DragLink>("[axle.drag_link]").blank(under("drag_link.")),
        Table::of::<Shock>("[axle.shock]").blank(under("shock.")),
    ];
    tables.extend(all.into_iter().filter(|t| !t.is_empty()));
}

/// Joints and fasteners the operations work on, one of each use.
fn work(library: &Library, chosen: &[Chosen<'_>], needs: &[Need]) -> Vec<Table> {
    let mut joints: Vec<(String, &str)> = Vec::new();
    let mut fasteners: Vec<(String, &str)> = Vec::new();
    for chosen in chosen {
        let operations = library.operations_of(&chosen.procedure.id);
        for operation in operations.iter().filter_map(|id| library.operations.get(id)) {
            for on in needs.iter().map(|need| need.id(chosen.kind)) {
                // What is looked up at the bench where the job says nothing is not asked for.
                let needed = operation.row.fasteners.as_ref().filter(|_| !operation.row.or_maker);
                for (usage, list) in [(operation.row.joints.as_ref(), &mut joints), (needed, &mut fasteners)]
                {
                    let Some(usage) = usage else { continue };
                    let entry = (usage.value.to_string(), on);
                    let once = operation.row.one_group && list.iter().any(|(u, _)| *u == entry.0);
                    if !once && !list.contains(&entry) {
                        list.push(entry);
                    }
                }
            }
        }
    }
    // Each knuckle is cut, turned and welded by itself.
    let sided = joints.iter().flat_map(|(usage, on)| {
        let sides: &[Option<&str>] =
            if needs::SIDED.contains(&usage.as_str()) { &[Some("left"), Some("right")] } else { &[None] };
        sides.iter().map(move |side| (usage, *on, *side))
    });
    let joints: Vec<Table> =
        sided.enumerate().map(|(i, (usage, on, side))| joint(i + 1, usage, on, side)).collect();
    // Each spring has U-bolts of its own.
    let sided = fasteners.iter().flat_map(|(usage, on)| {
        let sides: &[Option<&str>] = if usage == "u-bolt" { &[Some("left"), Some("right")] } else { &[None] };
        sides.iter().map(move |side| (usage, *on, *side))
    });
    let fasteners = sided.enumerate().map(|(i, (usage, on, side))| {
        let u_bolt = usage == "u-bolt";
        let title = match side {
            Some(side) => format!("U-bolts, {on} axle, {side}"),
            None => format!("{usage} fasteners, {on}"),
        };
        Table::of::<Fastener>("[[fastener]]")
            .text("id", &format!("B{}", i + 1))
            .text("title", &title)
            .text("on", on)
            .text("use", usage)
            .text("pattern", if u_bolt { "u-bolt" } else { "single" })
            .blank(needs::FASTENER.iter().copied())
            .blank(u_bolt.then_some("inside_width"))
    });
    joints.into_iter().chain(fasteners).collect()
}

fn joint(number: usize, usage: &str, on: &str, side: Option<&str>) -> Table {
    let round = needs::ROUND.contains(&usage);
    // A pad is welded along both its edges, on the left and on the right; a hanger to its
    // rail, on both sides too.
    let count = match usage {
        "pad" => Some("4"),
        "hanger" => Some("2"),
        _ => None,
    };
    let pad = usage == "pad";
    let safety = needs::DEPENDS.iter().find(|(u, _)| *u == usage).map_or("structure", |(_, s)| s);
    let table = Table::of::<Joint>("[[joint]]")
        .text("id", &format!("J{number}"))
        .text(
            "title",
            &side.map_or_else(|| format!("{usage} weld, {on}"), |s| format!("{usage} weld, {on} {s}")),
        )
        .text("on", on)
        .text("use", usage)
        .texts("place", side.or(pad.then_some("both")))
        .text("safety", safety)
        .text("weld", if round { "bevel-groove" } else { "fillet" })
        .text("form", if round { "butt" } else { "tee" })
        .blank(needs::JOINT.iter().copied().filter(|k| !((round || count.is_some()) && *k == "count")))
        .blank(if round { needs::GROOVE } else { needs::FILLET }.iter().copied());
    // A shaft is thinner than the tube of an axle.
    let table = if usage == "shaft" {
        table
            .example("thickness", "\"0.083 in\"")
            .example("around", "\"3 in\"")
            .example("groove_depth", "\"0.083 in\"")
            // It turns in the lathe or on rollers.
            .example("position", "\"1G, turned\"")
    } else if side.is_some() {
        // Tube to tube over what stands behind, by a procedure for grooves.
        table
            .example("thickness", "\"0.281 in\"")
            .example("steel", "\"1020 DOM\"")
            .example("wps", "\"WPS-05\"")
            // The housing lies level in its saddles, and nobody turns it under the arc.
            .example("position", "\"5G\"")
    } else {
        table
    };
    // One edge of the two is bevelled, to the angle of its cut.
    let table = if round { table.example("groove_angle", "\"30 deg\"") } else { table };
    match count {
        Some(count) => table.set("count", count),
        None => table,
    }
}
