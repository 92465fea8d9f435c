//! Tacks: how many, how long, where, and in which order.

use super::look_up::{exceeds, shop_size};
use super::sequence::{JOINT, SEAM_LENGTH, TUBE_OD, along_order, is_round, opposed_order, order_words};
use super::weld_strength::COUNT;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{LENGTH, TAPE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, Number, Percent, unit};
use crate::source::Source;

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

/// Tacks.
pub static TACKS: Family = Family {
    name: "tacks",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "tacks: number, length, stations and order",
    inputs: &[
        JOINT,
        TUBE_OD,
        SEAM_LENGTH,
        Input::required("thinner", Kind::Length, "thickness of the thinner part").also(&[
            "wall",
            "plate",
            "plate_thickness",
            "thickness",
            "t",
            "thin",
            "thinner_part",
        ]),
        Input::optional("tack_length", Kind::Length, "length of a tack, instead of the least"),
        Input::optional("spacing", Kind::Length, "largest spacing between tack centres, set by the shop")
            .also(&["pitch"]),
        Input::optional("count", Kind::Number, "number of tacks, set by the shop instead of spacing")
            .also(&["tacks", "number", "n"]),
        Input::choice(
            "order",
            &["centre-out", "center-out", "through", "back-step"],
            Need::Default("centre-out"),
            "order along a straight seam; a tube is always tacked opposed",
        ),
    ],
    outputs: &[
        Output::new(
            "min_length",
            "least length of a tack",
            Kind::Length,
            "4 x thinner part, not over 50 mm nor over max_length",
            LEAST,
        )
        .style(LENGTH)
        .up(),
        Output::new(
            "max_length",
            "greatest length of a tack",
            Kind::Length,
            "a third of the seam, shared by the tacks",
            THIRD,
        )
        .style(LENGTH)
        .down(),
        Output::new("tack_length", "length of a tack", Kind::Length, "the least, or as given", LEAST)
            .style(LENGTH)
            .down(),
        Output::new(
            "circumference",
            "length of the seam",
            Kind::Length,
            "pi OD, or the straight length",
            ORDER,
        )
        .style(TAPE),
        Output::new(
            "count",
            "number of tacks",
            Kind::Number,
            "tube: at least 4, even; straight: spaces + 1",
            SPACED,
        )
        .style(COUNT),
        Output::new("pitch", "distance between tack centres", Kind::Length, "seam length / spaces", SPACED)
            .style(TAPE),
        Output::list(
            "angles",
            "stations around the tube in tacking order",
            Kind::Angle,
            "opposed pairs, each pair farthest from those done",
            ORDER,
        ),
        Output::list(
            "stations",
            "stations along the seam in tacking order",
            Kind::Length,
            "from one end",
            ORDER,
        ),
        Output::words("order", "tacking order", "station numbers in order", ORDER),
        Output::new(
            "share",
            "share of the seam that is tacked",
            Kind::Percent,
            "count x tack length / seam length",
            SPACED,
        ),
        Output::words("rules", "rules for every tack", "as listed", RULES),
    ],
    example: "tube_od=\"3 in\" thinner=\"1/4 in\"",
    run: tacks,
};

/// Least length of a tack by the thinner part, before the seam caps it.
#[must_use]
pub fn least_tack(thinner: Length) -> Length {
    let most = Length::of(50.0, unit::MM);
    if thinner * 4.0 < most { thinner * 4.0 } else { most }
}

/// Greatest length of a tack: a third of the seam, shared by `count` tacks.
#[must_use]
pub fn longest_tack(seam: Length, count: f64) -> Length {
    seam / (3.0 * count)
}

fn whole(name: &str, value: Number, least: f64) -> Result<f64, Trouble> {
    let n = value.si();
    if n.is_finite() && n.fract() == 0.0 && (least..=MOST).contains(&n) {
        return Ok(n);
    }
    Err(Trouble::OutOfRange {
        input: name.to_owned(),
        given: format!("{n}"),
        range: format!("whole numbers from {least} to {MOST}"),
        source: SPACED,
    })
}

/// Spaces of at most `spacing` in `length`.
fn spaces(length: Length, spacing: Length) -> Result<f64, Trouble> {
    let spacing = given::positive("spacing", spacing)?;
    let n = (length.si() / spacing.si() * (1.0 - 1e-9)).ceil().max(1.0);
    if n > MOST {
        return Err(Trouble::impossible(
            format!("this spacing asks for more than {MOST} tacks"),
            "check the unit of spacing",
        ));
    }
    Ok(n)
}

fn tacks(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let thinner: Length = shop_size("thinner", given.need("thinner")?)?;
    if given.has("spacing") && given.has("count") {
        return Err(Trouble::impossible("both spacing and count are given", "give one of them"));
    }
    let count: Option<Number> = given.maybe("count")?;
    let spacing: Option<Length> = given.maybe("spacing")?;
    let (seam, number) = if is_round(given)? {
        tube(given, answer, count, spacing)?
    } else {
        straight(given, answer, count, spacing)?
    };
    let longest = longest_tack(seam, number);
    let least = if least_tack(thinner) < longest { least_tack(thinner) } else { longest };
    let tack: Length = given::positive("tack_length", given.or("tack_length", least)?)?;
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
    if tack.si() < 2.0 * thinner.si() * (1.0 - 1e-9) && !given.has("tack_length") {
        return Err(Trouble::impossible(
            format!(
                "{number} tacks in a third of this seam would be under twice the thinner part long, and crack"
            ),
            "take fewer tacks, or give the tack_length the procedure proves",
        ));
    }
    if tack.si() < least.si() * (1.0 - 1e-9) {
        answer.warn("The tack is shorter than four times the thinner part: it may crack. Make it longer.");
    }
    answer.put("min_length", least);
    answer.put("max_length", longest);
    answer.put("tack_length", tack);
    answer.put("share", Percent::from_si(share));
    answer.put_words(
        "rules",
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

fn tube(
    given: &Given,
    answer: &mut Answer,
    count: Option<Number>,
    spacing: Option<Length>,
) -> Result<(Length, f64), Trouble> {
    let od: Length = given::positive("tube_od", given.need("tube_od")?)?;
    let seam = od * std::f64::consts::PI;
    let number = match (count, spacing) {
        (Some(count), _) => {
            let n = whole("count", count, 3.0)?;
            if n % 2.0 != 0.0 {
                answer.warn(
                    "An odd number of tacks has no opposed pairs: the tube will lean. Use an even number.",
                );
            } else if n < 4.0 {
                answer.warn("Fewer than four tacks is not usual on a tube.");
            }
            n
        }
        (None, Some(spacing)) => {
            let n = spaces(seam, spacing)?;
            (n + n % 2.0).max(4.0)
        }
        (None, None) => {
            answer.note(
                "Four tacks is the common least for a small tube. No published spacing exists: set spacing for larger \
                 tube in the shop book.",
            );
            4.0
        }
    };
    answer.put("circumference", seam);
    answer.put("count", Number::from_si(number));
    answer.put("pitch", seam / number);
    let order = opposed_order(number);
    let turn = 2.0 * std::f64::consts::PI;
    answer.put_list("angles", order.iter().map(|i| Angle::from_si(f64::from(*i) * turn / number)));
    answer.put_words("order", order_words(&order));
    Ok((seam, number))
}

fn straight(
    given: &Given,
    answer: &mut Answer,
    count: Option<Number>,
    spacing: Option<Length>,
) -> Result<(Length, f64), Trouble> {
    let seam: Length = given::positive("length", given.need("length")?)?;
    let number = match (count, spacing) {
        (Some(count), _) => whole("count", count, 2.0)?,
        (None, Some(spacing)) => spaces(seam, spacing)? + 1.0,
        (None, None) => return Err(Trouble::Missing(vec!["spacing"])),
    };
    let pitch = seam / (number - 1.0);
    answer.put("circumference", seam);
    answer.put("count", Number::from_si(number));
    answer.put("pitch", pitch);
    let order = along_order(number, given.maybe_word("order")?.unwrap_or("centre-out"));
    answer.put_list("stations", order.iter().map(|i| pitch * f64::from(*i)));
    answer.put_words("order", order_words(&order));
    Ok((seam, number))
}
