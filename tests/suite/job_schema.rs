//! The JSON Schema: it takes the demonstration jobs, refuses what the reader
//! refuses, and knows every key of the model.

use serde_json::{Value as Json, json};
use tackwright::app::plan::schema;
use tackwright::file::Record;
use tackwright::job::model::{
    Axle, Cut, DragLink, Driveshaft, Fastener, Frame, Head, Joint, Knuckle, OwnOperation, Pad, Pinion, Shock,
    Spring, Target, Tube, Tyre, UnitFacts, Weldment,
};

use super::support::desk::folder;

/// The part of JSON Schema the job file's schema uses; an unknown keyword
/// fails the test, so that nothing is passed over.
fn complaints(schema: &Json, value: &Json, path: &str, found: &mut Vec<String>) {
    let mut say = |text: String| found.push(format!("{path}: {text}"));
    for (keyword, rule) in schema.as_object().unwrap() {
        match (keyword.as_str(), value) {
            ("$schema" | "title" | "description" | "examples", _) => {}
            ("type", _) => {
                let fits = match rule.as_str().unwrap() {
                    "object" => value.is_object(),
                    "array" => value.is_array(),
                    "string" => value.is_string(),
                    "integer" => value.is_i64() || value.is_u64(),
                    "boolean" => value.is_boolean(),
                    other => panic!("unknown type {other}"),
                };
                if !fits {
                    say(format!("{value} is not of type {rule}"));
                }
            }
            ("enum", _) => {
                // The reader does not mind capitals; the schema names one spelling.
                let lower = value.as_str().map(str::to_lowercase);
                if !rule.as_array().unwrap().iter().any(|w| w.as_str() == lower.as_deref()) {
                    say(format!("{value} is not one of {rule}"));
                }
            }
            ("required", Json::Object(map)) => {
                for key in rule.as_array().unwrap() {
                    if !map.contains_key(key.as_str().unwrap()) {
                        say(format!("{key} is missing"));
                    }
                }
            }
            ("additionalProperties", Json::Object(map)) => {
                assert_eq!(rule, &json!(false));
                for key in map.keys().filter(|k| schema["properties"].get(k.as_str()).is_none()) {
                    say(format!("{key} is not a key"));
                }
            }
            ("maxLength", Json::String(text)) => {
                if text.chars().count() as u64 > rule.as_u64().unwrap() {
                    say("too long".to_owned());
                }
            }
            ("minimum", Json::Number(number)) => {
                if number.as_f64().unwrap() < rule.as_f64().unwrap() {
                    say("too small".to_owned());
                }
            }
            ("pattern", Json::String(text)) => {
                assert_eq!(rule, "^[A-Za-z0-9][A-Za-z0-9_.-]{0,59}$");
                let fits = text.starts_with(|c: char| c.is_ascii_alphanumeric())
                    && text.len() <= 60
                    && text.chars().all(|c| c.is_ascii_alphanumeric() || "_.-".contains(c));
                if !fits {
                    say(format!("{text} is not an id"));
                }
            }
            ("format", Json::String(text)) => {
                assert_eq!(rule, "date");
                if chrono::NaiveDate::parse_from_str(text, "%Y-%m-%d").is_err() {
                    say(format!("{text} is not a date"));
                }
            }
            ("properties" | "items" | "required" | "additionalProperties", _) => {}
            ("maxLength" | "minimum" | "pattern" | "format", _) => {}
            (other, _) => panic!("the checker does not know {other}"),
        }
    }
    match value {
        Json::Object(map) => {
            for (key, value) in map {
                if let Some(schema) = schema["properties"].get(key) {
                    complaints(schema, value, &format!("{path}.{key}"), found);
                }
            }
        }
        Json::Array(list) => {
            if let Some(items) = schema.get("items") {
                for (index, item) in list.iter().enumerate() {
                    complaints(items, item, &format!("{path}[{index}]"), found);
                }
            }
        }
        _ => {}
    }
}

fn all(value: &Json) -> Vec<String> {
    let mut found = Vec::new();
    complaints(&schema(), value, "job", &mut found);
    found
}

fn as_json(value: &toml::Value) -> Json {
    match value {
        toml::Value::String(text) => json!(text),
        toml::Value::Integer(number) => json!(number),
        toml::Value::Float(number) => json!(number),
        toml::Value::Boolean(flag) => json!(flag),
        toml::Value::Datetime(date) => json!(date.to_string()),
        toml::Value::Array(list) => list.iter().map(as_json).collect(),
        toml::Value::Table(table) => table.iter().map(|(k, v)| (k.clone(), as_json(v))).collect(),
    }
}

fn parsed(text: &str) -> Json {
    as_json(&toml::Value::Table(text.parse().unwrap()))
}

#[test]
fn the_schema_takes_the_demonstrations() {
    for (name, text) in folder("jobs", "toml").into_iter().filter(|(_, text)| text.contains("\n[job]")) {
        let found = all(&parsed(&text));
        assert!(found.is_empty(), "{name}: {found:#?}");
    }
}

#[test]
fn the_schema_refuses_what_the_reader_refuses() {
    let (_, text) = folder("jobs", "toml").into_iter().find(|(n, _)| n == "brush-truck").unwrap();
    for (was, is, complaint) in [
        ("paper = \"letter\"", "paper = \"a5\"", "not one of"),
        ("[axle.tube]\nod", "[axle.tube]\ndiameter", "diameter is not a key"),
        ("number = \"TW-2041\"", "number = \"TW 2041\"", "not an id"),
        ("due = 2026-03-20", "due = \"soon\"", "not a date"),
        ("finder_readings = 2", "finder_readings = -2", "too small"),
        ("invented = true", "invented = \"yes\"", "not of type"),
        ("title = \"spring pads to tube, both sides of each pad\"\n", "", "\"title\" is missing"),
    ] {
        assert!(text.contains(was), "{was}");
        let changed = text.replacen(was, is, 1);
        let found = all(&parsed(&changed));
        assert!(found.iter().any(|f| f.contains(complaint)), "{is}: {found:?}");
        let (_, report) = tackwright::job::load("job.toml", &changed);
        assert!(report.has_errors(), "the reader takes {is}");
    }
}

#[test]
fn the_schema_knows_every_key_with_its_help() {
    let schema = schema();
    let at = |pointer: &str| schema.pointer(pointer).unwrap_or_else(|| panic!("no {pointer}"));
    let mut seen = 0;
    let mut same = |pointer: &str, fields: Vec<tackwright::file::FieldSpec>| {
        let properties = at(pointer).get("properties").and_then(Json::as_object).unwrap();
        assert_eq!(properties.len(), fields.len(), "{pointer}");
        for field in fields {
            let entry = properties.get(field.key).unwrap_or_else(|| panic!("{pointer} lacks {}", field.key));
            assert_eq!(entry["description"], field.help.trim(), "{pointer}/{}", field.key);
            seen += 1;
        }
    };
    same("/properties/job", Head::fields());
    same("/properties/unit", UnitFacts::fields());
    same("/properties/frame", Frame::fields());
    for (key, fields) in [
        ("axle", Axle::fields()),
        ("driveshaft", Driveshaft::fields()),
        ("weldment", Weldment::fields()),
        ("joint", Joint::fields()),
        ("fastener", Fastener::fields()),
        ("operation", OwnOperation::fields()),
    ] {
        same(&format!("/properties/{key}/items"), fields);
    }
    for (key, fields) in [
        ("tube", Tube::fields()),
        ("spring", Spring::fields()),
        ("pinion", Pinion::fields()),
        ("target", Target::fields()),
        ("cut", Cut::fields()),
        ("pad", Pad::fields()),
        ("tyre", Tyre::fields()),
        ("drag_link", DragLink::fields()),
        ("shock", Shock::fields()),
        ("knuckle/properties/left", Knuckle::fields()),
        ("knuckle/properties/right", Knuckle::fields()),
    ] {
        same(&format!("/properties/axle/items/properties/{key}"), fields);
    }
    assert!(seen > 180, "{seen}");
}

/// Every example in the model is a right value for its own key.
#[test]
fn every_example_can_be_read() {
    let mut tables = vec![
        ("driveshaft", Driveshaft::fields()),
        ("weldment", Weldment::fields()),
        ("joint", Joint::fields()),
        ("fastener", Fastener::fields()),
    ];
    tables.push(("operation", OwnOperation::fields()));
    let mut text = String::from("[job]\n");
    for field in Head::fields() {
        text.push_str(&format!("{} = {}\n", field.key, field.example));
    }
    text.push_str("[unit]\n");
    for field in UnitFacts::fields() {
        text.push_str(&format!("{} = {}\n", field.key, field.example));
    }
    for (name, fields) in tables {
        text.push_str(&format!("[[{name}]]\n"));
        for field in fields.into_iter().filter(|f| !f.example.is_empty()) {
            text.push_str(&format!("{} = {}\n", field.key, field.example));
        }
    }
    let (_, report) = tackwright::job::load("job.toml", &text);
    // What the examples say does not fit together; each can be read.
    let reading = |code: &str| code < "J100" || code == "Q001";
    let unread: Vec<_> = report.problems.iter().filter(|p| reading(p.code)).collect();
    assert!(unread.is_empty(), "{unread:#?}");
}

#[test]
fn pieces_of_a_job_and_the_rules_are_written_out() {
    let run = |args: &[&str]| {
        let mut command = assert_cmd::Command::cargo_bin("tackwright").unwrap();
        String::from_utf8(command.args(args).assert().success().get_output().stdout.clone()).unwrap()
    };
    let rules = run(&["rules"]);
    for id in ["cut-hold", "weld-holds"] {
        assert!(rules.lines().any(|l| l == id), "{rules}");
    }
    assert!(run(&["new", "operation"]).contains("[[operation]]"));
    assert!(run(&["new", "waiver"]).contains("[[waiver]]"));
    let rear = run(&["new", "spring-over", "--on", "rear", "--units", "metric", "--paper", "a4"]);
    for line in
        ["end = \"rear\"", "units = \"metric\"", "paper = \"a4\"", "on = [\"rear\"]", "steered = false"]
    {
        assert!(rear.lines().any(|l| l == line), "{line}");
    }
    let both = run(&["new", "spring-over", "--on", "front", "--on", "rear"]);
    assert_eq!(both.matches("[[axle]]").count(), 2);
    assert!(both.contains("on = [\"front\", \"rear\"]"));
    // Today's own book is as fresh as the demonstration was on its own day: the
    // one wrench that shows what an overdue calibration looks like.
    let book = run(&["new", "shop"]);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.toml");
    std::fs::write(&path, book).unwrap();
    let listed = run(&["shop", path.to_str().unwrap()]);
    let overdue: Vec<_> = listed.lines().filter(|l| l.contains("ran out")).collect();
    assert!(overdue.len() == 1 && overdue[0].contains("TW-4"), "{listed}");
}
