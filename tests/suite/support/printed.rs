//! What of a document model has to stand on paper, and what of it does not.

use serde_json::Value;
use tackwright::render::Rendered;
use tackwright::traveler::Document;

use super::pdf;

/// Strings of the model that are for machines or readers that speak, not for paper.
const NOT_ON_PAPER: &[&str] =
    &["alt", "language", "ident", "issued", "paper", "author", "kind", "signal", "weight", "dash"];

/// Every string that must be on paper, squeezed.
fn strings(value: &Value, key: &str, inside: &str, list: &mut Vec<String>) {
    match value {
        // Names of readings and operations are for the record, the title for the window.
        Value::String(_) if key == "id" && (inside == "readings" || inside == "operations") => {}
        Value::String(_)
            if key == "id" && (inside == "reading" || inside == "boxes" || inside == "after_hand_over") => {}
        Value::String(_) if key == "title" && inside == "meta" => {}
        Value::String(text) if !NOT_ON_PAPER.contains(&key) => {
            let text = if key == "verb" { text.to_uppercase() } else { text.clone() };
            list.push(pdf::squeeze(&text));
        }
        // A filled box has no room for the unit it would be written in.
        // Like readings share the head of their label; each has its own end.
        Value::Object(map) => {
            let filled = map.get("filled").is_some_and(|f| !f.is_null());
            for (key, value) in map {
                if let ("label", Some(end)) = (key.as_str(), map.get("mark").and_then(Value::as_str)) {
                    let head = value.as_str().unwrap().strip_suffix(end).unwrap();
                    list.push(pdf::squeeze(head.trim_end_matches(", ")));
                    continue;
                }
                if key == "cells" && inside == "rows" && map.contains_key("elapsed")
                    || filled && key == "unit"
                {
                    continue;
                }
                let inside = if value.is_string() { inside } else { key };
                strings(value, key, inside, list);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| strings(item, key, inside, list)),
        _ => {}
    }
}

/// The model as it is printed: operations stand on their station pages, and a
/// row says for its boxes what they have in common.
fn printed_model(document: &Document) -> Value {
    let mut model = serde_json::to_value(document).unwrap();
    let map = model.as_object_mut().unwrap();
    for part in ["operations", "after_hand_over", "welds"] {
        map.remove(part);
    }
    if document.record.is_none() {
        map["head"].as_object_mut().unwrap().remove("points");
    }
    for part in ["stations", "later_stations"] {
        for station in map[part].as_array_mut().unwrap() {
            for block in station["blocks"].as_array_mut().unwrap() {
                for kind in ["table", "safety"] {
                    let Some(framed) = block.get_mut(kind).and_then(Value::as_object_mut) else { continue };
                    let rows = framed["rows"].as_array_mut().unwrap();
                    let alone = !rows.is_empty();
                    for row in rows {
                        for one in row["boxes"].as_array_mut().unwrap() {
                            let one = one.as_object_mut().unwrap();
                            for key in ["label", "target", "tolerance", "instrument"] {
                                one.remove(key);
                            }
                            if !one["choices"].as_array().unwrap().is_empty() {
                                one.remove("unit");
                            }
                        }
                    }
                    if alone && framed.get("initials") == Some(&Value::Bool(false)) {
                        framed.remove("who");
                    }
                }
            }
        }
    }
    model
}

/// Whether a run of text is the letter of a station on its bar.
pub(crate) fn is_letter(run: &pdf::Run) -> bool {
    let text = run.text.trim();
    run.size > 20.0 && (1..=2).contains(&text.len()) && text.chars().all(|c| c.is_ascii_uppercase())
}

pub(crate) fn model_strings(document: &Document) -> Vec<String> {
    let mut list = Vec::new();
    strings(&printed_model(document), "", "", &mut list);
    list.retain(|text| !text.is_empty());
    list
}

/// The strings of a model that are missing on paper.
pub(crate) fn missing(document: &Document, rendered: &Rendered) -> Vec<String> {
    let paper: String = pdf::pages(&rendered.bytes).iter().map(pdf::Page::text).collect();
    model_strings(document).into_iter().filter(|text| !paper.contains(text)).collect()
}
