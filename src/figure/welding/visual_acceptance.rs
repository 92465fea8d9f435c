//! Visual acceptance of a weld: limits for the given sizes, and a verdict on
//! what was measured.

use super::column::Column;
use super::look_up::{expanded, leg_on};
use super::visual_findings::{Findings, Loading, Measured, Quality, Standard, Tension, contradictions, over};
use super::visual_limits as limits;
use super::visual_limits::{AWS_CYCLIC, AWS_FIT, AWS_PROFILE, AWS_SI, AWS_STATIC, ISO, Level};
use super::weld_strength::throat_of_leg;
use crate::figure::prelude::*;

family! {
    pub VISUAL_ACCEPTANCE = "visual-acceptance" in Welding:
        "visual acceptance limits for the sizes at hand, and a verdict on measured values";
    also "visual", "visual-limits", "iso-5817", "acceptance", "undercut";
    reads VisualAcceptance { ..of: Findings; }
    gives VisualAcceptanceAnswer {
        cracks: String, "cracks and lack of fusion", "none allowed at any level", AWS_STATIC;
        column: Column, "column of AWS D1.1 read", "as table says", AWS_STATIC;
        undercut_max_inch: Length, "undercut, inch column",
            "1/32 in under 1 in, 1/16 from 1 in; cyclic 0.010 in", AWS_STATIC => .style(GAUGE).down();
        undercut_max_metric: Length, "undercut, metric column",
            "1 mm under 25 mm, 2 mm from 25 mm; cyclic 0.25 mm", AWS_SI => .style(GAUGE).down();
        undercut_max: Length, "undercut",
            "AWS: 1/32 in under 1 in, 1/16 from 1 in; cyclic across tension 0.010 in; ISO: share of t with a cap",
            AWS_STATIC => .style(GAUGE).down();
        undercut_short_max: Length, "undercut over a short length", "1/16 in", AWS_STATIC =>
            .style(GAUGE).down();
        undercut_short_length: Length, "length over which that is allowed, in any 12 in", "2 in in any 12 in",
            AWS_STATIC => .style(GAUGE).down();
        undersize_max: Length, "undersize of the leg", "leg to 3/16: 1/16; 1/4: 3/32; 5/16 and up: 1/8 in",
            AWS_STATIC => .style(GAUGE).down();
        undersize_length_max: Length, "length that may be undersize", "10 % of the weld length", AWS_STATIC =>
            .style(GAUGE).down();
        convexity_max: Length, "convexity",
            "AWS by face width: 1/16, 1/8, 3/16 in; ISO: 1 mm + share of b with a cap", AWS_STATIC =>
            .style(GAUGE).down();
        pore_max: Length, "surface pore diameter",
            "ISO: B none, C 0.2 s to 2 mm, D 0.3 s to 3 mm; AWS cyclic 3/32 in", ISO => .style(GAUGE).down();
        pore_counted: Length, "pore diameter from which pores are counted", "1/32 in", AWS_STATIC =>
            .style(GAUGE).down();
        pore_sum_max: Length, "sum of pore diameters in any inch", "3/8 in", AWS_STATIC => .style(GAUGE).down();
        pore_sum_foot_max: Length, "sum of pore diameters in any 12 in", "3/4 in", AWS_STATIC =>
            .style(GAUGE).down();
        pores_max: Number, "pores in any 4 in of fillet", "1 in 4 in", AWS_CYCLIC => .style(WHOLE).down();
        excess_weld_max: Length, "excess weld metal, butt",
            "ISO: 1 mm + 0.1, 0.15, 0.25 b; to 5, 7, 10 mm; AWS, by thickness: to 1 in 1/8, to 2 in 3/16, above 1/4 in",
            ISO => .style(GAUGE).down();
        misalignment_max: Length, "linear misalignment",
            "ISO: 0.1, 0.15, 0.25 t to 3, 4, 5 mm; round seam 0.5 t to 2, 3, 4 mm; AWS: 0.1 t to 1/8 in", ISO =>
            .style(GAUGE).down();
        throat_short_max: Length, "shortfall of the throat", "B none; 0.3 mm + 0.1 a, to 1 mm (C), 2 mm (D)", ISO
            => .style(GAUGE).down();
        throat_excess_max: Length, "excess of the throat", "B 1 mm + 0.15 a to 3; C 1 mm + 0.2 a to 4; D any",
            ISO => .style(GAUGE).down();
        gap_max: Length, "root gap of a fillet",
            "ISO: B 0.5 mm + 0.1 a to 2; C 0.5 + 0.2 a to 3; D 1 + 0.3 a to 4; AWS: 3/16 in", ISO =>
            .style(GAUGE).down();
        leg_difference_max: Length, "difference of the legs", "B 1.5 mm + 0.15 a; C 2 + 0.15 a; D 2 + 0.2 a", ISO
            => .style(GAUGE).down();
        overlap_max: Length, "overlap", "B and C none; D 0.2 b; AWS none", ISO => .style(GAUGE).down();
        crater_pipe_max: Length, "end crater pipe", "B none; C 0.1 t to 1 mm; D 0.2 t to 2 mm", ISO =>
            .style(GAUGE).down();
        wait: Time, "wait before the final inspection", "48 h for steel that cracks late, else none", AWS_STATIC
            => .style(Style::single(Form::decimal(unit::HOUR, 1.0))).up();
        verdict: String, "verdict on what was measured",
            "reject if one is over its limit; not judged if one has none, or is inside it by less than its uncertainty; else accept", AWS_STATIC
            => .claims(&["accept", SO_FAR]);
        faults: Vec<String>, "what is outside", "measured values over their limit", AWS_STATIC;
        not_judged: Vec<String>, "what was measured and could not be judged",
            "values whose size, length or limit is not known", AWS_STATIC;
        open: Vec<String>, "what the standard judges too and was not given", "as listed", AWS_STATIC;
    }
    example "standard=aws-static thickness=\"1/2 in\" leg=\"1/4 in\" length=\"20 in\" undersize=\"3/32 in\" undersize_length=\"1.5 in\"";
    by visual_acceptance
}

/// Verdict where every limit is met and something the standard judges was not told.
const SO_FAR: &str = "within limits so far";

/// Limits met and broken while the family runs.
struct Check<'a> {
    given: &'a Findings,
    level: Level,
    column: Column,
    faults: Vec<String>,
    unjudged: Vec<String>,
    measured: bool,
}

impl Check<'_> {
    /// Puts a limit and holds the measured value against it.
    fn hold(&mut self, limit: &mut Out<Length>, max: Length, measured: &Measured) {
        self.put(limit, max);
        if let Some(value) = self.value(measured) {
            self.judge(value, max, measured);
        }
    }

    /// Over the limit is a fault; inside it by less than the expanded
    /// uncertainty is not judged (guard band, JCGM 106:2012, 8.3.2).
    fn judge(&mut self, value: Length, max: Length, measured: &Measured) {
        if over(value, max) {
            self.fault(measured.name());
        } else if over(value + expanded(measured), max) {
            self.unjudged(measured.name());
        }
    }

    fn put(&self, limit: &mut Out<Length>, max: Length) {
        limit.put(max);
        limit.source(self.source());
    }

    fn source(&self) -> Source {
        if !self.level.is_iso() && self.column == Column::Metric { AWS_SI } else { self.level.source() }
    }

    fn value(&mut self, measured: &Measured) -> Option<Length> {
        self.measured |= measured.given();
        **measured
    }

    fn fault(&mut self, name: &str) {
        self.faults.push(name.replace('_', " "));
    }

    fn unjudged(&mut self, name: &str) {
        self.measured = true;
        let name = name.replace('_', " ");
        if !self.unjudged.contains(&name) {
            self.unjudged.push(name);
        }
    }

    /// The verdict: what was not judged is not accepted, nor what nobody looked at.
    fn verdict(&self) -> String {
        match (self.faults.is_empty(), self.unjudged.is_empty(), open(self.given, self.level)) {
            (false, ..) => "reject".to_owned(),
            (true, false, _) => "not judged".to_owned(),
            (true, true, open) if open.is_empty() => "accept".to_owned(),
            (true, true, open) => format!("{SO_FAR}; not told: {}", open.join(", ")),
        }
    }
}

fn level(given: &Findings) -> Result<Level> {
    let named = |quality| match quality {
        Quality::B => Level::IsoB,
        Quality::C => Level::IsoC,
        Quality::D => Level::IsoD,
    };
    if let Some(loading) = *given.loading {
        let named = match loading {
            Loading::Static => Standard::AwsStatic,
            Loading::Cyclic => Standard::AwsCyclic,
        };
        let fits = given.standard.is_none_or(|standard| standard == Standard::Aws || standard == named);
        (!fits || given.level.given()).refuse(
            "loading is asked by AWS D1.1 alone, and once",
            "give standard=aws-d1.1 loading=cyclic, or standard=aws-cyclic",
        )?;
        return Ok(if loading == Loading::Static { Level::AwsStatic } else { Level::AwsCyclic });
    }
    Ok(match (*given.standard, *given.level) {
        (None, None) => return Err(Trouble::Missing(vec!["standard"])),
        (Some(Standard::Iso), None) => return Err(Trouble::Missing(vec!["level"])),
        (Some(Standard::Aws), None) => return Err(Trouble::Missing(vec!["loading"])),
        (None | Some(Standard::Iso), Some(quality)) => named(quality),
        (Some(Standard::AwsStatic), None) => Level::AwsStatic,
        (Some(Standard::AwsCyclic), None) => Level::AwsCyclic,
        (Some(Standard::IsoB), None) => Level::IsoB,
        (Some(Standard::IsoC), None) => Level::IsoC,
        (Some(Standard::IsoD), None) => Level::IsoD,
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible(
                "level goes with standard iso-5817 alone",
                "give standard=iso-5817 level=C, or standard=iso-c",
            ));
        }
    })
}

fn visual_acceptance(given: &VisualAcceptance, answer: &mut VisualAcceptanceAnswer) -> Result<()> {
    let given = &given.of;
    let level = level(given)?;
    let thickness = *given.thickness;
    if level.is_iso() && thickness.to(unit::MM) <= 3.0 {
        return Err(Trouble::OutOfRange {
            input: "thickness".to_owned(),
            given: format!("{:.2} mm", thickness.to(unit::MM)),
            range: "more than 3 mm".to_owned(),
            source: ISO,
        });
    }
    if let Some(leg) = *given.leg
        && let Err(large) = leg_on(leg, thickness)
    {
        answer.warn(format!("Beside the limits: {large}."));
    }
    let column = if level.is_iso() { Column::Metric } else { *given.table };
    let mut check = Check { given, level, column, faults: Vec::new(), unjudged: Vec::new(), measured: false };
    answer.cracks.put("none allowed".to_owned());
    answer.cracks.source(level.source());
    for flag in [&given.crack, &given.lack_of_fusion] {
        check.measured |= flag.given();
        if **flag {
            check.fault(flag.name());
        }
    }
    if let Some(filled) = *given.craters_filled {
        check.measured = true;
        if !filled && !level.is_iso() {
            check.fault("craters");
        }
    }
    contradictions(given)?;
    undercut(&mut check, answer, thickness);
    porosity_of_a_groove(&mut check, answer);
    if level.is_iso() {
        iso(&mut check, answer, thickness);
    } else {
        answer.column.put(column);
        aws(&mut check, answer, thickness);
        answer.wait.put(Time::of(if *given.quenched { 48.0 } else { 0.0 }, unit::HOUR));
    }
    without_limit(&mut check);
    if !check.unjudged.is_empty() {
        answer.warn(format!(
            "Not judged, for want of a size, of a limit in this standard or of a finer measurement: {}. Give leg, throat, \
             width or length, measure again, or judge by hand.",
            check.unjudged.join(", ")
        ));
    }
    if check.measured {
        answer.verdict.put(check.verdict());
        answer.verdict.source(level.source());
        for (out, list) in [
            (&mut answer.faults, check.faults),
            (&mut answer.not_judged, check.unjudged),
            (&mut answer.open, open(given, level)),
        ] {
            if !list.is_empty() {
                out.put(list);
                out.source(level.source());
            }
        }
    }
    answer.note(
        "The verdict covers only what was measured and given. Acceptance belongs to the inspector and the code the \
         job names.",
    );
    Ok(())
}

fn undercut(check: &mut Check<'_>, answer: &mut VisualAcceptanceAnswer, thickness: Length) {
    let across = check.level != Level::AwsCyclic || *check.given.tension == Tension::Across;
    let of = |column| limits::undercut(check.level, thickness, across, column);
    let (max, stricter) = (of(check.column), of(check.column.other()));
    if !check.level.is_iso() {
        answer.undercut_max_inch.put(of(Column::Inch));
        answer.undercut_max_metric.put(of(Column::Metric));
    }
    check.put(&mut answer.undercut_max, max);
    let depth = check.value(&check.given.undercut);
    let run = check.value(&check.given.undercut_length);
    let short = limits::short_undercut(check.level, thickness, check.column);
    let two = check.column.length(2.0, 50.0);
    if let Some(short) = short {
        check.put(&mut answer.undercut_short_max, short);
        check.put(&mut answer.undercut_short_length, two);
    }
    let Some(depth) = depth else {
        if run.is_some() {
            check.unjudged("undercut_length");
        }
        return;
    };
    let given = check.given;
    // Without its length the undercut can't claim the short allowance.
    let excused = |depth: Length| {
        let few = run.is_some_and(|r| !over(r + expanded(&given.undercut_length), two));
        few && short.is_some_and(|s| !over(depth, s))
    };
    let widest = depth + expanded(&given.undercut);
    if over(depth, max) && !excused(depth) {
        check.fault("undercut");
    } else if over(widest, max) && !excused(widest) {
        check.unjudged("undercut");
    } else if !over(depth, max) && !check.level.is_iso() && over(depth, stricter) {
        answer.warn(format!(
            "The undercut is inside the {} column of the code and over the limit of the {} column, {}: table=inch or \
             table=metric chooses.",
            check.column.word(),
            check.column.other().word(),
            GAUGE.down().both(stricter.into())
        ));
    }
}

fn aws(check: &mut Check<'_>, answer: &mut VisualAcceptanceAnswer, thickness: Length) {
    let (given, column) = (check.given, check.column);
    undersize(check, answer);
    if let Some(width) = *given.width {
        let max = limits::convexity(check.level, width, column);
        check.hold(&mut answer.convexity_max, max, &given.convexity);
    }
    if check.level == Level::AwsStatic {
        check.put(&mut answer.pore_counted, column.length(0.03125, 1.0));
        static_pores(check, answer);
    } else {
        check.hold(&mut answer.pore_max, column.length(0.09375, 2.5), &given.pore);
        answer.pores_max.put(Number::from_si(1.0));
        cyclic_pores(check);
    }
    if given.excess_weld.given() {
        let most = limits::aws_reinforcement(thickness, column);
        check.hold(&mut answer.excess_weld_max, most, &given.excess_weld);
        answer.excess_weld_max.source(AWS_PROFILE);
    }
    if !*given.circumferential {
        let most = limits::aws_misalignment(thickness, column);
        check.hold(&mut answer.misalignment_max, most, &given.misalignment);
        answer.misalignment_max.source(AWS_FIT);
    }
    check.hold(&mut answer.gap_max, column.length(0.1875, 5.0), &given.gap);
    answer.gap_max.source(AWS_FIT);
    check.hold(&mut answer.overlap_max, Length::from_si(0.0), &given.overlap);
}

/// Undersize is allowed by the leg, over a tenth of the weld: it takes all of
/// leg, length and the length that is undersize to accept it.
fn undersize(check: &mut Check<'_>, answer: &mut VisualAcceptanceAnswer) {
    let given = check.given;
    let most = given.leg.map(|leg| limits::undersize(leg, check.column));
    let tenth = given.length.map(|length| length * 0.1);
    let (depth, run) = (check.value(&given.undersize), check.value(&given.undersize_length));
    if let Some(most) = most {
        check.put(&mut answer.undersize_max, most);
    }
    if let Some(tenth) = tenth {
        check.put(&mut answer.undersize_length_max, tenth);
    }
    match (depth, most, run, tenth) {
        (None, _, None, _) => {}
        (Some(depth), ..) if depth.si() == 0.0 => {}
        // Nothing is left of a leg that is short by the whole of it.
        (Some(depth), ..) if given.leg.is_some_and(|leg| !over(leg, depth)) => check.fault("undersize"),
        (Some(depth), Some(most), ..) if over(depth, most) => check.fault("undersize"),
        (Some(_), ..) if given.leg.is_some_and(|leg| over(check.column.length(0.125, 3.0), leg)) => {
            check.unjudged("undersize");
            answer.warn("The table of undersize begins with a leg of 1/8 in (3 mm).");
        }
        (_, _, Some(run), Some(tenth)) if over(run, tenth) => check.fault("undersize_length"),
        (Some(depth), Some(most), Some(run), Some(tenth)) => {
            check.judge(depth, most, &given.undersize);
            check.judge(run, tenth, &given.undersize_length);
        }
        (Some(_), ..) => {
            check.unjudged("undersize");
            answer.warn("Undersize is allowed by the leg and over 10 % of the weld only: give leg, length and undersize_length.");
        }
        (None, _, Some(_), _) => check.unjudged("undersize_length"),
    }
}

/// The rows of AWS D1.1 that allow pores are for fillets; a groove weld across the
/// tension may have none.
fn porosity_of_a_groove(check: &mut Check<'_>, answer: &mut VisualAcceptanceAnswer) {
    let given = check.given;
    if check.level.is_iso() || given.leg.given() || given.throat.given() {
        return;
    }
    let some = |measured: &Measured| measured.is_some_and(|size| size.si() > 0.0);
    let seen = [&given.pore, &given.pore_sum, &given.pore_sum_foot].into_iter().find(|m| some(m));
    let counted = given.pores.is_some_and(|pores| pores.si() > 0.0).then(|| given.pores.name());
    if let Some(name) = seen.map(|m| m.name()).or(counted) {
        check.unjudged(name);
        answer.warn("Pores are allowed in fillets: give leg or throat; a groove weld across the tension may have none.");
    }
}

/// Pores of static service are judged by two sums: of the worst inch and of the
/// worst foot, each pore counting from its least size on.
fn static_pores(check: &mut Check<'_>, answer: &mut VisualAcceptanceAnswer) {
    let given = check.given;
    let (inch, foot) = (check.column.length(0.375, 10.0), check.column.length(0.75, 20.0));
    check.hold(&mut answer.pore_sum_max, inch, &given.pore_sum);
    check.hold(&mut answer.pore_sum_foot_max, foot, &given.pore_sum_foot);
    let (sum, all, pore) = (*given.pore_sum, *given.pore_sum_foot, check.value(&given.pore));
    if sum.is_none() && pore.is_some_and(|pore| over(pore, inch)) {
        check.fault("pore");
    }
    // No inch holds more than its foot, and no counted pore means no sum.
    let none = pore.is_some_and(|pore| pore.si() < check.column.length(0.03125, 1.0).si())
        || sum.is_some_and(|sum| sum.si() == 0.0);
    let both = all.is_some_and(|all| sum.is_some() || !over(all, inch));
    let stated = [&given.pore_sum, &given.pore_sum_foot, &given.pore].into_iter().find(|m| m.given());
    if let Some(stated) = stated
        && !none
        && !both
    {
        check.unjudged(stated.name());
        answer.warn("Pores are judged by their sums in the worst inch and the worst foot: give pore_sum and pore_sum_foot.");
    }
}

/// Pores of cyclic service are judged by their number and by their size.
fn cyclic_pores(check: &mut Check<'_>) {
    let (pores, pore) = (*check.given.pores, *check.given.pore);
    check.measured |= pores.is_some();
    if pores.is_some_and(|n| n.si() > 1.0) {
        check.fault("pores");
    }
    match (pores, pore) {
        (Some(n), None) if n.si() > 0.0 => check.unjudged("pores"),
        (None, Some(size)) if size.si() > 0.0 => check.unjudged("pore"),
        _ => {}
    }
}

/// What every standard here judges and nobody gave.
fn open(given: &Findings, level: Level) -> Vec<String> {
    // A fillet has a size, and every standard here judges it.
    let fillet = given.leg.given() || given.throat.given();
    let craters = if level.is_iso() { given.crater_pipe.given() } else { given.craters_filled.given() };
    let pores: [&dyn Stated; 4] = [&given.pore, &given.pores, &given.pore_sum, &given.pore_sum_foot];
    [
        ("crack", given.crack.given()),
        ("lack of fusion", given.lack_of_fusion.given()),
        ("craters", craters),
        ("undercut", given.undercut.given()),
        ("overlap", given.overlap.given()),
        // The profile: of a fillet its convexity, of a butt weld its excess.
        if fillet {
            ("convexity", given.convexity.given())
        } else {
            ("excess weld metal", given.excess_weld.given() || given.convexity.given())
        },
        ("porosity", pores.iter().any(|pore| pore.absent().is_none())),
        if level.is_iso() {
            ("shortfall of the throat", !fillet || given.throat_short.given())
        } else {
            ("undersize", !fillet || given.undersize.given())
        },
    ]
    .into_iter()
    .filter(|(_, given)| !given)
    .map(|(title, _)| title.to_owned())
    .collect()
}

fn iso(check: &mut Check<'_>, answer: &mut VisualAcceptanceAnswer, thickness: Length) {
    let (given, level) = (check.given, check.level);
    if let Some(width) = *given.width {
        let convex = limits::convexity(level, width, Column::Metric);
        check.hold(&mut answer.convexity_max, convex, &given.convexity);
        check.hold(&mut answer.excess_weld_max, limits::excess_weld(level, width), &given.excess_weld);
    }
    // The pore of a fillet goes by its throat, that of a butt weld by the plate.
    let throat = given.throat.or_else(|| given.leg.map(throat_of_leg));
    check.hold(&mut answer.pore_max, limits::surface_pore(level, throat.unwrap_or(thickness)), &given.pore);
    let misaligned = limits::misalignment(level, thickness, *given.circumferential);
    check.hold(&mut answer.misalignment_max, misaligned, &given.misalignment);
    if let Some(throat) = throat {
        check.hold(&mut answer.throat_short_max, limits::short_throat(level, throat), &given.throat_short);
        match limits::excess_throat(level, throat) {
            Some(max) => check.hold(&mut answer.throat_excess_max, max, &given.throat_excess),
            // Level D permits any excess of the throat.
            None => _ = check.value(&given.throat_excess),
        }
        check.hold(&mut answer.gap_max, limits::fillet_gap(level, throat), &given.gap);
        check.hold(&mut answer.leg_difference_max, limits::asymmetry(level, throat), &given.leg_difference);
    }
    match *given.width {
        Some(width) => check.hold(&mut answer.overlap_max, limits::overlap(level, width), &given.overlap),
        None if level != Level::IsoD => {
            check.hold(&mut answer.overlap_max, Length::from_si(0.0), &given.overlap);
        }
        None => {}
    }
    check.hold(&mut answer.crater_pipe_max, limits::crater_pipe(level, thickness), &given.crater_pipe);
}

/// Measured values that this standard, or this standard without a size it goes
/// by, has no limit for.
fn without_limit(check: &mut Check<'_>) {
    let given = check.given;
    let throat = given.throat.given() || given.leg.given();
    let width = given.width.given();
    let iso = check.level.is_iso();
    let level_d = check.level == Level::IsoD;
    let cyclic = check.level == Level::AwsCyclic;
    let measured: [(&dyn Stated, &str, bool); 15] = [
        (&given.crater_pipe, "crater_pipe", iso),
        (&given.craters_filled, "craters_filled", !iso),
        (&given.undersize, "undersize", !iso),
        (&given.undersize_length, "undersize_length", !iso),
        (&given.convexity, "convexity", width),
        (&given.misalignment, "misalignment", iso || !*given.circumferential),
        (&given.gap, "gap", !iso || throat),
        (&given.leg_difference, "leg_difference", iso && throat),
        (&given.throat_short, "throat_short", iso && throat),
        (&given.throat_excess, "throat_excess", iso && throat),
        (&given.excess_weld, "excess_weld", !iso || width),
        (&given.overlap, "overlap", !level_d || width),
        (&given.pore_sum, "pore_sum", !iso && !cyclic),
        (&given.pore_sum_foot, "pore_sum_foot", !iso && !cyclic),
        (&given.pores, "pores", cyclic),
    ];
    for (value, name, limited) in measured {
        if value.absent().is_none() && !limited {
            check.unjudged(name);
        }
    }
}
