//! Straightness of an axle tube from a string or a straightedge.

use crate::figure::prelude::*;

const LINE: Source =
    Source::derived("offset of the tube end from the line over the length", "definition of the tangent");
const LIMITS: Source = Source::practice(
    "camber -0.03 to 0.05 deg, toe 0 to 0.05 deg on a driven rear axle: one maker's values, not traceable here; the axle's own manual comes first",
)
.from_memory();

family! {
    pub TUBE_STRAIGHTNESS = "tube-straightness" in Geometry:
        "droop and sweep of an axle tube from a string or straightedge in two planes";
    also "straightness", "droop", "axle-straightness", "axle-droop";
    reads TubeStraightness {
        required length: Length in within(1.0, 200.0, unit::IN, LINE), "length of tube the offsets are read over",
            "l";
        optional droop: Length, "outer end below the line; negative above", "offset", "drop";
        optional droop_angle: Angle in within(-30.0, 30.0, unit::DEG, LINE), "droop as an angle, instead", "angle";
        optional sweep: Length, "outer end ahead of the line; negative behind";
        optional sweep_angle: Angle in within(-30.0, 30.0, unit::DEG, LINE), "sweep as an angle, instead";
    }
    rules { some_of(droop, droop_angle, sweep, sweep_angle); at_most_one(droop, droop_angle); at_most_one(sweep, sweep_angle); }
    gives TubeStraightnessAnswer {
        droop: Length, "outer end below the line", "length x tan(droop_angle)", LINE => .style(GAUGE);
        droop_angle: Angle, "droop; the wheel's camber grows by it", "atan(droop / length)",
            LINE => .style(FINE_ANGLE);
        sweep: Length, "outer end ahead of the line", "length x tan(sweep_angle)", LINE => .style(GAUGE);
        sweep_angle: Angle, "sweep; the wheel toes in by it", "atan(sweep / length)", LINE => .style(FINE_ANGLE);
        bend: Angle, "bend of the tube in its own plane", "atan(hypot(tan droop, tan sweep))",
            LINE => .style(FINE_ANGLE);
        verdict: String, "against the limits of a driven rear axle", "camber -0.03 to 0.05 deg, toe 0 to 0.05 deg",
            LIMITS
            => .claims(&["within"]);
    }
    example "length=\"36 in\" droop_angle=\"0.3 deg\" sweep=\"0 in\"";
    by tube_straightness
}

fn offset(
    length: Length,
    offset: &Read<Option<Length>>,
    angle: &Read<Option<Angle>>,
) -> Result<Option<(Length, Angle)>> {
    match (**offset, **angle) {
        (Some(by), _) if by.si().abs() > 0.2 * length.si() => Err(Trouble::impossible(
            format!("{} is more than a fifth of the length: that is no bent tube", offset.name()),
            "check the offset and the length",
        )),
        (Some(by), _) => Ok(Some((by, math::atan2(by.si(), length.si())))),
        (None, Some(angle)) => Ok(Some((length * math::tan(angle), angle))),
        (None, None) => Ok(None),
    }
}

fn tube_straightness(given: &TubeStraightness, answer: &mut TubeStraightnessAnswer) -> Result<()> {
    let length = *given.length;
    let droop = offset(length, &given.droop, &given.droop_angle)?;
    let sweep = offset(length, &given.sweep, &given.sweep_angle)?;
    if let Some((by, angle)) = droop {
        answer.droop.put(by);
        answer.droop_angle.put(angle);
    }
    if let Some((by, angle)) = sweep {
        answer.sweep.put(by);
        answer.sweep_angle.put(angle);
    }
    if let (Some((down, camber)), Some((ahead, toe_in))) = (droop, sweep) {
        answer.bend.put(math::atan(math::hypot(down.si(), ahead.si()) / length.si()));
        let (camber, toe_in) = (camber.to(unit::DEG), toe_in.to(unit::DEG));
        let margin = [camber + 0.03, 0.05 - camber, toe_in, 0.05 - toe_in].into_iter().fold(1e-9, f64::min);
        let good = margin >= -1e-9;
        answer.verdict.judge(margin + 1e-9, "within", "outside", "not proven");
        if !good {
            answer.warn("The tube is bent beyond what a driven rear axle may have; makers ask for a bent housing to be replaced, so have it judged before it is used again.");
        }
    } else {
        answer.warn("Read the tube in two planes; one string says nothing about the other.");
    }
    Ok(())
}
