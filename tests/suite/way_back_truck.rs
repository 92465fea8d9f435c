//! The demonstration truck from issued to closed with nothing but what `status
//! --json` says, entry sheets, and signatures at the desk: in at most 40 commands.

use std::collections::BTreeMap;

use serde_json::{Value as Json, json};

use crate::support::bench::Bench;
use crate::support::story::{person, value, written};

/// Commands, and characters typed: in commands, at questions, in cells.
#[derive(Debug, Default)]
struct Typed {
    commands: usize,
    command_letters: usize,
    answers: usize,
    cells: usize,
}

/// Most commands the whole truck may take.
const MOST: usize = 40;
const DAY: i64 = 86_400;
/// Who takes the sheet in, and whose the lines without a name are: neither who welds nor who
/// reads first beside a second person.
const SHEET_OF: &str = "WT";

struct Truck {
    bench: Bench,
    typed: Typed,
    given: BTreeMap<String, String>,
    /// A word that opens a found condition was written.
    worded: bool,
}

impl Truck {
    fn call(&mut self, args: &[&str], input: &str) -> String {
        self.typed.commands += 1;
        self.typed.command_letters += format!("tackwright {}", args.join(" ")).chars().count();
        self.typed.answers += input.chars().count();
        let said = self.bench.typed(args, input);
        assert_eq!(said.code, 0, "{args:?}\n{}{}", said.out, said.err);
        said.out
    }

    fn status(&mut self) -> Json {
        let out = self.call(&["status", "TW-2041", "--json"], "");
        serde_json::from_str::<Json>(&out).unwrap()["travelers"][0].clone()
    }

    /// What a person writes in the cell of a box, by what `status` says of it.
    fn cell(&mut self, row: &Json) -> (String, Option<String>) {
        if row["kind"] != "value" {
            return ("x".to_owned(), None);
        }
        if row["box"].as_str().unwrap().starts_with("/bars:") {
            return ("99.9 / 100.1".to_owned(), None);
        }
        let key = row["key"].as_str().unwrap();
        let id = row["typed"].as_str().unwrap().split_once('.').unwrap().1;
        let operation = json!({ "id": key.rsplit('/').next().unwrap() });
        let choices = row["choices"].as_array().unwrap();
        if !choices.is_empty() {
            // One thing is found, by its word; everything else is in order.
            let worn = choices.iter().position(|c| c == "worn, to renew").filter(|_| !self.worded);
            self.worded |= worn.is_some();
            let place = worn.unwrap_or(0);
            let paper = if row["papers"].as_array().unwrap().contains(&choices[place]) {
                ": sheet 7, 2026-02-20"
            } else {
                ""
            };
            return (format!("{}{paper}", place + 1), None);
        }
        let given = |name: &str| self.given.get(name).cloned();
        let limits = &row["limits"];
        let asked = ["lower", "upper", "target"].iter().any(|l| !limits[l].is_null());
        let caster = operation["id"] == "read-caster" && id.ends_with(".left");
        let near = row["near"]["box"].as_str().and_then(given).filter(|_| !caster);
        let right = (!row["apart"].is_null()).then(|| id.strip_suffix(".right")).flatten();
        let left = right.and_then(|stem| given(&format!("{key}:{stem}.left")));
        let text = near.or(left).unwrap_or_else(|| {
            written(&operation, id).filter(|_| !asked).unwrap_or_else(|| {
                if limits.is_null() {
                    "in order".to_owned()
                } else {
                    value(&operation, &json!({ "id": id, "limits": limits, "usual": row["usual"], "instrument": row["instrument"] }))
                }
            })
        });
        // A bare number takes the unit of its line.
        let unit = match row["unit"].as_str() {
            Some("°") => " deg",
            Some("°F") => " degF",
            Some(unit) => &format!(" {unit}"),
            None => "",
        };
        let text = match text.strip_suffix(unit) {
            Some(number) if !unit.is_empty() && number.parse::<f64>().is_ok() => number.to_owned(),
            _ => text,
        };
        // What is over the small wrench's range is read with the large one.
        let tools: Vec<&str> = row["tools"].as_array().unwrap().iter().filter_map(Json::as_str).collect();
        let torque = text.parse::<f64>().ok().filter(|_| limits["kind"] == "torque");
        let torque = torque.or_else(|| text.strip_suffix(" lbf-ft")?.parse().ok());
        let large = tools.iter().find(|t| **t == "TW-3").filter(|_| torque.is_some_and(|t| t > 60.0));
        let first = tools.first().filter(|_| row["tool_needed"] == true);
        // Less than a mark of the tape is read with what shows it.
        let inches = text.trim_end_matches(" in").parse::<f64>().ok();
        let small = limits["kind"] == "length" && inches.is_some_and(|i| i > 0.0 && i < 1.0 / 64.0);
        let finer =
            tools.iter().find(|t| **t == "CA-1").filter(|_| small && first.is_some_and(|t| *t == "TP-2"));
        let tool = large.or(finer).or(first).map(|t| (*t).to_owned());
        self.given.insert(row["box"].as_str().unwrap().to_owned(), text.clone());
        (text, tool)
    }

    /// One day: look, write a sheet, fill it up to an operation, take it in and
    /// sign at the desk.
    fn day(&mut self, name: &str, last: u64) {
        self.bench.now += DAY;
        let status = self.status();
        let rows: BTreeMap<&str, &Json> =
            status["boxes"].as_array().unwrap().iter().map(|r| (r["box"].as_str().unwrap(), r)).collect();
        self.call(&["sheet", "TW-2041", "--out", name], "");
        let sheet = self.bench.text(name);
        let mut csv = csv::Reader::from_reader(sheet.trim_start_matches('\u{FEFF}').as_bytes());
        let head = csv.headers().unwrap().clone();
        let column = |name: &str| head.iter().position(|h| h == name).unwrap();
        let mut out = csv::Writer::from_writer(Vec::new());
        out.write_record(&head).unwrap();
        let mut signers: Vec<String> = Vec::new();
        for record in csv.records() {
            let record = record.unwrap();
            let row = rows[&record[column("box")]];
            // What is read cold waits for the next day, and the initials behind it.
            let name = row["box"].as_str().unwrap();
            let key = name.split(':').next().unwrap();
            let waits = rows.contains_key(format!("{key}:cooling").as_str())
                && (name.ends_with(":cooling") || name.contains(":@"))
                && row["operation"] == last;
            if waits || row["operation"].as_u64().unwrap() > last || row["kind"] == "signature" {
                if row["kind"] == "signature" && row["operation"].as_u64().unwrap() <= last {
                    signers.push(row["roles"][0].as_str().unwrap().to_owned());
                }
                out.write_record(&record).unwrap();
                continue;
            }
            let (text, tool) = self.cell(row);
            let who = row["roles"].as_array().unwrap().first().map_or("WO", |r| person(r.as_str().unwrap()));
            let mut cells: Vec<String> = record.iter().map(str::to_owned).collect();
            let mut fill = |name: &str, text: &str| {
                self.typed.cells += text.chars().count();
                text.clone_into(&mut cells[column(name)]);
            };
            fill("value", &text);
            fill(
                "tool",
                tool.as_deref().filter(|t| **t != record[column("tool")]).unwrap_or(&record[column("tool")]),
            );
            if who != SHEET_OF {
                fill("by", who);
            }
            out.write_record(&cells).unwrap();
        }
        self.bench.write(name, out.into_inner().unwrap());
        // One number a signature; the lead's PIN once; the lead's word on what was
        // found right after it is taken in.
        let mut answers = String::new();
        let mut pin = false;
        for (place, role) in signers.iter().enumerate() {
            answers.push_str("1\n");
            if role == "lead" && !std::mem::replace(&mut pin, true) {
                answers.push_str("4711\n");
            }
            if place == 0 && last < 200 {
                answers.push_str("1\nas agreed with the customer\n");
            }
        }
        let said = self.call(&["desk", "TW-2041", "--take", name, "--by", SHEET_OF], &answers);
        assert!(!said.contains("NO:"), "{said}");
    }
}

#[test]
fn the_truck_is_closed_from_status_and_sheets_in_at_most_forty_commands() {
    let mut truck =
        Truck { bench: Bench::new(), typed: Typed::default(), given: BTreeMap::new(), worded: false };
    truck.bench.typed(&["key", "pin", "LO", "--pin-stdin"], "4711\n");
    truck.call(&["issue", "job.toml", "--pin-stdin"], "4711\n");
    // Up to where what was read decides what is read next.
    for (name, last) in [
        ("monday.csv", 120),
        // A weld is accepted on another day than it was made: a sheet without times says no more.
        ("tuesday.csv", 300),
        ("wednesday.csv", 450),
        ("thursday.csv", 520),
        ("friday.csv", 570),
        // The crack test comes a day after the weld.
        ("monday-after.csv", 900),
    ] {
        truck.day(name, last);
    }
    let status = truck.status();
    assert_eq!(status["open"].as_array().unwrap().len(), 0, "{:#}", status["open"]);
    let open: Vec<&str> = status["boxes"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|b| b["after_hand_over"] == false && b["done"].is_null())
        .map(|b| b["box"].as_str().unwrap())
        .collect();
    assert!(open.is_empty(), "{open:?}");
    // The day the customer was told is promised unasked.
    let said = truck.call(&["close", "TW-2041", "--by", "LO", "--pin-stdin"], "4711\n");
    assert!(said.contains("closed"), "{said}");
    // What was taken in says by whom and from which file, and the file is kept.
    let log = truck.bench.text("travelers/TW-2041/log.jsonl");
    let taken = log.lines().filter(|l| l.contains("\"taken_in\":{\"by\":\"WT\"")).count();
    assert!(taken > 250, "{taken}");
    let kept = std::fs::read_dir(truck.bench.path("travelers/TW-2041/taken-in")).unwrap().count();
    assert_eq!(kept, 6);
    // The record that comes of it is whole.
    let verdict =
        truck.bench.json(&["verify", "travelers/TW-2041/TW-2041-completed.pdf", "--unsealed", "--json"]);
    assert_eq!(verdict["holds"], "not-sealed", "{verdict:#}");
    assert!(truck.typed.commands <= MOST, "{:?}", truck.typed);
}
