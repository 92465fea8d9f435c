//! Every number of a job file and of a shop book has two bounds, or a written reason
//! why it has none: one that was declared without is found here.

use tackwright::diagnostic::Severity;
use tackwright::file::Field;
use tackwright::file::bounds::{Bound, plain_path};
use tackwright::job::{self, JobFile};
use tackwright::quantity::Kind;
use tackwright::shop::{self, Book};

/// Numbers without bounds, and why.
const NONE: &[(&str, &str)] = &[];

fn numbers<T: Field>() -> Vec<(String, Kind)> {
    let mut all = Vec::new();
    T::numbers("", &mut all);
    all
}

fn bounded(numbers: &[(String, Kind)], bounds: &[Bound]) {
    assert!(numbers.len() > 20, "{numbers:?}");
    for (path, kind) in numbers {
        let plain = plain_path(path);
        if NONE.iter().any(|(key, _)| *key == plain) {
            continue;
        }
        let bound = bounds.iter().find(|b| b.key == plain).unwrap_or_else(|| panic!("{path} has no bounds"));
        let unit = bound.unit().unwrap_or_else(|| panic!("{path}: no unit {}", bound.unit));
        assert_eq!(unit.kind, *kind, "{path}");
        let ((low, high), (least, most)) = (bound.usual, bound.possible);
        assert!(least <= low && low < high && high <= most, "{path}");
    }
    for bound in bounds {
        assert!(
            numbers.iter().any(|(p, _)| plain_path(p) == bound.key),
            "{} is no number of the file",
            bound.key
        );
    }
}

#[test]
fn every_number_has_bounds() {
    bounded(&numbers::<JobFile>(), job::check::bounds::BOUNDS);
    bounded(&numbers::<Book>(), shop::check::bounds::BOUNDS);
}

/// Codes of a shop book with one text replaced.
fn codes(from: &str, to: &str) -> Vec<&'static str> {
    assert!(shop::DEMO.contains(from), "no {from}");
    let (_, report) = shop::load("shop.toml", &shop::DEMO.replacen(from, to, 1));
    let stops = |s: Severity| matches!(s, Severity::Error | Severity::Stop | Severity::Warning);
    report.problems.iter().filter(|p| stops(p.severity)).map(|p| p.code).collect()
}

#[test]
fn a_shop_book_with_a_slip_of_the_unit_is_doubted() {
    // Own slips: the unit, the point and the sign of values a shop writes.
    for (from, to) in [
        ("diameter = \"3.5 in\"", "diameter = \"3.5 mm\""),
        ("thickness = \"0.280 in\"", "thickness = \"0.280 mm\""),
        ("thickness = \"10 mm\"", "thickness = \"10 in\""),
        ("wire = [\"0.035 in\"]", "wire = [\"0.035 mm\"]"),
        ("volts = \"18 V to 20.3 V\"", "volts = \"18 V to 203 V\""),
        ("amps = \"150 A to 195 A\"", "amps = \"1.5 A to 195 A\""),
        ("travel = \"8 in/min to 13 in/min\"", "travel = \"8 mm/min to 13 in/min\""),
        ("gas_flow = \"30 ft3/h to 40 ft3/h\"", "gas_flow = \"30 l/min to 4000 ft3/h\""),
        ("interpass_max = \"450 degF\"", "interpass_max = \"4500 degF\""),
        ("single_pass = \"5/16 in\"", "single_pass = \"5 in\""),
        ("minimum = \"70 degF\"", "minimum = \"-70 degC\""),
        ("layers = 3", "layers = 300"),
    ] {
        let found = codes(from, to);
        assert!(found.iter().any(|c| matches!(*c, "J101" | "J107")), "{to}: {found:?}");
    }
    let sure = "diameter = \"40 in\"\nsure = \"header of a boiler, measured\"";
    let found = codes("diameter = \"3.5 in\"", sure);
    assert!(found.contains(&"J108") && !found.contains(&"J107"), "{found:?}");
}
