//! Every demonstration job goes from its issue to its closing: what the program offers
//! for a box is entered, by who the program says may, and nothing is a dead end.

use std::collections::BTreeMap;

use chrono::{DateTime, TimeDelta};
use serde_json::Value as Json;
use tackwright::app::record::completed::{self, Parts};
use tackwright::app::record::pdf::attachments;
use tackwright::quantity::paired::metric_first;
use tackwright::record::log;
use tackwright::traveler::document::{CustomerPages, OutcomeRow};

use super::record_attacks::{entries, log_of};
use super::support::bench::told;
use crate::support::program::{Said, call, folder_with};
use crate::support::story::{person, value};

/// A shop with a demonstration job, under the number of its own.
pub(crate) struct Walk {
    pub(crate) folder: tempfile::TempDir,
    pub(crate) number: String,
    pub(crate) now: DateTime<chrono::FixedOffset>,
    pub(crate) plan: Json,
    /// What was written, by the name of the box.
    pub(crate) given: BTreeMap<String, String>,
    /// Whether the job works metric, and how many texts said a value in two units.
    pub(crate) metric: bool,
    pub(crate) paired: usize,
    /// Days of their own for what is done after hand-over: `310=2026-05-04`.
    pub(crate) days: Vec<String>,
}

impl Walk {
    pub(crate) fn of(job: &str) -> Self {
        Self::changed(job, str::to_owned)
    }

    /// The job after a change of its file.
    pub(crate) fn changed(job: &str, change: impl Fn(&str) -> String) -> Self {
        let folder = folder_with(&format!("{job}.toml"));
        let text = change(&std::fs::read_to_string(folder.path().join("job.toml")).unwrap());
        std::fs::write(folder.path().join("job.toml"), &text).unwrap();
        let said = |key: &str| {
            let line = text.lines().find_map(|l| l.strip_prefix(key)?.trim_start().strip_prefix('='));
            line.unwrap().trim().trim_matches('"').to_owned()
        };
        let (number, date) = (said("number"), said("date"));
        let now = DateTime::parse_from_rfc3339(&format!("{date}T07:00:00+00:00")).unwrap();
        let metric = text.contains("\nunits = \"metric\"");
        let given = BTreeMap::new();
        let mut walk =
            Self { folder, number, now, plan: Json::Null, given, metric, paired: 0, days: Vec::new() };
        let issued = walk.run(3, &["issue", "job.toml"]);
        assert_eq!(issued.code, 0, "{job}: {}", issued.err);
        let plan = walk.folder.path().join("travelers").join(&walk.number).join("A/plan.json");
        walk.plan = serde_json::from_slice(&std::fs::read(plan).unwrap()).unwrap();
        walk
    }

    /// A call so many minutes later.
    pub(crate) fn run(&mut self, minutes: i64, args: &[&str]) -> Said {
        self.now += TimeDelta::minutes(minutes);
        call(self.folder.path(), self.now.timestamp(), args, "")
    }

    /// The entries of the log so far.
    pub(crate) fn entries(&self) -> Vec<Json> {
        let path = self.folder.path().join("travelers").join(&self.number).join("log.jsonl");
        let log = std::fs::read_to_string(path).unwrap();
        let entry = |line: &str| serde_json::from_str::<Json>(line).unwrap()["entry"].take();
        log.lines().map(entry).collect()
    }

    /// The boxes of the work before hand-over, as they stand.
    pub(crate) fn boxes(&mut self) -> Vec<Json> {
        let number = self.number.clone();
        let said = self.run(0, &["status", &number, "--boxes", "--json"]);
        let all: Json = serde_json::from_str(&said.out).unwrap_or_else(|e| panic!("{e}: {}", said.err));
        let boxes = all["travelers"][0]["boxes"].as_array().unwrap();
        boxes.iter().filter(|b| b["after_hand_over"] == false).cloned().collect()
    }

    pub(crate) fn operation(&self, key: &Json) -> Json {
        self.plan["operations"].as_array().unwrap().iter().find(|o| o["key"] == *key).unwrap().clone()
    }

    /// What is read of the unit, as its job has it, and what else is told in words.
    pub(crate) fn words(&self, id: &str) -> String {
        let of_job = |key: &str| self.plan[key].as_str().unwrap_or("none");
        match id {
            "identity" => format!("{}, {}", of_job("identification"), of_job("meter")),
            "meter" => of_job("meter").to_owned(),
            id if id.split('.').next() == Some("lot") => "7A-4471".to_owned(),
            _ => "as told, 12 345 mi".to_owned(),
        }
    }

    /// What is written: a word that conforms, what agrees with the other side, a value
    /// inside the limits in force.
    pub(crate) fn text(&self, row: &Json, operation: &Json) -> String {
        let name = row["box"].as_str().unwrap();
        let id = name.rsplit(':').next().unwrap();
        let steps = operation["steps"].as_array().unwrap();
        let mut reading = steps
            .iter()
            .flat_map(|s| s["readings"].as_array().unwrap())
            .find(|r| r["id"] == id)
            .unwrap_or_else(|| panic!("{name} is not in the plan"))
            .clone();
        if let Some(choices) = reading["choices"].as_array().filter(|c| !c.is_empty()) {
            // The demonstration's tester is certified for penetrant alone: what else is asked
            // a test house tests.
            let good = || choices.iter().filter(|c| c["does"] == "conforms");
            let here = |c: &&Json| {
                let tests = c["tests"].as_array();
                tests.is_none_or(|tests| tests.iter().all(|t| t == "penetrant"))
            };
            let good = good().find(here).or_else(|| good().next());
            return told(good.unwrap_or_else(|| panic!("{name} has no good answer")));
        }
        if reading["dated"] == true {
            return format!("{}, 50 mi", (self.now + TimeDelta::days(28)).date_naive());
        }
        if reading["limits"].is_null() {
            return self.words(id);
        }
        if let Some(text) = self.beside(operation, id) {
            return text;
        }
        let near = row["near"]["box"].as_str().and_then(|near| self.given.get(near));
        let left = name.strip_suffix(".right").filter(|_| !row["apart"].is_null());
        let left = left.and_then(|stem| self.given.get(&format!("{stem}.left")));
        if let Some(same) = near.or(left) {
            return same.clone();
        }
        if !row["limits"].is_null() {
            reading["limits"] = row["limits"].clone();
        }
        // A runout, a phase: well under its most, for the same reason.
        if let ("angle", None, Some(most)) = (
            reading["limits"]["kind"].as_str().unwrap(),
            reading["limits"]["lower"]["si"].as_f64(),
            reading["limits"]["upper"]["si"].as_f64(),
        ) {
            return format!("{:.2} deg", most.to_degrees() / 2.0);
        }
        // What the job states no value for is set by the maker's: one most wrenches reach.
        if reading["limits"]["kind"] == "torque" && reading["limits"]["lower"].is_null() {
            return "50 lbf-ft".to_owned();
        }
        // A size is made well over its least: the gauge has its uncertainty.
        let end = |name: &str| reading["limits"][name]["si"].as_f64();
        if let ("length", Some(least), None) =
            (reading["limits"]["kind"].as_str().unwrap(), end("lower"), end("upper"))
        {
            return format!("{:.2} in", least / 0.0254 * 1.2 + 0.03);
        }
        // What may be anything up to the length of a unit: in the middle of its sizes, not
        // beyond every tape.
        let usual = |name: &str| row["usual"][name]["si"].as_f64().map(|si| si / 0.0254);
        if let ("length", Some(least), Some(most)) =
            (reading["limits"]["kind"].as_str().unwrap(), usual("least"), usual("most"))
            && most > 300.0
        {
            return format!("{:.2} in", (least * most).sqrt());
        }
        value(operation, &reading)
    }

    /// What a difference to a reading that was given asks of this one, in the middle.
    pub(crate) fn beside(&self, operation: &Json, id: &str) -> Option<String> {
        let inches = |name: &Json| {
            let key = format!("{}:{}", name["operation"].as_str()?, name["reading"].as_str()?);
            self.given.get(&key)?.strip_suffix(" in")?.parse::<f64>().ok()
        };
        let own = |name: &Json| name["operation"] == operation["key"] && name["reading"] == id;
        operation["steps"]
            .as_array()?
            .iter()
            .flat_map(|s| s["derived"].as_array().into_iter().flatten())
            .find_map(|row| {
                let of = row["of"].as_array().filter(|_| row["take"] == "difference")?;
                let (least, most) = (row["least"]["si"].as_f64()?, row["most"]["si"].as_f64()?);
                let middle = f64::midpoint(least, most) / 0.0254;
                let place = of.iter().position(own)?;
                let others = of.iter().enumerate().filter(|(at, _)| *at != place);
                let others: Vec<f64> = others.map(|(_, one)| inches(one)).collect::<Option<_>>()?;
                // The first less all behind it.
                let wanted = if place == 0 {
                    others.iter().sum::<f64>() + middle
                } else {
                    others.first()? - others.iter().skip(1).sum::<f64>() - middle
                };
                Some(format!("{wanted:.2} in"))
            })
    }

    /// The entry of a box, by `who`.
    pub(crate) fn entry(&self, row: &Json, operation: &Json, who: &str) -> Vec<String> {
        let name = row["box"].as_str().unwrap();
        let mut args: Vec<String> = match row["kind"].as_str().unwrap() {
            "tick" | "initials" => vec!["tick".into(), self.number.clone(), name.into()],
            "signature" => {
                let role = row["roles"][0].as_str().unwrap();
                vec!["sign".into(), self.number.clone(), name.into(), "--as".into(), role.into()]
            }
            _ => {
                let text = self.text(row, operation);
                vec![
                    "measure".into(),
                    self.number.clone(),
                    name.into(),
                    text,
                    "--json".into(),
                    "--sure".into(),
                ]
            }
        };
        // The first tool that is offered is one that is taken.
        if let (true, Some(tool)) = (row["tool_needed"] == true, row["tools"][0].as_str()) {
            args.extend(["--with".into(), tool.into()]);
        }
        args.extend(["--by".into(), who.into()]);
        args
    }

    /// What is told where people work metric says metric values first.
    pub(crate) fn metric_first(&mut self, said: &Said) {
        for text in [&said.err, &said.out] {
            // A terminal wraps lines.
            let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
            assert_eq!(metric_first(&text), text, "{}", self.number);
            self.paired += usize::from(text.contains(" in)") || text.contains(" lbf-ft)"));
        }
    }

    /// A value far over its limit is asked back, in the units of the job.
    pub(crate) fn asked_back(&mut self, row: &Json, who: &str) {
        let most = row["limits"]["upper"]["si"].as_f64().filter(|most| *most > 0.0);
        let (Some(most), true) = (most.filter(|_| row["unit"] == "mm"), self.metric) else { return };
        let (number, value) = (self.number.clone(), format!("{:.1} mm", most * 60_000.0));
        let mut args = vec!["measure", &number, row["box"].as_str().unwrap(), &value, "--by", who];
        args.extend(row["tools"][0].as_str().iter().flat_map(|tool| ["--with", tool]));
        let said = self.run(0, &args);
        assert_eq!(said.code, 1, "{args:?}: {}", said.out);
        self.metric_first(&said);
    }

    /// Fills a box; whether targets moved.
    pub(crate) fn fill(&mut self, row: &Json) -> bool {
        let operation = self.operation(&row["key"]);
        let usual = row["roles"][0].as_str().map_or("WO", person);
        // Another welder where the first has no test for it, another person for a second
        // reading: whom a refusal asks for.
        let mut said = Said { code: 1, out: String::new(), err: String::new() };
        let mut refused = String::new();
        // Cracks are looked for when everything is cold.
        let accepts = operation["acts"].as_array().unwrap().iter().any(|a| a == "accept");
        let minutes = if accepts { 60 * 26 } else { 4 };
        let mut others = vec![usual, "WT", "LO", "IO", "WO"];
        others.dedup();
        if row["kind"] == "value" {
            self.asked_back(row, usual);
        }
        for who in others {
            let args = self.entry(row, &operation, who);
            let args: Vec<&str> = args.iter().map(String::as_str).collect();
            said = self.run(minutes, &args);
            if said.code == 0 {
                break;
            }
            refused.push_str(&said.err);
        }
        assert_eq!(said.code, 0, "{} of {} is a dead end:\n{row:#}\n{refused}", row["typed"], self.number);
        if row["kind"] != "value" {
            return false;
        }
        if self.metric {
            self.metric_first(&said);
        }
        let judged: Json = serde_json::from_str(&said.out).unwrap();
        assert!(
            judged["verdict"] == "conform" || judged["verdict"] == "recorded",
            "{} of {}: {judged:#}",
            row["typed"],
            self.number
        );
        let name = row["box"].as_str().unwrap().to_owned();
        let text = self.text(row, &operation);
        self.given.insert(name, text);
        judged["targets"].as_array().is_some_and(|t| !t.is_empty())
    }

    /// From the issue to the completed record; gives how many entries that took.
    pub(crate) fn until_the_end(&mut self) -> usize {
        let filled = self.until_all_is_done();
        self.close();
        filled
    }

    /// From the issue to the last box before hand-over; gives how many entries that took.
    pub(crate) fn until_all_is_done(&mut self) -> usize {
        self.until(|_| false)
    }

    /// As far as it goes before a box whose name has this part.
    pub(crate) fn until_the_box(&mut self, part: &str) -> usize {
        self.until(|name| name.contains(part))
    }

    fn until(&mut self, stops: impl Fn(&str) -> bool) -> usize {
        let mut filled = 0;
        'again: loop {
            for row in self.boxes() {
                // A print nobody uses needs no measure.
                let print = row["box"].as_str().unwrap().starts_with("/bars:");
                if print || !row["done"].is_null() {
                    continue;
                }
                if stops(row["box"].as_str().unwrap()) {
                    return filled;
                }
                filled += 1;
                if self.fill(&row) {
                    continue 'again;
                }
            }
            break;
        }
        filled
    }

    pub(crate) fn asked_to_close(&mut self) -> Said {
        let (number, due) = (self.number.clone(), (self.now + TimeDelta::days(30)).date_naive().to_string());
        // What the customer was told is promised unasked.
        let told = self.given.keys().any(|name| name.ends_with(":retorque-date"));
        let promised = ["--follow-up", &due];
        let more = if told { &[][..] } else { &promised[..] };
        let days = self.days.clone();
        let own: Vec<&str> = days.iter().flat_map(|day| ["--follow-up", day.as_str()]).collect();
        self.run(5, &[&["close", &number, "--by", "LO"], more, &own].concat())
    }

    pub(crate) fn close(&mut self) {
        let said = self.asked_to_close();
        let number = self.number.clone();
        assert_eq!(said.code, 0, "{number} can't be closed: {}", said.err);
        let record = self.record();
        assert!(self.folder.path().join(&record).exists(), "{number} has no completed record");
        let checked = self.run(1, &["verify", &record, "--unsealed"]);
        assert_eq!(checked.code, 0, "{number}: {}{}", checked.out, checked.err);
        // Whoever closes it a second time is told a command that can be typed.
        let said = self.asked_to_close();
        let again = format!("tackwright complete {number} --by LO");
        assert!(said.code == 1 && said.err.contains("L111") && said.err.contains(&again), "{}", said.err);
        // A record that is gone is missed; one that says what the log says is not spoken of.
        let waits = |walk: &mut Self| walk.run(0, &["status", &number]).out;
        assert!(!waits(self).contains("completed record"), "{}", waits(self));
        let (path, aside) = (self.folder.path().join(&record), self.folder.path().join("aside.pdf"));
        std::fs::rename(&path, &aside).unwrap();
        let words = waits(self);
        assert!(
            words.contains("is not there: a lead writes it") && words.contains("tackwright complete"),
            "{words}"
        );
        assert!(self.run(0, &["status"]).out.contains("WAITS FOR A LEAD: 1"));
        std::fs::rename(&aside, &path).unwrap();
    }

    /// The customer's pages of the completed record, and how many there are.
    pub(crate) fn customer(&self) -> CustomerPages {
        let bytes = std::fs::read(self.folder.path().join(self.record())).unwrap();
        if let Some(folder) = std::env::var_os("TACKWRIGHT_PAGES") {
            std::fs::write(std::path::Path::new(&folder).join(format!("{}.pdf", self.number)), &bytes)
                .unwrap();
        }
        let parts = Parts::of(attachments(&bytes).unwrap()).0;
        let chain = log::check(&parts.log);
        *completed::document(&parts, &chain, None).unwrap().customer.unwrap()
    }

    /// That the table has these rows, each as left and in order, every row once, and that
    /// whatever was judged stands somewhere.
    pub(crate) fn has_rows(&self, pages: &CustomerPages, names: &[&str]) {
        let rows = &pages.outcome.rows;
        for name in names {
            let own: Vec<_> = rows.iter().filter(|row| row.what == *name).collect();
            assert!(!own.is_empty(), "{} has no row {name}: {rows:#?}", self.number);
            assert!(own.iter().all(|row| row.left.is_some() && !row.bad), "{own:#?}");
        }
        let mut seen: Vec<(&str, Option<&str>)> =
            rows.iter().map(|r| (&*r.what, r.side.as_deref())).collect();
        let all = seen.len();
        seen.sort_unstable();
        seen.dedup();
        assert_eq!(seen.len(), all, "{} has a row twice", self.number);
        let read_again = |row: &&OutcomeRow| row.verdict == "not read again";
        let lost: Vec<_> = rows.iter().filter(read_again).map(|row| &row.what).collect();
        assert!(lost.is_empty(), "{}: found and never told as left: {lost:?}", self.number);
    }

    pub(crate) fn record(&self) -> String {
        format!("travelers/{0}/{0}-completed.pdf", self.number)
    }

    /// With every hash right and without its journal, a log that says otherwise is told by
    /// nobody as done, and not closed; it is put back then.
    pub(crate) fn is_not_done_by_a_log_written_anew(&mut self, part: &str, change: impl Fn(&mut Vec<Json>)) {
        let travelers = self.folder.path().join("travelers");
        let (log, journal) =
            (travelers.join(&self.number).join("log.jsonl"), travelers.join("journal.jsonl"));
        let kept = [&log, &journal].map(|path| std::fs::read(path).unwrap());
        let mut all = entries(&kept[0]);
        change(&mut all);
        std::fs::write(&log, log_of(&all)).unwrap();
        std::fs::remove_file(&journal).unwrap();
        let number = self.number.clone();
        let said = self.run(0, &["status", &number]);
        assert!(!said.out.contains("everything is done") && said.out.contains(part), "{}", said.out);
        let before = std::fs::read(&log).unwrap();
        let said = self.asked_to_close();
        assert!(said.code == 1 && said.err.contains("L233") && said.err.contains(part), "{}", said.err);
        assert!(std::fs::read(&log).unwrap() == before, "it was refused and wrote");
        [&log, &journal].into_iter().zip(kept).for_each(|(path, bytes)| std::fs::write(path, bytes).unwrap());
    }

    /// A photo no page can be set with, as an earlier version filed it: it stops the close, not
    /// the record of what is closed.
    pub(crate) fn is_not_closed_with_a_photo_no_page_is_set_with(&mut self) {
        const PRINT: &[u8] = include_bytes!("../cases/photos/print-colours.jpg");
        let number = self.number.clone();
        let traveler = self.folder.path().join("travelers").join(&number);
        let (log, journal) = (traveler.join("log.jsonl"), traveler.join("../journal.jsonl"));
        let kept = [&log, &journal].map(|path| std::fs::read(path).unwrap());
        std::fs::write(self.folder.path().join("camera.jpg"), PRINT).unwrap();
        let said = self.run(1, &["photo", &number, "10", "camera.jpg", "--shows", "as-left", "--by", "LO"]);
        assert_eq!(said.code, 0, "{}", said.err);
        let mut all = entries(&std::fs::read(&log).unwrap());
        let (n, photo) = (all.len(), &mut all.last_mut().unwrap()["what"]["photos"][0]);
        photo["sha256"] = tackwright::record::sha256(PRINT).into();
        photo["bytes"] = PRINT.len().into();
        let file = photo["file"].as_str().unwrap().to_owned();
        std::fs::write(traveler.join("photos").join(&file), PRINT).unwrap();
        std::fs::write(&log, log_of(&all)).unwrap();
        std::fs::remove_file(&journal).unwrap();
        let before = std::fs::read(&log).unwrap();
        let said = self.asked_to_close();
        let words = ["L355", "can't be made", &file, &format!("tackwright correct {number} {n} --by")];
        assert!(said.code == 1 && words.iter().all(|w| said.err.contains(w)), "{}", said.err);
        assert!(std::fs::read(&log).unwrap() == before, "it was refused and wrote");
        [&log, &journal].into_iter().zip(kept).for_each(|(path, bytes)| std::fs::write(path, bytes).unwrap());
    }
}
