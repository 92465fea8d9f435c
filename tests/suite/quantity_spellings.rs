//! What shop people write for a quantity: read right, or refused with their own value
//! mended. Never read as something else, never answered with another value.
//!
//! Own examples: spellings from hands, spreadsheets, phones and word processors; the
//! expected values are worked by hand.

use proptest::prelude::*;
use tackwright::quantity::{Kind, parse, unit};

/// Read as so many inches.
const READ: &[(&str, f64)] = &[
    ("1.75 in", 1.75),
    ("1-3/4 in", 1.75),
    ("1 3/4 in", 1.75),
    ("1  3/4  in", 1.75),
    ("1\t3/4 in", 1.75),
    ("1 3/4in", 1.75),
    ("1-3/4-inch", 1.75),
    ("1-3/4-in", 1.75),
    ("1 3/4 inch", 1.75),
    ("1 3/4 inches", 1.75),
    ("1 3/4 in.", 1.75),
    ("1.75in.", 1.75),
    ("1.75 IN", 1.75),
    ("1.75 In.", 1.75),
    ("1.75\"", 1.75),
    ("1.75 \"", 1.75),
    ("1-3/4\"", 1.75),
    ("1 3/4''", 1.75),
    ("1 3/4”", 1.75),
    ("1 3/4“", 1.75),
    ("1 3/4″", 1.75),
    ("1¾ in", 1.75),
    ("1 ¾ in", 1.75),
    ("1¾\"", 1.75),
    ("¾ in", 0.75),
    ("½\"", 0.5),
    ("⅜ in", 0.375),
    ("3¹⁄₁₆ in", 3.0625),
    ("³⁄₁₆ in", 0.1875),
    ("3/16\"", 0.1875),
    ("3/16in", 0.1875),
    ("3⁄16 in", 0.1875),
    ("3∕16 in", 0.1875),
    ("1–3/4 in", 1.75),
    ("1‑3/4 in", 1.75),
    ("1—3/4 in", 1.75),
    ("1−3/4 in", 1.75),
    ("１．７５ ｉｎ", 1.75),
    ("１－３／４ in", 1.75),
    ("1.75\u{a0}in", 1.75),
    ("1.75\u{2009}in", 1.75),
    (" 1.75 in ", 1.75),
    (".75 in", 0.75),
    ("0.75 in", 0.75),
    ("+0.75 in", 0.75),
    ("-0.75 in", -0.75),
    ("- 0.75 in", -0.75),
    ("−0.75 in", -0.75),
    ("–3/4 in", -0.75),
    ("44.45 mm", 1.75),
    ("44.45mm", 1.75),
    ("44.45 MM", 1.75),
    ("44.45 mm.", 1.75),
    ("4.445 cm", 1.75),
    ("0.04445 m", 1.75),
    ("1750 mil", 1.75),
    ("1750 thou", 1.75),
    ("6 ft", 72.0),
    ("6'", 72.0),
    ("6’", 72.0),
    ("6 foot", 72.0),
    ("5 ft 3 in", 63.0),
    ("5 ft. 3 in.", 63.0),
    ("5 ft, 3 in", 63.0),
    ("5 ft and 3 in", 63.0),
    ("5 FT 3 IN", 63.0),
    ("5ft3in", 63.0),
    ("5'3\"", 63.0),
    ("5' 3\"", 63.0),
    ("5'-3\"", 63.0),
    ("5' - 3\"", 63.0),
    ("5’ 3”", 63.0),
    ("5′3″", 63.0),
    ("10'-6 1/2\"", 126.5),
    ("5 feet 3 inches", 63.0),
    ("1 234 mm", 48.582_677_165_354_33),
    ("7/4 in", 1.75),
    ("17.5e-1 in", 1.75),
    ("0", 0.0),
];

/// Refused, with these values to write instead, in this order.
const MENDED: &[(Kind, &str, &[&str])] = &[
    (Kind::Length, "1 - 3/4 in", &["1-3/4 in"]),
    (Kind::Length, "1- 3/4 in", &["1-3/4 in"]),
    (Kind::Length, "1 -3/4 in", &["1-3/4 in"]),
    (Kind::Length, "1 – 3/4\"", &["1-3/4 in"]),
    (Kind::Length, "1 and 3/4 in", &["1-3/4 in"]),
    (Kind::Length, "1 & 3/4 in", &["1-3/4 in"]),
    (Kind::Length, "1+3/4 in", &["1-3/4 in"]),
    (Kind::Length, "1 + 3/4\"", &["1-3/4 in"]),
    (Kind::Length, "1 3 / 4 in", &["1-3/4 in"]),
    (Kind::Length, "3 / 16 in", &["3/16 in"]),
    (Kind::Length, "3\\16 in", &["3/16 in"]),
    (Kind::Length, "2 in 3/8", &["2-3/8 in"]),
    (Kind::Length, "1-7/4 in", &["2-3/4 in"]),
    (Kind::Length, "1 4/4 in", &["2 in"]),
    (Kind::Length, "2-9/8\"", &["3-1/8 in"]),
    (Kind::Length, "3/15 in", &["3/16 in"]),
    (Kind::Length, "1-3/7 in", &["1-3/8 in"]),
    (Kind::Length, "9 ft 2", &["9 ft 2 in"]),
    (Kind::Length, "9' 2", &["9 ft 2 in"]),
    (Kind::Length, "9'2 1/2", &["9 ft 2 1/2 in"]),
    (Kind::Length, "9 feet 2", &["9 ft 2 in"]),
    (Kind::Length, "9 ft 14 in", &["10 ft 2 in"]),
    (Kind::Length, "1,75 in", &["1.75 in"]),
    (Kind::Length, "1,75\"", &["1.75 in"]),
    (Kind::Length, "1,75in", &["1.75 in"]),
    (Kind::Length, "1,5", &["1.5 in", "1.5 mm"]),
    (Kind::Length, "1,750 in", &["1750 in", "1.750 in"]),
    (Kind::Length, "1,750", &["1750 in", "1750 mm", "1.750 in", "1.750 mm"]),
    (Kind::Mass, "5,400 lb", &["5400 lb", "5.400 lb"]),
    (Kind::Mass, "1,234,567 lb", &["1234567 lb"]),
    (Kind::Mass, "1,234.5 lb", &["1234.5 lb"]),
    (Kind::Mass, "1.234,5 kg", &["1234.5 kg"]),
    (Kind::Mass, "1.234.567 kg", &["1234567 kg"]),
    (Kind::Mass, "5_400 lb", &["5400 lb"]),
    (Kind::Length, "1.75", &["1.75 in", "1.75 mm"]),
    (Kind::Length, "1-3/4", &["1-3/4 in", "1-3/4 mm"]),
    (Kind::Length, "1¾", &["1-3/4 in", "1-3/4 mm"]),
    (Kind::Length, "1.75 lb", &["1.75 in", "1.75 mm"]),
    (Kind::Length, "1.75 inn", &["1.75 in"]),
    (Kind::Length, "1.75 ins", &["1.75 in"]),
    (Kind::Length, "44 mmm", &["44 mm"]),
    (Kind::Length, "in 1.75", &["1.75 in"]),
    (Kind::Length, "mm 44", &["44 mm"]),
    (Kind::Length, "1..75 in", &["1.75 in"]),
    (Kind::Length, "O.75 in", &["0.75 in"]),
    (Kind::Length, "1O in", &["10 in"]),
    (Kind::Length, "l.75 in", &["1.75 in"]),
    (Kind::Length, "~1.75 in", &["1.75 in"]),
    (Kind::Length, "≈ 1.75 in", &["1.75 in"]),
    (Kind::Length, "about 1.75 in", &["1.75 in"]),
    (Kind::Length, "approx. 1-3/4\"", &["1-3/4 in"]),
    (Kind::Length, "max 1.75 in", &["1.75 in"]),
    (Kind::Length, "<= 1.75 in", &["1.75 in"]),
    (Kind::Length, "Ø3.25 in", &["3.25 in"]),
    (Kind::Length, "3-1/4\" OD", &["3-1/4 in"]),
    (Kind::Length, "3.25 in measured", &["3.25 in"]),
    (Kind::Length, "1.75 in (44.45 mm)", &["1.75 in", "44.45 mm"]),
    (Kind::Length, "1.75 in / 44.45 mm", &["1.75 in", "44.45 mm"]),
    (Kind::Length, "1.75 in = 44.45 mm", &["1.75 in", "44.45 mm"]),
    (Kind::Length, "1.75 in or 2 in", &["1.75 in", "2 in"]),
    (Kind::Length, "82.5 mm ± -1 mm", &["82.5 mm ± 1 mm"]),
    (Kind::Length, "1.75 in +0.01 -0.02", &["1.75 in ± 0.02 in"]),
    (Kind::Angle, "5 deg 30", &["5°30'"]),
    (Kind::Angle, "5° 30", &["5°30'"]),
    (Kind::Angle, "5,5 deg", &["5.5 deg"]),
    (Kind::Angle, "5.5", &["5.5 deg"]),
    (Kind::Angle, "-5.3", &["-5.3 deg"]),
    (Kind::Angle, "6.0 deg +- 10 lb", &["6.0 deg ± 10 deg"]),
    (Kind::Angle, "+5,5°", &["5.5 °"]),
    (Kind::Temperature, "180", &["180 degF", "180 degC"]),
    (Kind::Torque, "85 psi", &["85 lbf-ft", "85 N·m"]),
    (Kind::Torque, "85", &["85 lbf-ft", "85 N·m"]),
    (Kind::Torque, "1,5 Nm", &["1.5 Nm"]),
    (Kind::Voltage, "24", &["24 V"]),
    (Kind::Current, "180", &["180 A"]),
    (Kind::Stress, "36", &["36 ksi", "36 MPa"]),
    (Kind::Speed, "9", &["9 in/min", "9 mm/min"]),
    (Kind::Percent, "75", &["75 %"]),
];

/// Refused, and nothing of it can be proposed.
const REFUSED: &[(Kind, &str)] = &[
    (Kind::Length, "long"),
    (Kind::Length, "one inch"),
    (Kind::Length, "2 x 3 x 1/4"),
    (Kind::Length, "1.7.5 in"),
    (Kind::Length, "1-3 in"),
    (Kind::Length, "1 to 3 in"),
    (Kind::Length, "3/0 in"),
    (Kind::Length, "3/16/2 in"),
    (Kind::Length, "in"),
    (Kind::Length, "?"),
    (Kind::Length, "1e999 in"),
    (Kind::Angle, "5°75'"),
    (Kind::Angle, "5.5° 30'"),
];

fn written(example: &str) -> Vec<String> {
    example.trim_matches('"').split("\" or \"").map(str::to_owned).collect()
}

#[test]
fn what_a_shop_writes_is_read_right_or_mended() {
    let mut wrong = Vec::new();
    for (text, inches) in READ {
        match parse::quantity(Kind::Length, text).map(|read| read.to(unit::IN)) {
            Ok(value) if (value - inches).abs() < 1e-9 => {}
            other => wrong.push(format!("{text}: {other:?}")),
        }
    }
    for (kind, text, meant) in MENDED {
        let Err(error) = parse::measured(*kind, text) else {
            wrong.push(format!("{text}: is read"));
            continue;
        };
        let offered = written(&error.example);
        if offered != *meant || offered.iter().any(|value| parse::measured(*kind, value).is_err()) {
            wrong.push(format!("{text}: {offered:?}, {}", error.message));
        }
    }
    for (kind, text) in REFUSED {
        let Err(error) = parse::measured(*kind, text) else {
            wrong.push(format!("{text}: is read"));
            continue;
        };
        let digits = text.contains(|c: char| c.is_ascii_digit());
        if digits && written(&error.example).iter().any(|o| !o.starts_with('…')) {
            wrong.push(format!("{text}: {}", error.example));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(READ.len() + MENDED.len() + REFUSED.len() >= 150);
}

#[test]
fn angles_are_read_in_degrees_and_minutes() {
    for (text, degrees) in [
        ("5 deg 30 min", 5.5),
        ("5 deg 30'", 5.5),
        ("5°30'", 5.5),
        ("5º30’", 5.5),
        ("5˚ 30′", 5.5),
        ("5 ° 30 '", 5.5),
        ("5 degrees 30 minutes", 5.5),
        ("-5°30'", -5.5),
        ("5°30'36\"", 5.51),
        ("5.5 DEG", 5.5),
        ("5.5-deg", 5.5),
        ("５．５°", 5.5),
    ] {
        let value =
            parse::quantity(Kind::Angle, text).unwrap_or_else(|e| panic!("{text}: {e}")).to(unit::DEG);
        assert!((value - degrees).abs() < 1e-9, "{text}: {value}");
    }
}

proptest! {
    /// Whatever is typed, no panic; and what is proposed can be read, and has no digit
    /// that was not written unless a fraction was worked out.
    #[test]
    fn no_spelling_is_answered_with_another_value(
        text in "[-+~]?[0-9]{0,3}[ .,/'-]{0,2}[0-9]{0,3}[ /-]{0,2}[0-9]{0,2} ?(in|mm|ft|\"|'|deg|°|lb|)[ 0-9/]{0,3}(in|\"|')?"
    ) {
        for kind in [Kind::Length, Kind::Angle, Kind::Mass] {
            let Err(error) = parse::measured(kind, &text) else { continue };
            let digits = |t: &str| t.chars().filter(char::is_ascii_digit).collect::<String>();
            if !text.contains(|c: char| c.is_ascii_digit()) || error.example.contains('…') {
                continue;
            }
            let offered = written(&error.example);
            let worked = error.message.contains("fraction above") || error.message.contains("no rule has")
                || error.message.contains("a foot or more");
            for one in &offered {
                prop_assert!(parse::measured(kind, one).is_ok(), "{}: {}", text, one);
                // Behind "about" a fraction is worked out as well.
                let parts = text.starts_with(['~', '+']) && one.contains('/');
                let worked =
                    worked || text.contains('/') && !text.contains('.') && (one.contains('.') || parts);
                let own = digits(one);
                prop_assert!(worked || one.contains(" ft ") || digits(&text).contains(&own), "{}: {}", text, one);
            }
        }
    }
}
