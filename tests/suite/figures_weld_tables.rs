//! Tables of the welding codes asked once more, from their rows as they are printed: each
//! row is a text here, read and evaluated by a few lines of this file, and every size in
//! steps is asked of the program. From memory where a source says so.

use tackwright::app::reckon;
use tackwright::figure::{Figure, registry};

/// Millimetres of an inch, exactly (ISO 80000-3).
const INCH: f64 = 25.4;

fn run(name: &str, pairs: &[(&str, String)]) -> Vec<Figure> {
    let family = registry::find(name).expect("a family");
    let given =
        reckon::read_inputs(family, pairs.iter().map(|(k, v)| (*k, v.as_str()))).expect("readable inputs");
    family.reckon(&given).unwrap_or_else(|t| panic!("{name} {pairs:?}: {t}"))
}

/// An output in millimetres or degrees; none where the family gives no such output.
fn output(figures: &[Figure], id: &str) -> Option<f64> {
    figures.iter().find(|f| f.id == id).map(|f| f.value.quantity().expect("a quantity").si())
}

/// `1-1/2`, `3/16` and `0.010` as numbers.
fn inches(text: &str) -> f64 {
    let part = |p: &str| match p.split_once('/') {
        Some((top, bottom)) => top.parse::<f64>().unwrap() / bottom.parse::<f64>().unwrap(),
        None => p.parse().unwrap(),
    };
    text.split('-').map(part).sum()
}

/// AWS D1.1:2020, table 5.8: thickest part up to and including, degrees Fahrenheit and the
/// Celsius beside them, by category.
const PREHEAT: &str = "
A | 3/4 20: 32 0 | 1-1/2 38: 150 65 | 2-1/2 65: 225 110 | over: 300 150
B | 3/4 20: 32 0 | 1-1/2 38: 50 10  | 2-1/2 65: 150 65  | over: 225 110
C | 3/4 20: 50 10 | 1-1/2 38: 150 65 | 2-1/2 65: 225 110 | over: 300 150
D | over: 32 0";

#[test]
fn the_preheat_of_the_code_is_its_row_at_every_thickness() {
    let mut asked = 0;
    for line in PREHEAT.trim().lines() {
        let mut cells = line.split('|').map(str::trim);
        let category = cells.next().unwrap();
        let rows: Vec<(f64, f64, f64, f64)> = cells
            .map(|cell| {
                let (upto, says) = cell.split_once(':').unwrap();
                let says: Vec<f64> = says.split_whitespace().map(|n| n.parse().unwrap()).collect();
                let (inch, metric) = match upto.split_once(' ') {
                    Some((inch, metric)) => (inches(inch), metric.parse().unwrap()),
                    None => (f64::INFINITY, f64::INFINITY),
                };
                (inch, metric, says[0], says[1])
            })
            .collect();
        // Every 1/16 in from 1/8 to 4 in, and every half millimetre from 3 to 100 mm.
        for sixteenths in 2..=64 {
            let t = f64::from(sixteenths) / 16.0;
            let (.., wanted, _) = rows.iter().find(|(upto, ..)| t <= *upto).unwrap();
            let pairs = [
                ("category", category.to_owned()),
                ("thickness", format!("{t} in")),
                ("table", "inch".to_owned()),
            ];
            let kelvin = output(&run("preheat-category", &pairs), "preheat").expect("a preheat");
            assert!((kelvin - (wanted + 459.67) / 1.8).abs() < 1e-6, "{category} {t} in: {kelvin} K");
            asked += 1;
        }
        for halves in 6..=200 {
            let t = f64::from(halves) / 2.0;
            let (.., wanted) = rows.iter().find(|(_, upto, ..)| t <= *upto).unwrap();
            let pairs = [
                ("category", category.to_owned()),
                ("thickness", format!("{t} mm")),
                ("table", "metric".to_owned()),
            ];
            let kelvin = output(&run("preheat-category", &pairs), "preheat").expect("a preheat");
            assert!((kelvin - wanted - 273.15).abs() < 1e-6, "{category} {t} mm: {kelvin} K");
            asked += 1;
        }
    }
    assert_eq!(asked, 4 * (63 + 195));
}

/// ISO 5817:2014, table 1, over 3 mm, as printed, for levels B, C and D (from memory): `no`
/// where none is permitted, `any` where no limit stands; t the part, a the throat of a
/// fillet, b the width of the weld.
const ISO: &str = "
undercut_max       | 0.05 t, max 0.5   | 0.1 t, max 0.5     | 0.2 t, max 1
excess_weld_max    | 1 + 0.1 b, max 5  | 1 + 0.15 b, max 7  | 1 + 0.25 b, max 10
convexity_max      | 1 + 0.1 b, max 3  | 1 + 0.15 b, max 4  | 1 + 0.25 b, max 5
overlap_max        | no                | no                 | 0.2 b
misalignment_max   | 0.1 t, max 3      | 0.15 t, max 4      | 0.25 t, max 5
throat_short_max   | no                | 0.3 + 0.1 a, max 1 | 0.3 + 0.1 a, max 2
throat_excess_max  | 1 + 0.15 a, max 3 | 1 + 0.2 a, max 4   | any
gap_max            | 0.5 + 0.1 a, max 2 | 0.5 + 0.2 a, max 3 | 1 + 0.3 a, max 4
leg_difference_max | 1.5 + 0.15 a      | 2 + 0.15 a         | 2 + 0.2 a
crater_pipe_max    | no                | 0.1 t, max 1       | 0.2 t, max 2
pore_max           | no                | 0.2 a, max 2       | 0.3 a, max 3";

/// What a printed row allows, in mm; none where no limit stands.
fn allows(row: &str, size: &dyn Fn(&str) -> f64) -> Option<f64> {
    let (terms, cap) = match row.split_once(", max ") {
        Some((terms, cap)) => (terms, cap.trim().parse().unwrap()),
        None => (row, f64::INFINITY),
    };
    let term = |term: &str| -> f64 {
        match term.trim().split_once(' ') {
            Some((share, of)) => share.parse::<f64>().unwrap() * size(of),
            None => term.trim().parse().unwrap(),
        }
    };
    match terms.trim() {
        "any" => None,
        "no" => Some(0.0),
        terms => Some(f64::min(terms.split(" + ").map(term).sum(), cap)),
    }
}

#[test]
fn the_limits_of_iso_5817_are_its_rows_at_every_size() {
    let mut asked = 0;
    for (level, place) in [("iso-b", 1), ("iso-c", 2), ("iso-d", 3)] {
        for tenths in (31..=600).step_by(23) {
            let t = f64::from(tenths) / 10.0;
            // Throats and faces of all proportions stand beside each thickness.
            let (a, b) = (2.0 + t * 0.31 % 17.0, 3.0 + t * 1.7 % 38.0);
            let figures = run(
                "visual-acceptance",
                &[
                    ("standard", level.to_owned()),
                    ("thickness", format!("{t} mm")),
                    ("throat", format!("{a:.9} mm")),
                    ("width", format!("{b:.9} mm")),
                ],
            );
            let size = |of: &str| match of {
                "t" => t,
                "a" => a,
                "b" => b,
                other => panic!("{other}"),
            };
            for line in ISO.trim().lines() {
                let cells: Vec<&str> = line.split('|').map(str::trim).collect();
                let wanted = allows(cells[place], &size);
                let found = output(&figures, cells[0]).map(|si| si * 1000.0);
                match (wanted, found) {
                    (Some(wanted), Some(found)) => {
                        assert!((found - wanted).abs() < 1e-6, "{level} {} t {t}: {found}", cells[0]);
                    }
                    (None, found) => assert_eq!(found, None, "{level} {} has no limit", cells[0]),
                    (Some(_), None) => panic!("{level} {} is not given", cells[0]),
                }
                asked += 1;
            }
        }
    }
    assert!(asked > 800, "{asked}");
}

/// AWS D1.1:2020, tables 8.1 and 7.9, inch columns: what is limited, by which size, and the
/// limit below or up to each size; `<` below, `<=` up to and including.
const AWS: &str = "
aws-static undercut_max    thickness | < 1: 1/32   | over: 1/16
aws-static undersize_max   leg       | < 1/4: 1/16 | < 5/16: 3/32 | over: 1/8
aws-static convexity_max   width     | <= 5/16: 1/16 | < 1: 1/8 | over: 3/16
aws-static excess_weld_max thickness | <= 1: 1/8 | <= 2: 3/16 | over: 1/4
aws-cyclic undercut_max    thickness | over: 0.010";

#[test]
fn the_limits_of_the_american_code_are_its_rows_at_every_size() {
    let mut asked = 0;
    for line in AWS.trim().lines() {
        let (head, rows) = line.split_once('|').unwrap();
        let head: Vec<&str> = head.split_whitespace().collect();
        let [standard, id, by] = head[..] else { panic!("{line}") };
        for thirty_seconds in 4..=80 {
            let size = f64::from(thirty_seconds) / 32.0;
            let row = rows.split('|').map(str::trim).find_map(|row| {
                let (upto, limit) = row.split_once(':').unwrap();
                let inside = match upto.split_once(' ') {
                    Some(("<", edge)) => size < inches(edge),
                    Some(("<=", edge)) => size <= inches(edge),
                    _ => true,
                };
                inside.then(|| inches(limit.trim()) * INCH)
            });
            // The part bears the leg that is laid on it.
            let thickness = if by == "thickness" { size } else { 3.0 };
            let mut pairs = vec![
                ("standard", standard.to_owned()),
                ("thickness", format!("{thickness} in")),
                ("table", "inch".to_owned()),
            ];
            if by != "thickness" {
                pairs.push((by, format!("{size} in")));
            }
            if id == "excess_weld_max" {
                // Only a butt weld has one, and is known by it.
                pairs.push(("excess_weld", "0 in".to_owned()));
            }
            let found = output(&run("visual-acceptance", &pairs), id).map(|si| si * 1000.0);
            let (wanted, found) = (row.unwrap(), found.unwrap_or_else(|| panic!("{id} of {by} {size} in")));
            assert!((found - wanted).abs() < 1e-6, "{standard} {id}, {by} {size} in: {found} mm");
            asked += 1;
        }
    }
    assert_eq!(asked, 5 * 77);
}
