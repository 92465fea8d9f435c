//! Visual acceptance of a weld: limits for the given sizes, and a verdict on
//! what was measured.

use super::column::{COLUMN, Column};
use super::visual_limits::{AWS_CYCLIC, AWS_FIT, AWS_PROFILE, AWS_SI, AWS_STATIC, ISO, Level};
use super::weld_strength::{COUNT, throat_of_leg};
use super::{look_up, visual_limits as limits};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::GAUGE;
use crate::quantity::{Dimensioned, Form, Kind, Length, Number, Style, Time, unit};
use crate::source::Source;

const fn limit(id: &'static str, title: &'static str, formula: &'static str, source: Source) -> Output {
    Output::new(id, title, Kind::Length, formula, source).style(GAUGE).down()
}

const fn size(name: &'static str, help: &'static str) -> Input {
    Input::optional(name, Kind::Length, help)
}

/// Visual acceptance.
pub static VISUAL_ACCEPTANCE: Family = Family {
    name: "visual-acceptance",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "visual acceptance limits for the sizes at hand, and a verdict on measured values",
    inputs: &[
        Input::choice(
            "standard",
            &["aws-static", "aws-cyclic", "iso-b", "iso-c", "iso-d", "iso-5817", "en-iso-5817"],
            Need::Optional,
            "AWS D1.1 static or cyclic, ISO 5817:2014 level B, C or D; iso-5817 with level",
        )
        .also(&["class", "code", "loading"]),
        Input::choice(
            "level",
            &["B", "C", "D"],
            Need::Optional,
            "level of ISO 5817, instead of iso-b, iso-c, iso-d",
        )
        .also(&["quality_level", "quality"]),
        Input::required("thickness", Kind::Length, "base metal thickness; the thinner part").also(&[
            "t",
            "s",
            "base_metal",
        ]),
        size("leg", "leg of the fillet").also(&["z", "leg_size", "weld_size"]),
        size("throat", "nominal throat; without it from the leg").also(&["a"]),
        size("width", "width of the weld face").also(&["b", "w", "face_width", "weld_width"]),
        size("length", "length of the weld").also(&["l", "weld_length"]),
        Input::choice(
            "tension",
            &["across", "along"],
            Need::Default("across"),
            "aws-cyclic: whether the main tension runs across the weld or along it",
        )
        .also(&["stress_direction"]),
        Input::flag("circumferential", "a round seam").also(&["round", "tube", "pipe"]),
        Input::flag("quenched", "steel that cracks late: A514, A517, A709 grade 100")
            .also(&["qt", "delayed"]),
        size("undercut", "measured undercut depth"),
        size("undercut_length", "measured total length of that undercut in the worst 12 in"),
        size("undersize", "measured undersize of the leg"),
        size("undersize_length", "measured total length that is undersize"),
        size("convexity", "measured convexity"),
        size("misalignment", "measured linear misalignment").also(&["hi_lo", "mismatch"]),
        size("gap", "measured root gap of a fillet").also(&["root_gap"]),
        size("leg_difference", "measured difference of the two legs").also(&["asymmetry"]),
        size("throat_short", "measured shortfall of the throat").also(&["insufficient_throat"]),
        size("throat_excess", "measured excess of the throat").also(&["excess_throat"]),
        size("excess_weld", "measured excess weld metal of a butt weld").also(&["reinforcement"]),
        size("overlap", "measured overlap"),
        size("pore", "diameter of the largest surface pore").also(&["pore_diameter", "porosity"]),
        size("pore_sum", "sum of pore diameters in the worst inch (AWS static)").also(&["porosity_sum"]),
        size("pore_sum_foot", "sum of pore diameters in the worst 12 in (AWS static)"),
        Input::optional("pores", Kind::Number, "pores in the worst 4 in (AWS cyclic)").also(&["pore_count"]),
        COLUMN,
        Input::flag("crack", "a crack was seen").also(&["cracks"]),
        Input::flag("lack_of_fusion", "lack of fusion was seen").also(&["lof"]),
    ],
    outputs: &[
        Output::word("cracks", "cracks and lack of fusion", "none allowed at any level", AWS_STATIC),
        Output::word(
            "column",
            "column of AWS D1.1 read",
            "as table says, or by the unit of the thickness",
            AWS_STATIC,
        ),
        limit(
            "undercut_max_inch",
            "undercut, inch column",
            "1/32 in under 1 in, 1/16 from 1 in; cyclic 0.010 in",
            AWS_STATIC,
        ),
        limit(
            "undercut_max_metric",
            "undercut, metric column",
            "1 mm under 25 mm, 2 mm from 25 mm; cyclic 0.25 mm",
            AWS_SI,
        ),
        limit(
            "undercut_max",
            "undercut",
            "AWS: 1/32 in under 1 in, 1/16 from 1 in; cyclic across tension 0.010 in; ISO: share of t with a cap",
            AWS_STATIC,
        ),
        limit("undercut_short_max", "undercut over a short length", "1/16 in", AWS_STATIC),
        limit(
            "undercut_short_length",
            "length over which that is allowed, in any 12 in",
            "2 in in any 12 in",
            AWS_STATIC,
        ),
        limit(
            "undersize_max",
            "undersize of the leg",
            "leg to 3/16: 1/16; 1/4: 3/32; 5/16 and up: 1/8 in",
            AWS_STATIC,
        ),
        limit("undersize_length_max", "length that may be undersize", "10 % of the weld length", AWS_STATIC),
        limit(
            "convexity_max",
            "convexity",
            "AWS by face width: 1/16, 1/8, 3/16 in; ISO: 1 mm + share of b with a cap",
            AWS_STATIC,
        ),
        limit(
            "pore_max",
            "surface pore diameter",
            "ISO: B none, C 0.2 s to 2 mm, D 0.3 s to 3 mm; AWS cyclic 3/32 in",
            ISO,
        ),
        limit("pore_counted", "pore diameter from which pores are counted", "1/32 in", AWS_STATIC),
        limit("pore_sum_max", "sum of pore diameters in any inch", "3/8 in", AWS_STATIC),
        limit("pore_sum_foot_max", "sum of pore diameters in any 12 in", "3/4 in", AWS_STATIC),
        Output::new("pores_max", "pores in any 4 in of fillet", Kind::Number, "1 in 4 in", AWS_CYCLIC)
            .style(COUNT)
            .down(),
        limit(
            "excess_weld_max",
            "excess weld metal, butt",
            "ISO: 1 mm + 0.1, 0.15, 0.25 b; to 5, 7, 10 mm; AWS, by thickness: to 1 in 1/8, to 2 in 3/16, above 1/4 in",
            ISO,
        ),
        limit(
            "misalignment_max",
            "linear misalignment",
            "ISO: 0.1, 0.15, 0.25 t to 3, 4, 5 mm; round seam 0.5 t to 2, 3, 4 mm; AWS: 0.1 t to 1/8 in",
            ISO,
        ),
        limit(
            "throat_short_max",
            "shortfall of the throat",
            "B none; 0.3 mm + 0.1 a, to 1 mm (C), 2 mm (D)",
            ISO,
        ),
        limit(
            "throat_excess_max",
            "excess of the throat",
            "B 1 mm + 0.15 a to 3; C 1 mm + 0.2 a to 4; D any",
            ISO,
        ),
        limit(
            "gap_max",
            "root gap of a fillet",
            "ISO: B 0.5 mm + 0.1 a to 2; C 0.5 + 0.2 a to 3; D 1 + 0.3 a to 4; AWS: 3/16 in",
            ISO,
        ),
        limit(
            "leg_difference_max",
            "difference of the legs",
            "B 1.5 mm + 0.15 a; C 2 + 0.15 a; D 2 + 0.2 a",
            ISO,
        ),
        limit("overlap_max", "overlap", "B and C none; D 0.2 b; AWS none", ISO),
        limit("crater_pipe_max", "end crater pipe", "B none; C 0.1 t to 1 mm; D 0.2 t to 2 mm", ISO),
        Output::new(
            "wait",
            "wait before the final inspection",
            Kind::Time,
            "48 h for steel that cracks late, else none",
            AWS_STATIC,
        )
        .style(Style::single(Form::decimal(unit::HOUR, 1.0)))
        .up(),
        Output::word(
            "verdict",
            "verdict on what was measured",
            "reject if one is over its limit; else not judged if one has none; else accept",
            AWS_STATIC,
        ),
        Output::words("faults", "what is outside", "measured values over their limit", AWS_STATIC),
        Output::words(
            "not_judged",
            "what was measured and could not be judged",
            "values whose size, length or limit is not known",
            AWS_STATIC,
        ),
        Output::words("open", "what the standard judges too and was not given", "as listed", AWS_STATIC),
    ],
    example: "standard=aws-static thickness=\"1/2 in\" leg=\"1/4 in\" length=\"20 in\" undersize=\"3/32 in\" undersize_length=\"1.5 in\"",
    run: visual_acceptance,
};

/// Limits met and broken while the family runs.
struct Check<'a> {
    given: &'a Given,
    level: Level,
    column: Column,
    faults: Vec<String>,
    unjudged: Vec<String>,
    measured: bool,
}

impl Check<'_> {
    /// Puts a limit and holds the measured value against it.
    fn hold(
        &mut self,
        answer: &mut Answer,
        id: &'static str,
        max: Length,
        measured: &'static str,
    ) -> Result<(), Trouble> {
        self.put(answer, id, max);
        if let Some(value) = self.value(measured)?
            && over(value, max)
        {
            self.fault(measured);
        }
        Ok(())
    }

    fn put(&self, answer: &mut Answer, id: &'static str, max: Length) {
        answer.put(id, max);
        answer.source(id, self.source());
    }

    fn source(&self) -> Source {
        if !self.level.is_iso() && self.column == Column::Metric { AWS_SI } else { self.level.source() }
    }

    fn value(&mut self, name: &'static str) -> Result<Option<Length>, Trouble> {
        let value: Option<Length> = self.given.maybe(name)?;
        if let Some(value) = value {
            if value.si() < 0.0 {
                given::positive(name, value)?;
            }
            self.measured = true;
        }
        Ok(value)
    }

    fn fault(&mut self, name: &str) {
        self.faults.push(name.replace('_', " "));
    }

    fn unjudged(&mut self, name: &str) {
        self.measured = true;
        self.unjudged.push(name.replace('_', " "));
    }

    /// The verdict: what was not judged is not accepted.
    const fn verdict(&self) -> &'static str {
        match (self.faults.is_empty(), self.unjudged.is_empty()) {
            (false, _) => "reject",
            (true, false) => "not judged",
            (true, true) => "accept",
        }
    }
}

fn over(value: Length, max: Length) -> bool {
    value.si() > max.si() * (1.0 + 1e-9) + 1e-12
}

fn level(given: &Given) -> Result<Level, Trouble> {
    let standard = given.maybe_word("standard")?;
    Ok(match (standard, given.maybe_word("level")?) {
        (None, None) => return Err(Trouble::Missing(vec!["standard"])),
        (Some("iso-5817" | "en-iso-5817"), None) => return Err(Trouble::Missing(vec!["level"])),
        (Some("aws-static"), None) => Level::AwsStatic,
        (Some("aws-cyclic"), None) => Level::AwsCyclic,
        (Some("iso-b"), None) | (None | Some("iso-5817" | "en-iso-5817"), Some("B")) => Level::IsoB,
        (Some("iso-c"), None) | (None | Some("iso-5817" | "en-iso-5817"), Some("C")) => Level::IsoC,
        (Some("iso-d"), None) | (None | Some("iso-5817" | "en-iso-5817"), Some("D")) => Level::IsoD,
        (Some(_), _) | (None, Some(_)) => {
            return Err(Trouble::impossible(
                "level goes with standard iso-5817 alone",
                "give standard=iso-5817 level=C, or standard=iso-c",
            ));
        }
    })
}

fn visual_acceptance(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let level = level(given)?;
    let thickness: Length = given::positive("thickness", given.need("thickness")?)?;
    if level.is_iso() && thickness.to(unit::MM) <= 3.0 {
        return Err(Trouble::OutOfRange {
            input: "thickness".to_owned(),
            given: format!("{:.2} mm", thickness.to(unit::MM)),
            range: "more than 3 mm".to_owned(),
            source: ISO,
        });
    }
    if let Some(leg) = given.maybe::<Length>("leg")? {
        look_up::leg_on(leg, thickness)?;
    }
    let column = if level.is_iso() { Column::Metric } else { Column::read(given, "thickness")? };
    let mut check = Check { given, level, column, faults: Vec::new(), unjudged: Vec::new(), measured: false };
    answer.put_word("cracks", "none allowed");
    answer.source("cracks", level.source());
    if !level.is_iso() {
        answer.put_word("column", column.word());
    }
    for flag in ["crack", "lack_of_fusion"] {
        if given.has(flag) {
            check.measured = true;
            if given.flag(flag)? {
                check.fault(flag);
            }
        }
    }
    undercut(&mut check, answer, thickness)?;
    if level.is_iso() {
        iso(&mut check, answer, thickness)?;
    } else {
        aws(&mut check, answer, thickness)?;
    }
    let hours = if given.flag("quenched")? { 48.0 } else { 0.0 };
    if !level.is_iso() {
        answer.put("wait", Time::of(hours, unit::HOUR));
    }
    unanswered(&mut check, answer);
    if check.measured {
        answer.put_word("verdict", check.verdict());
        answer.source("verdict", level.source());
        for (id, list) in [("faults", &check.faults), ("not_judged", &check.unjudged), ("open", &open(given))]
        {
            if !list.is_empty() {
                answer.put_words(id, list.clone());
                answer.source(id, level.source());
            }
        }
    }
    answer.note(
        "The verdict covers only what was measured and given. Acceptance belongs to the inspector and the code the \
         job names.",
    );
    Ok(())
}

fn undercut(check: &mut Check<'_>, answer: &mut Answer, thickness: Length) -> Result<(), Trouble> {
    let across = check.given.maybe_word("tension")? != Some("along");
    let of = |column| limits::undercut(check.level, thickness, across, column);
    let max = of(check.column);
    if !check.level.is_iso() {
        answer.put("undercut_max_inch", of(Column::Inch));
        answer.put("undercut_max_metric", of(Column::Metric));
    }
    let stricter = of(check.column.other());
    check.put(answer, "undercut_max", max);
    let depth = check.value("undercut")?;
    let run = check.value("undercut_length")?;
    if let Some(depth) = depth
        && !check.level.is_iso()
        && !over(depth, max)
        && over(depth, stricter)
    {
        answer.warn(format!(
            "The undercut is inside the {} column of the code and over the limit of the {} column, {}: the unit of the \
             thickness chose the column; table=inch or table=metric does.",
            check.column.word(),
            check.column.other().word(),
            GAUGE.down().both(stricter.into())
        ));
    }
    let short = limits::short_undercut(check.level, thickness, check.column);
    let two = check.column.length(2.0, 50.0);
    if let Some(short) = short {
        check.put(answer, "undercut_short_max", short);
        check.put(answer, "undercut_short_length", two);
    }
    if depth.is_none() && run.is_some() {
        check.unjudged("undercut_length");
    }
    if let Some(depth) = depth
        && over(depth, max)
    {
        // Without its length the undercut can't claim the short allowance.
        let excused = short.is_some_and(|s| !over(depth, s)) && run.is_some_and(|r| !over(r, two));
        if !excused {
            check.fault("undercut");
        }
    }
    Ok(())
}

fn aws(check: &mut Check<'_>, answer: &mut Answer, thickness: Length) -> Result<(), Trouble> {
    undersize(check, answer)?;
    if let Some(width) = check.given.maybe::<Length>("width")? {
        let max = limits::convexity(check.level, given::positive("width", width)?, check.column);
        check.hold(answer, "convexity_max", max, "convexity")?;
    }
    if check.level == Level::AwsStatic {
        check.put(answer, "pore_counted", check.column.length(0.03125, 1.0));
        static_pores(check, answer)?;
    } else {
        check.hold(answer, "pore_max", check.column.length(0.09375, 2.5), "pore")?;
        answer.put("pores_max", Number::from_si(1.0));
        cyclic_pores(check)?;
    }
    if check.given.has("excess_weld") {
        check.hold(
            answer,
            "excess_weld_max",
            limits::aws_reinforcement(thickness, check.column),
            "excess_weld",
        )?;
        answer.source("excess_weld_max", AWS_PROFILE);
    }
    if !check.given.flag("circumferential")? {
        check.hold(
            answer,
            "misalignment_max",
            limits::aws_misalignment(thickness, check.column),
            "misalignment",
        )?;
        answer.source("misalignment_max", AWS_FIT);
    }
    check.hold(answer, "gap_max", check.column.length(0.1875, 5.0), "gap")?;
    answer.source("gap_max", AWS_FIT);
    check.hold(answer, "overlap_max", Length::from_si(0.0), "overlap")
}

/// Undersize is allowed by the leg, over a tenth of the weld: it takes all of
/// leg, length and the length that is undersize to accept it.
fn undersize(check: &mut Check<'_>, answer: &mut Answer) -> Result<(), Trouble> {
    let most = check.given.maybe::<Length>("leg")?;
    let most = most.map(|leg| given::positive("leg", leg)).transpose()?;
    let most = most.map(|leg| limits::undersize(leg, check.column));
    let tenth = check.given.maybe::<Length>("length")?;
    let tenth = tenth.map(|length| given::positive("length", length)).transpose()?.map(|length| length * 0.1);
    let (depth, run) = (check.value("undersize")?, check.value("undersize_length")?);
    if let Some(most) = most {
        check.put(answer, "undersize_max", most);
    }
    if let Some(tenth) = tenth {
        check.put(answer, "undersize_length_max", tenth);
    }
    match (depth, most, run, tenth) {
        (None, _, None, _) => {}
        (Some(depth), ..) if depth.si() == 0.0 => {}
        (Some(depth), Some(most), ..) if over(depth, most) => check.fault("undersize"),
        (_, _, Some(run), Some(tenth)) if over(run, tenth) => check.fault("undersize_length"),
        (Some(_), Some(_), Some(_), Some(_)) => {}
        (Some(_), ..) => {
            check.unjudged("undersize");
            answer.warn("Undersize is allowed by the leg and over 10 % of the weld only: give leg, length and undersize_length.");
        }
        (None, _, Some(_), _) => check.unjudged("undersize_length"),
    }
    Ok(())
}

/// Pores of static service are judged by two sums: of the worst inch and of the
/// worst foot, each pore counting from its least size on.
fn static_pores(check: &mut Check<'_>, answer: &mut Answer) -> Result<(), Trouble> {
    let (inch, foot) = (check.column.length(0.375, 10.0), check.column.length(0.75, 20.0));
    check.hold(answer, "pore_sum_max", inch, "pore_sum")?;
    check.hold(answer, "pore_sum_foot_max", foot, "pore_sum_foot")?;
    let (sum, all) = (check.value("pore_sum")?, check.value("pore_sum_foot")?);
    let pore = check.value("pore")?;
    if sum.is_none() && pore.is_some_and(|pore| over(pore, inch)) {
        check.fault("pore");
    }
    // No inch holds more than its foot, and no counted pore means no sum.
    let none = pore.is_some_and(|pore| pore.si() < check.column.length(0.03125, 1.0).si())
        || sum.is_some_and(|sum| sum.si() == 0.0);
    let both = all.is_some_and(|all| sum.is_some() || !over(all, inch));
    let given = [("pore_sum", sum), ("pore_sum_foot", all), ("pore", pore)];
    if let Some((name, _)) = given.iter().find(|(_, value)| value.is_some())
        && !none
        && !both
    {
        check.unjudged(name);
        answer.warn("Pores are judged by their sums in the worst inch and the worst foot: give pore_sum and pore_sum_foot.");
    }
    Ok(())
}

/// Pores of cyclic service are judged by their number and by their size.
fn cyclic_pores(check: &mut Check<'_>) -> Result<(), Trouble> {
    let pores: Option<Number> = check.given.maybe("pores")?;
    let pore = check.value("pore")?;
    if pores.is_some_and(|n| n.si() > 1.0) {
        check.measured = true;
        check.fault("pores");
    }
    match (pores, pore) {
        (Some(n), None) if n.si() > 0.0 => check.unjudged("pores"),
        (None, Some(size)) if size.si() > 0.0 => check.unjudged("pore"),
        (Some(_), _) => check.measured = true,
        (None, _) => {}
    }
    Ok(())
}

/// What every standard here judges and nobody gave.
fn open(given: &Given) -> Vec<String> {
    let pores = ["pore", "pores", "pore_sum", "pore_sum_foot"];
    [
        ("crack", &["crack"][..]),
        ("lack of fusion", &["lack_of_fusion"]),
        ("undercut", &["undercut"]),
        ("porosity", &pores),
    ]
    .iter()
    .filter(|(_, names)| !names.iter().any(|name| given.has(name)))
    .map(|(title, _)| (*title).to_owned())
    .collect()
}

fn iso(check: &mut Check<'_>, answer: &mut Answer, thickness: Length) -> Result<(), Trouble> {
    let level = check.level;
    if let Some(width) = check.given.maybe::<Length>("width")? {
        let width = given::positive("width", width)?;
        check.hold(answer, "convexity_max", limits::convexity(level, width, Column::Metric), "convexity")?;
        check.hold(answer, "excess_weld_max", limits::excess_weld(level, width), "excess_weld")?;
    }
    check.hold(answer, "pore_max", limits::surface_pore(level, thickness), "pore")?;
    let round = check.given.flag("circumferential")?;
    check.hold(answer, "misalignment_max", limits::misalignment(level, thickness, round), "misalignment")?;
    let throat = match check.given.maybe::<Length>("throat")? {
        Some(throat) => Some(given::positive("throat", throat)?),
        None => match check.given.maybe::<Length>("leg")? {
            Some(leg) => Some(throat_of_leg(given::positive("leg", leg)?)),
            None => None,
        },
    };
    if let Some(throat) = throat {
        check.hold(answer, "throat_short_max", limits::short_throat(level, throat), "throat_short")?;
        if let Some(max) = limits::excess_throat(level, throat) {
            check.hold(answer, "throat_excess_max", max, "throat_excess")?;
        } else {
            // Level D permits any excess of the throat.
            check.value("throat_excess")?;
        }
        check.hold(answer, "gap_max", limits::fillet_gap(level, throat), "gap")?;
        check.hold(answer, "leg_difference_max", limits::asymmetry(level, throat), "leg_difference")?;
    }
    let width: Option<Length> = check.given.maybe("width")?;
    if let Some(width) = width {
        check.hold(answer, "overlap_max", limits::overlap(level, width), "overlap")?;
    } else if level != Level::IsoD {
        check.hold(answer, "overlap_max", Length::from_si(0.0), "overlap")?;
    }
    answer.put("crater_pipe_max", limits::crater_pipe(level, thickness));
    Ok(())
}

/// Measured values that were given but had nothing to be held against.
fn unanswered(check: &mut Check<'_>, answer: &mut Answer) {
    let read = check.given.names_read();
    let loose: Vec<&str> = [
        "undersize",
        "undersize_length",
        "convexity",
        "misalignment",
        "gap",
        "leg_difference",
        "throat_short",
        "throat_excess",
        "excess_weld",
        "overlap",
        "pore",
        "pore_sum",
        "pore_sum_foot",
        "pores",
    ]
    .into_iter()
    .filter(|n| check.given.has(n) && !read.contains(n))
    .collect();
    for name in &loose {
        check.unjudged(name);
    }
    if !check.unjudged.is_empty() {
        answer.warn(format!(
            "Not judged, for want of a size or a limit in this standard: {}. Give leg, throat, width or length, or judge by hand.",
            check.unjudged.join(", ")
        ));
    }
}
