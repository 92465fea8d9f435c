//! Columns of the US code's tables, and how code values and stresses are
//! written; shapes of U and J grooves against numerical integration.

use tackwright::app::reckon;
use tackwright::figure::welding::column::Column;
use tackwright::figure::welding::fillet_size::{FILLET_SIZE, FilletSize};
use tackwright::figure::welding::round_groove::RoundGroove;
use tackwright::figure::{Ask, Figure, Value, registry};
use tackwright::quantity::{Angle, Dimensioned, Kind, Length, Quantity, Stress, Style, parse, unit};
use tackwright::reference::electrode;

fn figures(name: &str, inputs: &[(&str, &str)]) -> Vec<Figure> {
    let family = registry::find(name).expect("a figure");
    let given = reckon::read_inputs(family, inputs.iter().copied()).expect("inputs that read");
    family.reckon(&given).expect("an answer")
}

fn shown(figures: &[Figure], id: &str) -> String {
    figures.iter().find(|f| f.id == id).unwrap_or_else(|| panic!("no {id}")).show()
}

/// Temperatures stand as AWS D1.1 prints them (2015 table 3.3; 2015 annex H
/// recalled), not rounded again.
#[test]
fn code_temperatures_are_written_as_in_the_code() {
    let rows = [
        ("B", "3/4 in", "32 °F (0 °C)"),
        ("B", "1 in", "50 °F (10 °C)"),
        ("A", "1 in", "150 °F (65 °C)"),
        ("A", "25 mm", "150 °F (65 °C)"),
        ("A", "2 in", "225 °F (110 °C)"),
        ("A", "50 mm", "225 °F (110 °C)"),
        ("A", "4 in", "300 °F (150 °C)"),
    ];
    for (category, thickness, text) in rows {
        let figures = figures("preheat-category", &[("category", category), ("thickness", thickness)]);
        assert_eq!(shown(&figures, "preheat"), text, "{category} {thickness}");
    }
    let cold = figures("preheat-category", &[("category", "A"), ("t", "1 in"), ("ambient", "20 F")]);
    assert_eq!(shown(&cold, "warm_to"), "70 °F (20 °C)");
    let control = figures(
        "preheat-hydrogen-control",
        &[
            ("pcm", ".25"),
            ("hydrogen_level", "H2"),
            ("restraint", "high"),
            ("t", "1 in"),
            ("group_by", "formula"),
        ],
    );
    assert_eq!(shown(&control, "preheat"), "240 °F (115 °C)");
    // A computed minimum still goes up to the next five degrees.
    let computed =
        figures("preheat", &[("cet", "0.33"), ("d", "30 mm"), ("hydrogen", "5 ml/100g"), ("q", "1.5 kJ/mm")]);
    assert_eq!(shown(&computed, "preheat"), "215 °F (105 °C)");
}

/// A minimum that is entered is no value of the code, whatever it comes to: it
/// is never shown lower than it is.
#[test]
fn an_entered_minimum_is_rounded_up() {
    let governs = figures(
        "preheat-governs",
        &[("category", "B"), ("thickness", "3/4 in"), ("procedure_minimum", "250 degF")],
    );
    assert_eq!(shown(&governs, "preheat"), "250 °F (122 °C)");
    assert_eq!(shown(&governs, "category_minimum"), "32 °F (0 °C)");
    let by_code = figures("preheat-governs", &[("category", "A"), ("thickness", "2 in")]);
    assert_eq!(shown(&by_code, "preheat"), "225 °F (110 °C)");
}

/// A stress keeps four digits and is never shown on the unsafe side.
#[test]
fn a_small_stress_keeps_its_digits() {
    let text = |mpa: f64| Style::of(Kind::Stress).up().both(Quantity::of(mpa, unit::MPA));
    assert_eq!(text(6.002), "0.8706 ksi (6.002 MPa)");
    assert_eq!(text(48.39), "7.019 ksi (48.39 MPa)");
    assert_eq!(Style::of(Kind::Stress).both(Stress::of(36.0, unit::KSI).into()), "36 ksi (248.2 MPa)");
    assert_eq!(
        Style::of(Kind::Stress).both(Stress::of(29_000.0, unit::KSI).into()),
        "29000 ksi (199948 MPa)"
    );
    for i in 1..2000 {
        let value = Quantity::of(f64::from(i) * 0.137, unit::MPA);
        for (style, sign) in [(Style::of(Kind::Stress).up(), 1.0), (Style::of(Kind::Stress).down(), -1.0)] {
            let written = parse::quantity(Kind::Stress, &style.si(value)).expect("reads back");
            let off = (written.si() - value.si()) * sign;
            assert!(off >= -1e-6 * value.si() && off <= 1.1e-3 * value.si(), "{}", style.si(value));
        }
    }
}

/// The unit a length was written in chooses the column at the bench, which
/// states it as an input; the value knows nothing of it.
#[test]
fn the_bench_states_the_column_of_the_units_written() {
    for (typed, column) in
        [("1/2 in", "inch"), ("0.5\"", "inch"), ("12.7 mm", "metric"), ("12.5 mm ± 0.1 mm", "metric")]
    {
        let given = reckon::read_inputs(&FILLET_SIZE, [("t1", typed)]).expect("reads");
        assert_eq!(given.get("table"), Some(&Value::word(column)), "{typed}");
        let answer = FILLET_SIZE.reckon(&given).expect("an answer");
        assert!(answer[0].inputs.iter().any(|i| i.name == "table" && i.show() == column), "{typed}");
    }
    let stated = reckon::read_inputs(&FILLET_SIZE, [("t1", "12.7 mm"), ("table", "inch")]).expect("reads");
    assert_eq!(stated.get("table"), Some(&Value::word("inch")), "what is stated is not derived");
    // From Rust the column is a typed input with a default of its own.
    let leg = |column| {
        let asked = Ask::<FilletSize>::new().with(FilletSize::t1, Length::of(12.7, unit::MM));
        let answer = asked.some(FilletSize::table, column).answer().expect("an answer");
        answer.min_leg.get().expect("a leg").to(unit::MM)
    };
    assert!((leg(None) - 4.7625).abs() < 1e-9 && (leg(Some(Column::Metric)) - 6.0).abs() < 1e-9);
    // A level of ISO reads no column, and is not told of one.
    let iso = registry::find("visual-acceptance").expect("a figure");
    let given = reckon::read_inputs(iso, [("standard", "iso-c"), ("t", "1/2 in")]).expect("reads");
    let limits = iso.reckon(&given).expect("limits");
    assert_eq!(reckon::unused(&given, &limits), Vec::<&str>::new());
    for (typed, leg) in [("1/2 in", 4.7625), ("12.7 mm", 6.0), ("1.27 cm", 6.0), ("0.0127 m", 6.0)] {
        let figures = figures("fillet-size", &[("t1", typed)]);
        let quantity =
            figures.iter().find(|f| f.id == "min_leg").and_then(|f| f.value.quantity()).expect("a leg");
        assert!((quantity.to(unit::MM) - leg).abs() < 1e-9, "{typed}: {}", quantity.to(unit::MM));
    }
    // A tolerance on the thickness does not lose the column.
    let spread = figures("fillet-size", &[("t1", "12.5 mm ± 0.1 mm")]);
    assert_eq!(shown(&spread, "column"), "metric");
    assert_eq!(Column::Inch.other(), Column::Metric);
}

/// The area of a U or J against slices of its outline: at height y above the
/// root face an edge stands back by the circle, and above it by the bevel.
#[test]
fn round_grooves_fill_their_outline() {
    for (edges, sides, t, f, r, angle) in [
        (2, 1, 20.0, 2.0, 6.0, 20.0),
        (1, 1, 25.0, 3.0, 10.0, 15.0),
        (2, 2, 40.0, 2.0, 5.0, 30.0),
        (1, 2, 30.0, 0.0, 8.0, 10.0),
    ] {
        let groove = RoundGroove {
            edges,
            sides,
            thickness: Length::of(t, unit::MM),
            angle: Angle::of(angle, unit::DEG),
            radius: Length::of(r, unit::MM),
            root_face: Length::of(f, unit::MM),
            root_opening: Length::of(1.5, unit::MM),
            cap_height: Length::from_si(0.0),
            cap_width: None,
        };
        let section = groove.section().expect("a groove");
        let depth = (t - f) / f64::from(sides);
        let slope: f64 = (angle / f64::from(edges)).to_radians().tan();
        let n = 200_000_u32;
        let mut area = 0.0;
        for i in 0..n {
            let y = (f64::from(i) + 0.5) * depth / f64::from(n);
            let back = if y < r { (r * r - (r - y) * (r - y)).sqrt() } else { r + (y - r) * slope };
            area += back * depth / f64::from(n);
        }
        let wanted = area * f64::from(edges) * f64::from(sides) + 1.5 * t;
        assert!((section.total().to(unit::MM2) / wanted - 1.0).abs() < 1e-5, "{edges} {sides}");
    }
}

/// Designations of the EN ISO standards as a carton prints them.
#[test]
fn european_fillers_are_read() {
    let rows = [
        ("E 42 4 B 32 H5", 500.0, 5.0, true, false),
        ("ISO 2560-A - E 46 3 1Ni B 42 H5", 530.0, 5.0, true, false),
        ("E 38 0 RC 11", 470.0, 30.0, false, true),
        ("E 42 3 C 25", 500.0, 30.0, false, true),
        ("E 38 2 RB 12", 470.0, 30.0, false, true),
        ("E 50 6 Mn1Ni B 42 H5", 560.0, 5.0, true, false),
        ("T 46 4 P M 1 H5", 530.0, 5.0, true, false),
        ("G 42 4 M21 3Si1", 500.0, 5.0, true, true),
        ("G3Si1", 500.0, 5.0, true, true),
        ("W 46 5 W3Si1", 530.0, 5.0, true, true),
        ("S 38 4 AB S2 H5", 470.0, 5.0, true, false),
    ];
    for (name, tensile, hydrogen, low, assumed) in rows {
        let filler = electrode::find(name).unwrap_or_else(|| panic!("{name}"));
        assert!((filler.electrode.fexx().to(unit::MPA) - tensile).abs() < 1e-6, "{name}");
        assert!((filler.hydrogen.si() - hydrogen).abs() < 1e-9, "{name}");
        assert_eq!((filler.electrode.low_hydrogen, filler.assumed), (low, assumed), "{name}");
    }
    for name in ["E 99 4 B 32", "E42", "G 42", "X 42 4 B", "S", "E 42 B", "G9Si9"] {
        assert!(electrode::find(name).is_none(), "{name}");
    }
}
