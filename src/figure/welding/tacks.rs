//! Tacks: how many, how long, where, and in which order.

use super::look_up::{SHOP_SIZE, exceeds};
use super::sequence::{Seam, below, centre_out_order, opposed_order, order_words};
use crate::figure::prelude::*;

const LEAST: Source = Source::standard(
    "EN 1090-2:2018",
    "7.5.7: four times the thickness or 50 mm, the lesser; here of the thinner part",
)
.from_memory();
const THIRD: Source =
    Source::practice("tacks hold the parts and are not the weld: a third of the seam at most").from_memory();
const ORDER: Source =
    Source::practice("opposed tacks, four or more 90 deg apart on small tube").from_memory();
const SPACED: Source = Source::entered("spacing or count set by the shop; no published spacing was found");
const RULES: Source = Source::practice("tacks to the same procedure, preheat and qualification as the weld");

/// Most tacks a list is made for.
const MOST: f64 = 200.0;

words! {
    /// Order of tacking along a straight seam.
    pub Order {
        /// The middle first, then outward:
        CentreOut = "centre-out" | "center-out",
        Through = "through" | "inline",
        /// Both ends hold the seam first, then back from the far end:
        BackStep = "back-step" | "backstepped",
    }
}

family! {
    pub TACKS = "tacks" in Welding: "tacks: number, length, stations and order";
    also "tack", "tack-welds", "tacking", "tack-order";
    reads Tacks {
        ..seam: Seam;
        required thinner: Length in SHOP_SIZE, "thickness of the thinner part", "wall", "plate",
            "plate_thickness", "thickness", "t";
        optional tack_length: Length in ABOVE_ZERO, "length of a tack, instead of the least";
        optional spacing: Length in ABOVE_ZERO, "largest spacing between tack centres, set by the shop", "pitch";
        optional count: Number in count(2, 200, SPACED), "number of tacks, set by the shop instead of spacing",
            "tacks", "number", "n";
        default order: Order = CentreOut, "order along a straight seam; a tube is always tacked opposed";
    }
    rules { at_most_one(spacing, count); }
    gives TacksAnswer {
        min_length: Length, "least length of a tack", "4 x thinner part, not over 50 mm nor over max_length",
            LEAST => .style(LENGTH).up();
        max_length: Length, "greatest length of a tack", "a third of the seam, shared by the tacks", THIRD =>
            .style(LENGTH).at_most();
        tack_length: Length, "length of a tack", "the least, or as given", LEAST => .style(LENGTH).down();
        circumference: Length, "length of the seam", "pi OD, or the straight length", ORDER => .style(TAPE);
        count: Number, "number of tacks", "tube: at least 4, even; straight: spaces + 1", SPACED =>
            .style(WHOLE);
        pitch: Length, "distance between tack centres", "seam length / spaces", SPACED => .style(TAPE);
        angles: Vec<Angle>, "stations around the tube in tacking order",
            "opposed pairs, each pair farthest from those done", ORDER;
        stations: Vec<Length>, "stations along the seam in tacking order", "from one end", ORDER;
        order: Vec<String>, "tacking order", "station numbers in order", ORDER;
        share: Percent, "share of the seam that is tacked", "count x tack length / seam length", SPACED;
        rules: Vec<String>, "rules for every tack", "as listed", RULES;
    }
    asked count;
    example "tube_od=\"3 in\" thinner=\"1/4 in\"";
    by tacks
}

/// Least length of a tack by the thinner part, before the seam caps it.
fn least_tack(thinner: Length) -> Length {
    let most = Length::of(50.0, unit::MM);
    smaller(thinner * 4.0, most)
}

/// Greatest length of a tack: a third of the seam, shared by `count` tacks.
fn longest_tack(seam: Length, count: f64) -> Length {
    seam / (3.0 * count)
}

/// What makes the tacks of a seam long enough: a spacing, where there is one.
fn fewer(seam: Length, thinner: Length, round: bool) -> String {
    let most = (seam.si() / (6.0 * thinner.si()) + 1e-9).floor();
    if round {
        "take fewer tacks".to_owned()
    } else if most < 2.0 {
        "clamp so short a seam, and state no spacing".to_owned()
    } else {
        format!("spacing = \"{}\"", TAPE.up().shop((seam / (most - 1.0)).into()))
    }
}

/// Spaces of at most `spacing` in `length`.
fn spaces(length: Length, spacing: Length) -> Result<f64> {
    let n = (length.si() / spacing.si() * (1.0 - 1e-9)).ceil().max(1.0);
    if n > MOST {
        return Err(Trouble::impossible(
            format!("this spacing asks for more than {MOST} tacks"),
            "check the unit of spacing",
        ));
    }
    Ok(n)
}

fn tacks(given: &Tacks, answer: &mut TacksAnswer) -> Result<()> {
    let (round, seam) = given.seam.run()?;
    let number = if round { around(given, answer, seam)? } else { along(given, answer, seam)? };
    answer.circumference.put(seam);
    let longest = longest_tack(seam, number);
    // A third of the seam as short as it may be: the greatest length is given so too.
    let surely = longest_tack(seam - answer.circumference.expanded(), number);
    let thinner = *given.thinner;
    let least = smaller(least_tack(thinner), surely);
    let tack = given.tack_length.unwrap_or(least);
    let share = number * tack.si() / seam.si();
    if exceeds(tack, longest) {
        return Err(Trouble::impossible(
            format!(
                "{number} tacks of {} are {:.0} % of the seam: that is the weld and not its tacks",
                LENGTH.both(tack.into()),
                100.0 * share
            ),
            format!("take tacks up to {}, a third of the seam in all", LENGTH.down().both(longest.into())),
        ));
    }
    if tack.si() < 2.0 * thinner.si() * (1.0 - 1e-9) && !given.tack_length.given() {
        return Err(Trouble::impossible(
            format!(
                "{number} tacks in a third of this seam would be under twice the thinner part long, and crack"
            ),
            format!("{}, or give the tack_length the procedure proves", fewer(seam, thinner, round)),
        ));
    }
    let wanted = least_tack(thinner);
    if tack.si() < wanted.si() * (1.0 - 1e-9) {
        answer.warn(if exceeds(wanted, longest) {
            "Tacks of four times the thinner part, or of 50 mm, would be over a third of this seam: shorter ones may \
             crack, so take fewer, or have the procedure prove the short tack."
        } else {
            "The tack is shorter than four times the thinner part, or than 50 mm: it may crack. Make it longer."
        });
    }
    answer.min_length.put(least);
    if least >= surely {
        // Held down by the greatest: shown as that is, never above it.
        answer.min_length.style(LENGTH.down());
    }
    answer.max_length.put(longest);
    answer.tack_length.put(tack);
    answer.share.put(Percent::from_si(share));
    answer.rules.put(
        [
            "Same welding procedure, filler and preheat as the root.",
            "A welder qualified for the weld makes the tack.",
            "Remove cracked tacks; grind the ends of sound ones to a feather edge.",
            "Check the fit and the angle after every pair.",
        ]
        .map(str::to_owned),
    );
    Ok(())
}

/// Tacks around a tube.
fn around(given: &Tacks, answer: &mut TacksAnswer, seam: Length) -> Result<f64> {
    let number = if let Some(count) = *given.count {
        let n = count.si();
        if n % 2.0 != 0.0 {
            answer
                .warn("An odd number of tacks has no opposed pairs: the tube will lean. Use an even number.");
        } else if n < 4.0 {
            answer.warn("Fewer than four tacks is not usual on a tube.");
        }
        n
    } else if let Some(spacing) = *given.spacing {
        let n = spaces(seam, spacing)?;
        (n + n % 2.0).max(4.0)
    } else {
        answer.note(
            "Four tacks is the common least for a small tube. No published spacing exists: set spacing for larger \
             tube in the shop book.",
        );
        4.0
    };
    let number = answer.count.decide(Number::from_si(number)).si();
    answer.pitch.put(seam / number);
    let order = opposed_order(number);
    let turn = 2.0 * PI;
    answer
        .angles
        .put(order.iter().map(|i| Angle::from_si(f64::from(*i) * turn / number)).collect::<Vec<_>>());
    answer.order.put(order_words(&order));
    Ok(number)
}

/// Tacks along a straight seam.
fn along(given: &Tacks, answer: &mut TacksAnswer, seam: Length) -> Result<f64> {
    let number = match (*given.count, *given.spacing) {
        (Some(count), _) => count.si(),
        (None, Some(spacing)) => spaces(seam, spacing)? + 1.0,
        (None, None) => return Err(Trouble::Missing(vec!["spacing"])),
    };
    let number = answer.count.decide(Number::from_si(number)).si();
    let pitch = seam / (number - 1.0);
    answer.pitch.put(pitch);
    let order = match *given.order {
        Order::CentreOut => centre_out_order(number),
        Order::Through => below(number),
        Order::BackStep => {
            let mut places = below(number);
            places[1..].reverse();
            places
        }
    };
    answer.stations.put(order.iter().map(|i| pitch * f64::from(*i)).collect::<Vec<_>>());
    answer.order.put(order_words(&order));
    Ok(number)
}
