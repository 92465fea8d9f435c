//! Wire feed speed to start from at a current, by rule of thumb.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::{Current, Dimensioned, Kind, Length, Speed, unit};
use crate::source::Source;

const RULE: Source = Source::practice(
    "inches per minute of wire for each ampere: 3.5 for .023/.024, 2 for .030, 1.6 for .035 in solid steel wire",
);

/// Wire feed from current, and back.
pub static WIRE_FEED: Family = Family {
    name: "wire-feed",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "wire feed speed to start from at a current, or the current of a wire feed, by rule of thumb",
    inputs: &[
        Input::required("wire_diameter", Kind::Length, "solid steel wire: .023, .024, .030 or .035 in")
            .also(&["wire", "diameter", "d"]),
        Input::optional("current", Kind::Current, "current wanted").also(&["amps", "i"]),
        Input::optional("wire_feed", Kind::Speed, "wire feed speed, to estimate the current")
            .also(&["wfs", "wire_feed_speed"]),
    ],
    outputs: &[
        Output::new("feed", "wire feed speed to start from", Kind::Speed, "current x rule", RULE)
            .range("a start only: stick-out, gas and the batch of wire move the amps"),
        Output::new("amps", "current to expect", Kind::Current, "wire_feed / rule", RULE)
            .range("a start only: stick-out, gas and the batch of wire move the amps"),
    ],
    example: "wire_diameter=\"0.035 in\" current=\"62.5 A\"",
    run,
};

/// Wire feed for one ampere.
///
/// # Errors
/// If the rule has no value for this wire.
pub fn feed_per_ampere(diameter: Length) -> Result<Speed, Trouble> {
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

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let rule = feed_per_ampere(given.need("wire_diameter")?)?;
    let current: Option<Current> = given.maybe("current")?;
    let feed: Option<Speed> = given.maybe("wire_feed")?;
    if current.is_none() && feed.is_none() {
        return Err(Trouble::Missing(vec!["current", "wire_feed"]));
    }
    if let Some(current) = current {
        answer.put("feed", rule * given::positive("current", current)?.to(unit::A));
    }
    if let Some(feed) = feed {
        let ratio = given::positive("wire_feed", feed)?.si() / rule.si();
        answer.put("amps", Current::of(ratio, unit::A));
    }
    answer.warn("Wire feed is not current: take this as a start, then set by the meters and a test bead.");
    Ok(())
}
