//! The order of welding: segments around a tube or along a straight seam,
//! where each starts and stops, and which way it runs.

use super::sequence::{Seam, below, centre_out_order, opposed_order, order_words, skip_order};
use crate::figure::prelude::*;

const ORDER: Source = Source::practice(
    "opposed quadrants 1-3-2-4; skip, back-step and centre-out as published distortion guides list them",
);
const SPLIT: Source = Source::derived("equal segments of the seam", "segments laid end to end");

words! {
    /// Order of welding.
    pub Order {
        Opposed = "opposed" | "quadrants" | "opposed-quadrants",
        Skip = "skip",
        BackStep = "back-step" | "backstepped",
        BackSkip = "back-skip",
        CentreOut = "centre-out" | "center-out",
        Through = "through" | "inline",
    }
}

words! {
    /// Which way runs on a tube that stands still go.
    pub Progression {
        Up = "up" | "uphill" | "upward",
        Down = "down" | "downhill" | "downward",
    }
}

/// Places round a tube as they are marked on it.
const ROUND_THE_TUBE: Style = Style::single(Form::decimal(unit::DEG, 1.0));

family! {
    pub PASS_SEQUENCE = "pass-sequence" in Welding:
        "welding order by segments: opposed, skip, back-step, centre-out";
    also "weld-sequence", "sequence", "welding-sequence", "quadrants";
    reads PassSequence {
        ..seam: Seam;
        optional segments: Number in count(1, 120, SPLIT),
            "number of segments; without it 4 on a tube, or by longest", "count", "n", "quadrants";
        optional longest: Length in ABOVE_ZERO, "longest run in one go; sets the number of segments", "step",
            "segment", "segment_length";
        optional order: Order, "opposed is usual on a tube, back-step on a straight seam", "method", "sequence";
        default start: Angle = "0 deg", "where segment 1 begins, clockwise from the top seen from the wheel",
            "start_angle";
        optional progression: Progression,
            "of a tube that is not turned: up, every run climbs; down, every run falls", "vertical", "direction";
    }
    rules { at_most_one(segments, longest); }
    gives PassSequenceAnswer {
        seam_length: Length, "length of the seam", "pi OD, or the straight length", SPLIT => .style(TAPE);
        segments: Number, "number of segments", "as given, or seam / longest rounded up; even on a tube", SPLIT
            => .style(WHOLE);
        segment_length: Length, "length of a segment", "seam length / segments", SPLIT => .style(TAPE);
        order: Vec<String>, "segments in welding order", "segments counted along the seam from 1", ORDER;
        start_angles: Vec<Angle>, "where each run starts, in welding order", "from the top, clockwise", SPLIT;
        stop_angles: Vec<Angle>, "where each run stops, in welding order", "from the top, clockwise", SPLIT;
        starts: Vec<Length>, "where each run starts, in welding order", "from one end", SPLIT => .style(TAPE);
        stops: Vec<Length>, "where each run stops, in welding order", "from one end", SPLIT => .style(TAPE);
        steps: Vec<String>, "steps", "one line per run", ORDER;
        method: Order, "order used", "as given, or the usual one of the joint", ORDER;
    }
    asked order;
    example "tube_od=\"3 in\" segments=4";
    by pass_sequence
}

/// One run: a segment and the way it is welded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Run {
    segment: u32,
    backward: bool,
}

fn runs(order: Order, count: f64) -> Vec<Run> {
    let segments = match order {
        Order::Opposed => opposed_order(count),
        Order::Skip | Order::BackSkip => skip_order(count),
        Order::BackStep | Order::Through => below(count),
        Order::CentreOut => centre_out_order(count),
    };
    // From the centre each run goes toward its free end.
    let middle = (count - 1.0) / 2.0;
    let backward = |segment: u32| match order {
        Order::BackStep | Order::BackSkip => true,
        Order::CentreOut => f64::from(segment) < middle,
        Order::Opposed | Order::Skip | Order::Through => false,
    };
    segments.into_iter().map(|segment| Run { segment, backward: backward(segment) }).collect()
}

fn number(given: &PassSequence, seam: Length, round: bool) -> Result<f64> {
    match (*given.segments, *given.longest) {
        (Some(n), _) => Ok(n.si()),
        (None, Some(longest)) => {
            let n = (seam.si() / longest.si() * (1.0 - 1e-9)).ceil().max(1.0);
            let n = if round { n + n % 2.0 } else { n };
            count(1, 120, SPLIT).check("segments", Number::from_si(n).into()).map(|()| n)
        }
        (None, None) if round => Ok(4.0),
        (None, None) => Err(Trouble::Missing(vec!["segments"])),
    }
}

fn pass_sequence(given: &PassSequence, answer: &mut PassSequenceAnswer) -> Result<()> {
    let (tube, seam) = given.seam.run()?;
    let count = answer.segments.decide(Number::from_si(number(given, seam, tube)?)).si();
    let method = given.order.unwrap_or(if tube { Order::Opposed } else { Order::BackStep });
    (method == Order::Opposed && !tube).refuse(
        "a straight seam has no opposed segments",
        "choose back-step, skip, back-skip, centre-out or through",
    )?;
    (method == Order::Opposed && (count % 2.0 != 0.0 || count < 4.0)).refuse(
        "opposed order wants an even number of segments, four or more",
        "change segments, or choose another order",
    )?;
    if tube && method == Order::Through {
        answer
            .warn("Welding straight round pulls the tube over to the side welded first: use opposed order.");
    }
    let runs = runs(method, count);
    answer.seam_length.put(seam);
    answer.segment_length.put(seam / count);
    answer.order.put(order_words(&runs.iter().map(|r| r.segment).collect::<Vec<_>>()));
    let part = |at: u32| f64::from(at) / count;
    let start = if tube { *given.start } else { Angle::from_si(0.0) };
    let at = |share: f64| start + Angle::of(360.0 * share, unit::DEG);
    let ends: Vec<(f64, f64)> = runs
        .iter()
        .map(|r| {
            let (a, b) = (part(r.segment), part(r.segment + 1));
            let backward = match *given.progression {
                Some(way) if tube => (math::cos(at(a)) > math::cos(at(b))) == (way == Progression::Up),
                _ => r.backward,
            };
            if backward { (b, a) } else { (a, b) }
        })
        .collect();
    if tube && given.progression.given() {
        // A run across the top or the bottom changes its way there.
        let half = |share: f64| (at(share).to(unit::DEG) / 180.0).rem_euclid(2.0);
        let turns = |low: f64, high: f64| {
            let first = half(low);
            let reach = first + 2.0 * (high - low);
            (1..=3).any(|n| first + 1e-9 < f64::from(n) && f64::from(n) < reach - 1e-9)
        };
        runs.iter().any(|r| turns(part(r.segment), part(r.segment + 1))).refuse(
            "a run crosses the top or the bottom of the tube, where up turns into down",
            "begin at the top, or take an even number of segments",
        )?;
    }
    if tube {
        answer.start_angles.put(ends.iter().map(|(a, _)| at(*a)).collect::<Vec<_>>());
        answer.stop_angles.put(ends.iter().map(|(_, b)| at(*b)).collect::<Vec<_>>());
    } else {
        answer.starts.put(ends.iter().map(|(a, _)| seam * *a).collect::<Vec<_>>());
        answer.stops.put(ends.iter().map(|(_, b)| seam * *b).collect::<Vec<_>>());
    }
    let place = |share: f64| {
        if tube { ROUND_THE_TUBE.both(at(share).into()) } else { TAPE.both((seam * share).into()) }
    };
    let way = match *given.progression {
        Some(Progression::Up) if tube => "up ",
        Some(Progression::Down) if tube => "down ",
        _ => "",
    };
    answer.steps.put(
        runs.iter()
            .zip(&ends)
            .map(|(run, (a, b))| {
                format!("segment {}: from {} {way}to {}", run.segment + 1, place(*a), place(*b))
            })
            .collect::<Vec<_>>(),
    );
    answer.method.put(method);
    Ok(())
}
