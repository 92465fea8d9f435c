//! A metric job is told its values metric first, whatever is wrong with it.

use tackwright::app::blank::{self, Wish};
use tackwright::quantity::paired::metric_first;
use tackwright::term::Units;

use super::blank_jobs::filled;
use super::support::desk::{check, shipped};

/// A value ten times what it was; none where the line has no size.
fn slipped(line: &str) -> Option<String> {
    let (key, value) = line.split_once(" = \"")?;
    let (number, unit) = value.trim_end_matches('"').split_once(' ')?;
    let size: f64 = number.parse().ok()?;
    ["mm", "N·m", "kg", "MPa", "kN", "°C", "mm/min"]
        .contains(&unit)
        .then(|| format!("{key} = \"{} {unit}\"", size * 10.0))
}

#[test]
fn whatever_slips_in_a_metric_job_is_told_metric_first() {
    let shelf = shipped();
    let metric = Wish { units: Units::Metric, ..Wish::default() };
    let (mut told, mut paired) = (0, 0);
    for kinds in [&["knuckle-reindex", "spring-over"][..], &["trailer-springs"], &["weldment"]] {
        let kinds: Vec<String> = kinds.iter().map(|k| (*k).to_owned()).collect();
        let text = filled(&blank::job_file(&shelf.library, &kinds, &metric).unwrap());
        for (at, line) in text.lines().enumerate() {
            let Some(slip) = slipped(line) else { continue };
            let broken: Vec<&str> =
                text.lines().enumerate().map(|(i, l)| if i == at { slip.as_str() } else { l }).collect();
            for problem in check("job.toml", &broken.join("\n"), &shelf).1 {
                let help = problem["help"].as_array().cloned().unwrap_or_default();
                let texts = [&problem["message"], &problem["expected"]].into_iter().chain(&help);
                for said in texts.filter_map(|t| t.as_str()) {
                    told += 1;
                    assert_eq!(metric_first(said), said, "{slip}");
                    // What is usual or possible is no range of inches either.
                    let range: Vec<&str> = said.split("outside ").nth(1).unwrap_or("").split(' ').collect();
                    let of_inches = range.get(1) == Some(&"to") && range.get(3) == Some(&"in");
                    assert!(!of_inches, "{said}");
                    paired += usize::from(said.contains(" in)"));
                }
            }
        }
    }
    assert!(told > 200 && paired > 20, "{told} told, {paired} in pairs");
}
