//! Wire feed speed to start from at a current, by rule of thumb.

use super::look_up::AMPS;
use crate::figure::prelude::*;
use crate::figure::usual::FEED;

const RULE: Source = Source::practice(
    "inches per minute of wire for each ampere: 3.5 for .023/.024, 2 for .030, 1.6 for .035 in solid steel wire",
);

family! {
    pub WIRE_FEED = "wire-feed" in Welding:
        "wire feed speed to start from at a current, or the current of a wire feed, by rule of thumb";
    also "wfs", "wire-feed-speed", "wire-speed";
    reads WireFeed {
        required wire_diameter: Length, "solid steel wire: .023, .024, .030 or .035 in", "wire", "diameter", "d";
        optional current: Current in AMPS, "current wanted", "amps", "i";
        optional wire_feed: Speed in FEED, "wire feed speed, to estimate the current", "wfs",
            "wire_feed_speed";
    }
    rules { some_of(current, wire_feed); }
    gives WireFeedAnswer {
        feed: Speed, "wire feed speed to start from", "current x rule", RULE => .range(
            "a start only: stick-out, gas and the batch of wire move the amps");
        amps: Current, "current to expect", "wire_feed / rule", RULE => .range(
            "a start only: stick-out, gas and the batch of wire move the amps");
    }
    example "wire_diameter=\"0.035 in\" current=\"62.5 A\"";
    by run
}

/// Wire feed for one ampere.
fn feed_per_ampere(diameter: Length) -> Result<Speed> {
    let inches = diameter.to(unit::IN);
    // Wire is sold in steps; half a thousandth is well inside one step.
    let near = |size: f64| (inches - size).abs() < 0.0006;
    let rule = if near(0.023) || near(0.024) {
        3.5
    } else if near(0.030) {
        2.0
    } else if near(0.035) {
        1.6
    } else {
        return Err(Trouble::OutOfRange {
            input: "wire_diameter".to_owned(),
            given: format!("{inches:.3} in"),
            range: ".023, .024, .030 and .035 in".to_owned(),
            source: RULE,
        });
    };
    Ok(Speed::of(rule, unit::IN_MIN))
}

fn run(given: &WireFeed, answer: &mut WireFeedAnswer) -> Result<()> {
    let rule = feed_per_ampere(*given.wire_diameter)?;
    answer.feed.put_some(given.current.map(|current| rule * current.to(unit::A)));
    answer.amps.put_some(given.wire_feed.map(|feed| Current::of(feed.si() / rule.si(), unit::A)));
    let amps = given.current.or(answer.amps.get().copied()).map_or(0.0, |amps| amps.to(unit::A));
    let (low, high) = usual_amps(*given.wire_diameter);
    if !(low..=high).contains(&amps) {
        answer.warn(format!(
            "This wire usually runs at {low:.0} to {high:.0} A: outside it the rule is no guide."
        ));
    }
    answer.warn("Wire feed is not current: take this as a start, then set by the meters and a test bead.");
    Ok(())
}

/// Amperes solid wire of a size usually runs at (common practice, from memory).
fn usual_amps(diameter: Length) -> (f64, f64) {
    let inches = diameter.to(unit::IN);
    if inches < 0.0265 {
        (25.0, 90.0)
    } else if inches < 0.0325 {
        (40.0, 145.0)
    } else {
        (50.0, 225.0)
    }
}
