//! Every field a new job file asks for reaches a figure or the paper: each value
//! is changed by itself, and something must come out different.

use tackwright::app::blank::{self, Wish};
use tackwright::app::compose::compose;
use tackwright::app::plan::{Loaded, Shelf, load, plan};
use tackwright::traveler::Document;

use super::blank_jobs::filled;
use super::support::desk::{Desk, shipped};

/// The figures of a job, with what is held for a signature.
pub(super) fn shown_figures(loaded: &Loaded) -> String {
    let figures = &loaded.figures;
    let rows = figures.rows.iter().map(|r| format!("{:?} {} {:?}", r.owner, r.name, r.figure.value));
    rows.chain(figures.concerns.iter().map(|c| c.text.clone())).collect::<Vec<_>>().join("\n")
}

/// Every word of a document but its digests: they are over the text itself and would
/// always differ.
pub(super) fn words_of(document: &Document) -> String {
    let mut json = serde_json::to_value(document).unwrap();
    strip(&mut json);
    json.to_string()
}

/// Shown figures and, if wanted, the whole document of a job text. None where
/// the change made the job invalid: a value that is refused is read.
fn outcome(text: &str, shelf: &Shelf, paper: bool) -> Option<String> {
    let desk = Desk::with("job.toml", text);
    let loaded = load(&desk, "job.toml".as_ref(), shelf).ok()?;
    let mut said = shown_figures(&loaded);
    if paper {
        let planned = plan(&loaded, shelf).ok()?;
        said.push_str(&words_of(&compose(&planned)));
    }
    Some(said)
}

/// Takes out every text that looks like a digest.
fn strip(json: &mut serde_json::Value) {
    match json {
        serde_json::Value::String(text) => {
            let hex = |c: char| c.is_ascii_hexdigit();
            *text = text
                .split(' ')
                .filter(|w| !(w.len() >= 8 && w.trim_matches('…').chars().all(hex)))
                .collect::<Vec<_>>()
                .join(" ");
        }
        serde_json::Value::Array(items) => items.iter_mut().for_each(strip),
        serde_json::Value::Object(map) => map.values_mut().for_each(strip),
        _ => {}
    }
}

/// A value of the same kind that is a little larger, or much smaller.
pub(super) fn changed(value: &str, larger: bool) -> Option<String> {
    let start = value.find(|c: char| c.is_ascii_digit())?;
    let number: String = value[start..].chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
    let rest = &value[start + number.len()..];
    // Fractions and dates are left to the words beside them.
    let bumped = if !larger {
        format!("{:.4}", number.parse::<f64>().ok()? * 0.4)
    } else if number.contains('.') {
        format!("{:.4}", number.parse::<f64>().ok()? * 1.13 + 0.011)
    } else {
        (number.parse::<u64>().ok()? + 1).to_string()
    };
    Some(format!("{}{bumped}{rest}", &value[..start]))
}

#[test]
fn every_asked_field_reaches_a_figure_or_the_paper() {
    let shelf = shipped();
    let mut unused = Vec::new();
    let mut tried = 0;
    for wish in [
        vec!["spring-over", "knuckle-reindex", "shackle-move", "linkage"],
        vec!["spring-pack", "axle-position"],
        vec!["driveshaft"],
        vec!["trailer-springs"],
        vec!["weldment"],
    ] {
        let kinds: Vec<String> = wish.iter().map(|w| (*w).to_owned()).collect();
        let text = filled(&blank::job_file(&shelf.library, &kinds, &Wish::default()).unwrap());
        let figures = outcome(&text, &shelf, false).expect("the examples are a job");
        let mut paper: Option<String> = None;
        let mut heading = String::new();
        let lines: Vec<&str> = text.lines().collect();
        for (index, line) in lines.iter().enumerate() {
            if line.starts_with('[') {
                heading = (*line).to_owned();
            }
            let Some((key, value)) = line.split_once(" = ").filter(|_| !line.starts_with('#')) else {
                continue;
            };
            // Names other lines refer to, and words out of a list.
            if matches!(key, "id" | "on" | "axle" | "procedure" | "use" | "revision" | "date" | "due") {
                continue;
            }
            let worded = value.starts_with('"') && !value.contains("over") && !value.contains("under");
            let tries: Vec<String> = match (changed(value, true), changed(value, false)) {
                (None, None) if worded => vec![format!("{}x\"", value.trim_end_matches('"'))],
                (larger, smaller) => larger.into_iter().chain(smaller).collect(),
            };
            if tries.is_empty() {
                continue;
            }
            tried += 1;
            let mut moved = false;
            for paper_too in [false, true] {
                for new in &tries {
                    let line = format!("{key} = {new}");
                    let mut edited = lines.clone();
                    edited[index] = &line;
                    let edited = edited.join("\n") + "\n";
                    let after = outcome(&edited, &shelf, paper_too);
                    moved |= if paper_too {
                        let before =
                            paper.get_or_insert_with(|| outcome(&text, &shelf, true).expect("a traveler"));
                        after.is_none_or(|after| after != *before)
                    } else {
                        after.is_none_or(|after| after != figures)
                    };
                    if moved {
                        break;
                    }
                }
                if moved {
                    break;
                }
            }
            if !moved {
                unused.push(format!("{wish:?} {heading} {line}"));
            }
        }
    }
    assert!(tried > 150, "only {tried} fields were tried");
    assert!(unused.is_empty(), "{} fields change nothing: {unused:#?}", unused.len());
}

/// Whom to call at the customer's, with the order or without.
#[test]
fn whom_to_call_stands_on_the_head_page() {
    let shelf = shipped();
    let job = concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/hoist-frame.toml");
    let text = std::fs::read_to_string(job).unwrap();
    let paper = |text: &str| outcome(text, &shelf, true).unwrap();
    assert!(paper(&text).contains("UV-140, station officer"));
    let without = paper(&text.replace("order = \"UV-140\"\n", ""));
    assert!(without.contains("customer's contact") && without.contains("station officer"));
    assert!(!paper(&text.replace("contact = \"station officer\"\n", "")).contains("station officer"));
}
