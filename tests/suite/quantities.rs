//! Quantities: what a shop writes, read and shown again.
//!
//! Sources: NIST SP 811 appendix B for the factors; the rows of fractions and
//! conversions are recomputed published checks.

use proptest::prelude::*;
use tackwright::quantity::{
    Dimensioned, Form, Kind, Length, Quantity, Style, Toward, Unit, parse, show, unit,
};

fn read(kind: Kind, text: &str) -> Quantity {
    parse::quantity(kind, text).unwrap_or_else(|e| panic!("{text}: {e}"))
}

#[test]
fn shop_notations_are_read() {
    let rows: &[(Kind, &str, Unit, f64)] = &[
        (Kind::Length, "3/8 in", unit::IN, 0.375),
        (Kind::Length, "1-1/2 in", unit::IN, 1.5),
        (Kind::Length, "1 1/2\"", unit::IN, 1.5),
        (Kind::Length, "9.5 mm", unit::MM, 9.5),
        (Kind::Length, "10'-6 1/2\"", unit::IN, 126.5),
        (Kind::Length, "5 ft 3 in", unit::IN, 63.0),
        (Kind::Length, "6 ft", unit::IN, 72.0),
        (Kind::Length, "-.25 in", unit::IN, -0.25),
        (Kind::Angle, "2.5 deg", unit::DEG, 2.5),
        (Kind::Angle, "2°30'", unit::DEG, 2.5),
        (Kind::Angle, "−2°30'", unit::DEG, -2.5),
        (Kind::Angle, "2° 30' 36\"", unit::DEG, 2.51),
        (Kind::Torque, "90 ft-lb", unit::LBF_FT, 90.0),
        (Kind::Torque, "120 N·m", unit::N_M, 120.0),
        (Kind::Torque, "120 Nm", unit::N_M, 120.0),
        (Kind::Stress, "36 ksi", unit::KSI, 36.0),
        (Kind::Stress, "250 MPa", unit::MPA, 250.0),
        (Kind::Voltage, "24 V", unit::V, 24.0),
        (Kind::Current, "180 A", unit::A, 180.0),
        (Kind::Speed, "9 in/min", unit::IN_MIN, 9.0),
        (Kind::Temperature, "-40 degF", unit::DEGC, -40.0),
        (Kind::Temperature, "150 °F", unit::DEGF, 150.0),
        (Kind::HeatInput, "1.3 kJ/mm", unit::KJ_MM, 1.3),
        (Kind::Hydrogen, "8 ml/100g", unit::ML_100G, 8.0),
        (Kind::Hydrogen, "8 ml/100 g", unit::ML_100G, 8.0),
        (Kind::MassFraction, "0.34", unit::PCT_MASS, 0.34),
        (Kind::Percent, "30 %", unit::PCT, 30.0),
        (Kind::Compliance, "3.159e-6 mm/N", unit::MM_PER_N, 3.159e-6),
        (Kind::Force, "10000 lbs", unit::LBF, 10_000.0),
        (Kind::Force, "10 k", unit::KIP, 10.0),
        (Kind::Force, "5 tons", unit::LBF, 10_000.0),
        (Kind::Torque, "60 k-in", unit::KIP_IN, 60.0),
        (Kind::Speed, "8 mm/sec", unit::MM_S, 8.0),
        (Kind::Speed, "300 mm/minute", unit::MM_MIN, 300.0),
        (Kind::Speed, "12 inches/min", unit::IN_MIN, 12.0),
        (Kind::Speed, "12\"/min", unit::IN_MIN, 12.0),
        (Kind::Speed, "30 cpm", unit::CM_MIN, 30.0),
        (Kind::Time, "1 min 33 s", unit::SECOND, 93.0),
        (Kind::Time, "1 h 30 min", unit::MINUTE, 90.0),
        (Kind::Temperature, "150 degrees C", unit::DEGC, 150.0),
        (Kind::Temperature, "150 Celsius", unit::DEGC, 150.0),
        (Kind::Length, "12 millimeters", unit::MM, 12.0),
        (Kind::Length, "¼ in", unit::IN, 0.25),
        (Kind::Length, "3¼ in", unit::IN, 3.25),
        (Kind::Current, "1.2 kA", unit::A, 1200.0),
        (Kind::Hydrogen, "8 cc/100g", unit::ML_100G, 8.0),
        (Kind::Hydrogen, "H10", unit::ML_100G, 10.0),
        (Kind::HeatInput, "1.2 MJ/m", unit::KJ_MM, 1.2),
        (Kind::Stress, "50 kgf/mm2", unit::MPA, 490.332_5),
        (Kind::MoneyRate, "45 USD/h", unit::PER_HOUR, 45.0),
        (Kind::MassFraction, "10 ppm", unit::PCT_MASS, 0.001),
    ];
    for (kind, text, unit, expected) in rows {
        let value = read(*kind, text).to(*unit);
        assert!((value - expected).abs() <= 1e-12 * expected.abs().max(1.0), "{text}: {value}");
    }
}

#[test]
fn wrong_notations_say_what_to_write() {
    let rows: &[(Kind, &str, &str)] = &[
        (Kind::Length, "3.25", "has no unit; write \"3.25 in\" or \"3.25 mm\""),
        (Kind::Voltage, "28", "write \"28 V\""),
        (Kind::Time, "1:33", "1 min 33 s"),
        (Kind::MassFraction, "0.18 Mn=1.4", "one argument for each"),
        (Kind::Hydrogen, "H2", "level of AWS D1.1"),
        (Kind::Length, "3.25 ksi", "is a unit of stress"),
        (Kind::Length, "3,25 in", "comma"),
        (Kind::Length, "three in", "does not begin with a number"),
        (Kind::Length, "3 furlong", "no unit known"),
        (Kind::Length, "nan in", "does not begin with a number"),
        (Kind::Length, "inf in", "does not begin with a number"),
        (Kind::Length, "1e999 in", "is not one number"),
        (Kind::Length, "3/0 in", "is not one number"),
        (Kind::Length, "", "no value"),
        (Kind::Angle, "2°75'", "not degrees and minutes"),
        (Kind::Length, "3 in ± 1 in", "not wanted"),
    ];
    for (kind, text, part) in rows {
        let error = parse::quantity(*kind, text).expect_err(text);
        assert!(error.message.contains(part), "{text}: {}", error.message);
        assert!(!error.example.is_empty() && !error.expected.is_empty());
    }
    assert!(parse::quantity(Kind::Length, &"9".repeat(100_000)).is_err());
}

#[test]
fn a_limit_is_rectangular_and_a_coverage_factor_is_divided_out() {
    // JCGM 100:2008, 4.3.7: u = a / sqrt 3.
    let m = parse::measured(Kind::Length, "6.65 mm ± 0.5 mm").expect("reads");
    assert!((m.uncertainty - 0.5e-3 / 3.0_f64.sqrt()).abs() < 1e-15);
    let m = parse::measured(Kind::Angle, "6.0 +/- 0.5 deg").expect("reads");
    assert!((m.value.to(unit::DEG) - 6.0).abs() < 1e-12);
    let m = parse::measured(Kind::Angle, "6.0 deg ± 0.2 deg (k=2)").expect("reads");
    assert!((unit::DEG.difference_from_si(m.uncertainty) - 0.1).abs() < 1e-12);
}

#[test]
fn conversions_reproduce_published_factors() {
    // NIST SP 811 appendix B; the same digits from the pint 0.25.3 library.
    let rows: &[(Unit, Unit, f64)] = &[
        (unit::IN, unit::MM, 25.4),
        (unit::LBF_FT, unit::N_M, 1.355_817_948_331_400_4),
        (unit::LBF_IN, unit::N_M, 0.112_984_829_027_616_7),
        (unit::KSI, unit::MPA, 6.894_757_293_168_36),
        (unit::N_M, unit::LBF_FT, 0.737_562_149_277_265),
        (unit::KGF_M, unit::LBF_FT, 7.233_013_851_209_89),
        (unit::IN2_AREA, unit::MM2, 645.16),
        (unit::MPA, unit::KSI, 0.145_037_737_730_209),
        (unit::KJ_IN, unit::KJ_MM, 1.0 / 25.4),
        (unit::LB, unit::KG, 0.453_592_37),
    ];
    for (from, to, factor) in rows {
        let value = Quantity::of(1.0, *from).to(*to);
        assert!((value / factor - 1.0).abs() < 1e-14, "{} {}", from.symbol, to.symbol);
    }
}

#[test]
fn fractions_reproduce_published_rows() {
    let rows = [
        (50.0, 16, "1-15/16"),
        (12.0, 32, "15/32"),
        (10.0, 64, "25/64"),
        (76.2, 64, "3"),
        (0.0, 64, "0"),
        (-7.14375, 64, "−9/32"),
    ];
    for (mm, denominator, expected) in rows {
        let inches = Length::of(mm, unit::MM).to(unit::IN);
        assert_eq!(show::fraction(inches, denominator, Toward::Nearest), expected);
    }
}

#[test]
fn safe_directions_hold() {
    let depth = Quantity::of(0.2549, unit::IN);
    assert_eq!(show::GAUGE.down().both(depth), "0.254 in (6.47 mm)");
    let preheat = Quantity::of(100.31, unit::DEGC);
    assert_eq!(show::PREHEAT.both(preheat), "215 °F (105 °C)");
    let exact = Quantity::of(0.25, unit::IN);
    assert_eq!(Form::decimal(unit::IN, 0.001).write(exact, Toward::Down), "0.250 in");
}

#[test]
fn every_unit_reads_back_under_its_own_symbol() {
    for unit in unit::UNITS {
        let found = unit::find(unit.kind, unit.symbol).expect(unit.symbol);
        assert_eq!(found, *unit, "{:?} {}", unit.kind, unit.symbol);
        for alias in unit.aliases {
            assert!(unit::find(unit.kind, alias).is_some(), "{alias}");
        }
    }
    for kind in Kind::ALL {
        assert!(parse::quantity(*kind, kind.example()).is_ok(), "{kind:?}");
    }
}

proptest! {
    #[test]
    fn text_never_panics(text in "\\PC{0,60}") {
        for kind in Kind::ALL {
            let _ = parse::measured(*kind, &text);
        }
    }

    #[test]
    fn units_go_there_and_back(value in -1e6_f64..1e6, index in 0..unit::UNITS.len()) {
        let unit = unit::UNITS[index];
        let back = unit.from_si(unit.to_si(value));
        prop_assert!((back - value).abs() <= 1e-9 * value.abs().max(1.0));
    }

    #[test]
    fn rounding_never_crosses_its_limit(value in -1e4_f64..1e4, step in 0.001_f64..5.0) {
        use tackwright::quantity::round::to_step;
        let down = to_step(value, step, Toward::Down);
        let up = to_step(value, step, Toward::Up);
        prop_assert!(down <= value + step * 1e-5);
        prop_assert!(up >= value - step * 1e-5);
        prop_assert!(up - down <= step * 1.00001);
    }

    #[test]
    fn fractions_read_back(parts in 0_u32..6400) {
        let text = format!("{} in", show::fraction(f64::from(parts) / 64.0, 64, Toward::Nearest));
        let value = parse::quantity(Kind::Length, &text).expect("reads").to(unit::IN);
        prop_assert!((value - f64::from(parts) / 64.0).abs() < 1e-12);
    }
}

/// Two lengths that differ are shown as two, in the unit they were written in; a value
/// that a usual style writes without loss keeps it.
#[test]
fn an_input_is_shown_with_the_digits_it_was_written_with() {
    let shown = |text: &str, kind: Kind| {
        let value = parse::quantity(kind, text).unwrap_or_else(|e| panic!("{text}: {e}"));
        Style::of(kind).as_given(value).both(value)
    };
    // Written, and shown; the second unit keeps the digits of a shop.
    let rows = [
        ("48.12345 in", Kind::Length, "48.12345 in (1222.3 mm)"),
        ("48.1235 in", Kind::Length, "48.1235 in (1222.3 mm)"),
        ("1219.205 mm", Kind::Length, "48 in (1219.205 mm)"),
        ("0.00001 in", Kind::Length, "0.00001 in (0.0003 mm)"),
        ("0.281 in", Kind::Length, "0.281 in (7.14 mm)"),
        ("9/32 in", Kind::Length, "9/32 in (7.144 mm)"),
        ("8 mm", Kind::Length, "0.315 in (8.0 mm)"),
        ("45.123 deg", Kind::Angle, "45.123°"),
        ("2.5 deg", Kind::Angle, "2.5°"),
    ];
    for (text, kind, wanted) in rows {
        assert_eq!(shown(text, kind), wanted, "{text}");
    }
}
