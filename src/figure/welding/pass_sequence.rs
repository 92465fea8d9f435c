//! The order of welding: segments around a tube or along a straight seam,
//! where each starts and stops, and which way it runs.

use super::sequence::{
    JOINT, SEAM_LENGTH, TUBE_OD, centre_out_order, is_round, opposed_order, order_words, skip_order,
};
use super::weld_strength::COUNT;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::TAPE;
use crate::quantity::{Angle, Dimensioned, Kind, Length, Number, unit};
use crate::source::Source;

const ORDER: Source = Source::practice(
    "opposed quadrants 1-3-2-4; skip, back-step and centre-out as published distortion guides list them",
);
const SPLIT: Source = Source::derived("equal segments of the seam", "segments laid end to end");

/// Most segments a list is made for.
const MOST: f64 = 120.0;

/// Welding order.
pub static PASS_SEQUENCE: Family = Family {
    name: "pass-sequence",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "welding order by segments: opposed, skip, back-step, centre-out",
    inputs: &[
        JOINT,
        TUBE_OD,
        SEAM_LENGTH,
        Input::optional(
            "segments",
            Kind::Number,
            "number of segments; without it 4 on a tube, or by longest",
        )
        .also(&["count", "n", "quadrants"]),
        Input::optional("longest", Kind::Length, "longest run in one go; sets the number of segments")
            .also(&["step", "segment", "segment_length", "max_segment"]),
        Input::choice(
            "order",
            &["opposed", "skip", "back-step", "back-skip", "centre-out", "center-out", "through"],
            Need::Optional,
            "opposed is usual on a tube, back-step on a straight seam",
        )
        .also(&["method", "sequence"]),
        Input::defaulted(
            "start",
            Kind::Angle,
            "0 deg",
            "where segment 1 begins, clockwise from the top seen from the wheel",
        )
        .also(&["start_angle"]),
    ],
    outputs: &[
        Output::new(
            "seam_length",
            "length of the seam",
            Kind::Length,
            "pi OD, or the straight length",
            SPLIT,
        )
        .style(TAPE),
        Output::new(
            "segments",
            "number of segments",
            Kind::Number,
            "as given, or seam / longest rounded up; even on a tube",
            SPLIT,
        )
        .style(COUNT),
        Output::new("segment_length", "length of a segment", Kind::Length, "seam length / segments", SPLIT)
            .style(TAPE),
        Output::words("order", "segments in welding order", "segments counted along the seam from 1", ORDER),
        Output::list(
            "start_angles",
            "where each run starts, in welding order",
            Kind::Angle,
            "from the top, clockwise",
            SPLIT,
        ),
        Output::list(
            "stop_angles",
            "where each run stops, in welding order",
            Kind::Angle,
            "from the top, clockwise",
            SPLIT,
        ),
        Output::list(
            "starts",
            "where each run starts, in welding order",
            Kind::Length,
            "from one end",
            SPLIT,
        )
        .style(TAPE),
        Output::list("stops", "where each run stops, in welding order", Kind::Length, "from one end", SPLIT)
            .style(TAPE),
        Output::words("steps", "steps", "one line per run", ORDER),
        Output::word("method", "order used", "as given, or the usual one of the joint", ORDER),
    ],
    example: "tube_od=\"3 in\" segments=4",
    run: pass_sequence,
};

/// One run: a segment and the way it is welded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Run {
    segment: u32,
    backward: bool,
}

fn runs(order: &str, count: f64) -> Vec<Run> {
    let forward = |list: Vec<u32>| list.into_iter().map(|segment| Run { segment, backward: false }).collect();
    let backward = |list: Vec<u32>| list.into_iter().map(|segment| Run { segment, backward: true }).collect();
    let mut through = centre_out_order(count);
    through.sort_unstable();
    match order {
        "opposed" => forward(opposed_order(count)),
        "skip" => forward(skip_order(count)),
        "back-skip" => backward(skip_order(count)),
        "back-step" => backward(through),
        "centre-out" | "center-out" => {
            // Each run goes from the middle toward its free end.
            let middle = (count - 1.0) / 2.0;
            centre_out_order(count)
                .into_iter()
                .map(|segment| Run { segment, backward: f64::from(segment) < middle })
                .collect()
        }
        _ => forward(through),
    }
}

fn number(given: &Given, seam: Length, tube: bool) -> Result<f64, Trouble> {
    let n = match (given.maybe::<Number>("segments")?, given.maybe::<Length>("longest")?) {
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible("both segments and longest are given", "give one of them"));
        }
        (Some(n), None) => n.si(),
        (None, Some(longest)) => {
            let longest = given::positive("longest", longest)?;
            let n = (seam.si() / longest.si() * (1.0 - 1e-9)).ceil().max(1.0);
            if tube { n + n % 2.0 } else { n }
        }
        (None, None) if tube => 4.0,
        (None, None) => return Err(Trouble::Missing(vec!["segments"])),
    };
    if n.fract() != 0.0 || !(1.0..=MOST).contains(&n) {
        return Err(Trouble::OutOfRange {
            input: "segments".to_owned(),
            given: format!("{n}"),
            range: format!("whole numbers from 1 to {MOST}"),
            source: SPLIT,
        });
    }
    Ok(n)
}

fn pass_sequence(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let tube = is_round(given)?;
    let seam = if tube {
        given::positive("tube_od", given.need::<Length>("tube_od")?)? * std::f64::consts::PI
    } else {
        given::positive("length", given.need::<Length>("length")?)?
    };
    let count = number(given, seam, tube)?;
    let method = given.maybe_word("order")?.unwrap_or(if tube { "opposed" } else { "back-step" });
    if method == "opposed" && !tube {
        return Err(Trouble::impossible(
            "a straight seam has no opposed segments",
            "choose back-step, skip, back-skip, centre-out or through",
        ));
    }
    if method == "opposed" && (count % 2.0 != 0.0 || count < 4.0) {
        answer.warn("Opposed order wants an even number of segments, four or more: change segments.");
    }
    if tube && method == "through" {
        answer
            .warn("Welding straight round pulls the tube over to the side welded first: use opposed order.");
    }
    let runs = runs(method, count);
    answer.put("seam_length", seam);
    answer.put("segments", Number::from_si(count));
    answer.put("segment_length", seam / count);
    answer.put_words("order", order_words(&runs.iter().map(|r| r.segment).collect::<Vec<_>>()));
    let part = |at: u32| f64::from(at) / count;
    let ends: Vec<(f64, f64)> = runs
        .iter()
        .map(|r| {
            let (a, b) = (part(r.segment), part(r.segment + 1));
            if r.backward { (b, a) } else { (a, b) }
        })
        .collect();
    if tube {
        let start: Angle = given.or("start", Angle::from_si(0.0))?;
        let at = |share: f64| start + Angle::of(360.0 * share, unit::DEG);
        answer.put_list("start_angles", ends.iter().map(|(a, _)| at(*a)));
        answer.put_list("stop_angles", ends.iter().map(|(_, b)| at(*b)));
        let words = |a: f64| format!("{:.0}°", at(a).to(unit::DEG));
        put_steps(answer, &runs, &ends, words);
    } else {
        answer.put_list("starts", ends.iter().map(|(a, _)| seam * *a));
        answer.put_list("stops", ends.iter().map(|(_, b)| seam * *b));
        put_steps(answer, &runs, &ends, |a| TAPE.both((seam * a).into()));
    }
    answer.put_word("method", method);
    Ok(())
}

fn put_steps(answer: &mut Answer, runs: &[Run], ends: &[(f64, f64)], words: impl Fn(f64) -> String) {
    answer.put_words(
        "steps",
        runs.iter()
            .zip(ends)
            .map(|(run, (a, b))| format!("segment {}: from {} to {}", run.segment + 1, words(*a), words(*b)))
            .collect::<Vec<_>>(),
    );
}
