//! A shop that fills the demonstration's paper as its frozen plan asks: every
//! reading, safety tick, initials and point in the order of the plan. Its clock
//! goes by the labour the plan estimates, in the hours a shop works; welds cool
//! before they are judged. It knows no wording of the procedures.

use std::collections::BTreeMap;
use std::path::PathBuf;

use chrono::{DateTime, Datelike, FixedOffset, TimeDelta, Timelike};
use serde_json::Value;

use super::bench::told;
use super::program::{Said, call, folder_with};
pub(crate) use super::story_values::value;
use super::story_values::{beside, exact, of, plain, wait_before};

/// A shop with one job, its clock and its people.
pub(crate) struct Shop {
    pub(crate) folder: tempfile::TempDir,
    pub(crate) now: DateTime<FixedOffset>,
    /// Minutes between two entries of the operation at hand.
    pace: i64,
    /// Entries so far.
    entered: i64,
    /// Operations whose entries told that a print of theirs is unproved, each time.
    pub(crate) unproved: Vec<String>,
    /// The last entry at an arc.
    arc: Option<DateTime<FixedOffset>>,
    /// The last entry at heat of a shift whose card is not closed, and how many shifts had
    /// theirs opened.
    heat: Option<DateTime<FixedOffset>>,
    shifts: u32,
    /// Whether the operation at hand burns or sparks: a new day of it has a card of its own.
    burns: bool,
    /// The last entry of all.
    last: DateTime<FixedOffset>,
    /// What was read, by operation key and reading.
    pub(crate) given: BTreeMap<(String, String), String>,
    /// The witness nobody came to, and the reading that was bad, are in the past.
    pub(crate) waived: bool,
    pub(crate) bad: bool,
    /// A word that opened a found condition by itself is in the past.
    pub(crate) worded: bool,
    pub(crate) book: toml::Table,
    /// Targets computed again from readings, as the slips print them.
    pub(crate) targets: BTreeMap<String, String>,
}

impl Shop {
    pub(crate) fn new() -> Self {
        let folder = folder_with("brush-truck.toml");
        let book = std::fs::read_to_string(folder.path().join("shop.toml")).unwrap();
        let now = DateTime::parse_from_rfc3339("2026-03-02T07:00:00-06:00").unwrap();
        Self {
            folder,
            now,
            last: now,
            pace: 3,
            entered: 0,
            unproved: Vec::new(),
            arc: None,
            heat: None,
            shifts: 0,
            burns: false,
            given: BTreeMap::new(),
            waived: false,
            bad: false,
            worded: false,
            book: toml::from_str(&book).unwrap(),
            targets: BTreeMap::new(),
        }
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn run(&self, args: &[&str], input: &str) -> Said {
        // 2026-05-01T00:00:00Z: the clock of somebody who looks at it later.
        self.run_at(args, input, 1_777_593_600)
    }

    /// As [`Self::run`], by the clock of the story.
    pub(crate) fn run_then(&self, args: &[&str], input: &str) -> Said {
        self.run_at(args, input, self.now.timestamp())
    }

    fn run_at(&self, args: &[&str], input: &str, clock: i64) -> Said {
        call(self.folder.path(), clock, args, input)
    }

    /// The watch stays its half hour, and the shift that ends closes its card on its day.
    fn close_card(&mut self) {
        let Some(heat) = self.heat.take() else { return };
        let end = (heat + TimeDelta::minutes(31)).max(self.last);
        let watched = (end - heat).num_minutes();
        let next = std::mem::replace(&mut self.now, end);
        self.write_card("hot-work-end", "watch-end", &format!("{watched} min"));
        self.now = end.max(next);
    }

    /// A card is opened before the first heat of a day.
    fn open_card(&mut self) {
        if self.heat.is_some_and(|heat| heat.date_naive() == self.now.date_naive()) {
            return;
        }
        self.close_card();
        self.shifts += 1;
        if self.shifts > 1 {
            let watch = written(&serde_json::json!({ "id": "hot-work" }), "watch").unwrap();
            self.write_card("hot-work", "watch", &watch);
        }
    }

    /// Writes into the box of the shift on a card.
    fn write_card(&mut self, operation: &str, id: &str, text: &str) {
        let id = format!("{id}.shift-{}", self.shifts);
        let what = format!("{operation}.{id}");
        let now = self.now.to_rfc3339();
        let mut args = vec!["measure", "TW-2041", &what, text, "--by", "WO", "--at", &now];
        if text.ends_with(" min") {
            args.extend(["--with", "SW-1"]);
        }
        let said = self.run_at(&args, "", self.now.timestamp());
        assert_eq!(said.code, 0, "{args:?}\n{}{}", said.out, said.err);
        self.given.insert((operation.to_owned(), id), text.to_owned());
    }

    /// Lets working time pass: Monday to Friday, 07:00 to 12:00 and 12:30 to 16:30.
    fn wait(&mut self, minutes: i64) {
        let mut left = minutes;
        loop {
            let (hour, minute) = (i64::from(self.now.hour()), i64::from(self.now.minute()));
            let weekend = matches!(self.now.weekday(), chrono::Weekday::Sat | chrono::Weekday::Sun);
            let at = hour * 60 + minute;
            let (end, next) = match at {
                _ if weekend || at >= 990 => (at, 24 * 60 + 420 - at),
                ..420 => (at, 420 - at),
                420..720 => (720, 30),
                720..750 => (at, 750 - at),
                _ => (990, 24 * 60 + 420 - 990),
            };
            let room = end - at;
            if room > left {
                self.now += TimeDelta::minutes(left);
                return;
            }
            left -= room;
            self.now += TimeDelta::minutes(room + next);
        }
    }

    /// What burns is begun where it can be ended the same day: one card, one watch.
    fn wait_for_room(&mut self, labour: i64) {
        let left = 990 - (i64::from(self.now.hour()) * 60 + i64::from(self.now.minute()));
        if labour > left && labour < 500 {
            self.wait(left);
        }
    }

    /// Lets the time pass that a reading waits for: cracks come late, and are looked for
    /// late; under its blanket a casting cools for hours.
    fn wait_for(&mut self, id: &str) {
        match id.split('.').next().unwrap() {
            "waited" => self.cool(25),
            "cooling" => self.cool(4),
            stem => self.wait(wait_before(stem)),
        }
    }

    /// Waits until so many hours after the last arc, and until the shop works.
    fn cool(&mut self, hours: i64) {
        if let Some(arc) = self.arc {
            self.now = self.now.max(arc + TimeDelta::hours(hours));
            self.wait(0);
        }
    }

    /// A call some minutes later in the story; it must end well.
    pub(crate) fn act(&mut self, args: &[&str], input: &str) -> Said {
        self.wait(self.pace);
        if self.burns {
            self.open_card();
            self.heat = Some(self.now);
        } else if self.heat.is_some_and(|heat| heat.date_naive() < self.now.date_naive()) {
            self.close_card();
        }
        let now = self.now;
        self.last = now;
        let at = now.to_rfc3339();
        let mut all = args.to_vec();
        all.extend(["--at", &at]);
        let said = self.run_at(&all, input, now.timestamp());
        assert_eq!(said.code, 0, "{all:?}\n{}{}", said.out, said.err);
        self.entered += 1;
        // A terminal wraps lines.
        let told = [&*said.out, &*said.err].join(" ").split_whitespace().collect::<Vec<_>>().join(" ");
        if told.contains("marks or cuts by a sheet") {
            self.unproved.push(args[2].split(['.', ':']).next().unwrap().to_owned());
        }
        said
    }

    /// A call that must be refused, with this in its message.
    pub(crate) fn no(&self, args: &[&str], part: &str) {
        let before = self.log();
        let said = self.run(args, "");
        assert_eq!(said.code, 1, "{args:?}\n{}{}", said.out, said.err);
        assert!(said.err.contains(part), "{args:?} says\n{}", said.err);
        assert_eq!(self.log(), before, "{args:?} was refused and wrote");
    }

    pub(crate) fn log(&self) -> Vec<u8> {
        std::fs::read(self.path("travelers/TW-2041/log.jsonl")).unwrap_or_default()
    }

    pub(crate) fn plan(&self, revision: &str) -> Vec<Value> {
        let text =
            std::fs::read_to_string(self.path(&format!("travelers/TW-2041/{revision}/plan.json"))).unwrap();
        let plan: Value = serde_json::from_str(&text).unwrap();
        plan["operations"].as_array().unwrap().clone()
    }

    pub(crate) fn status(&self) -> Value {
        let said = self.run(&["status", "TW-2041", "--on", "2026-03-25", "--json"], "");
        assert_eq!(said.code, 0, "{}", said.err);
        serde_json::from_str::<Value>(&said.out).unwrap()["travelers"][0].clone()
    }

    fn sign(&mut self, operation: &Value, side: &str) {
        let number = operation["number"].to_string();
        for point in operation[side].as_array().unwrap() {
            for role in point["roles"].as_array().unwrap() {
                let role = role.as_str().unwrap();
                let who = person(role);
                if point["kind"] == "witness" && !self.waived && role != "welder" && role != "fitter" {
                    self.waived = true;
                    let called = self.now.format("%H:%M");
                    let notice = format!("called by telephone at {called}, nobody within the half hour");
                    self.wait(30);
                    self.act(
                        &["sign", "TW-2041", &number, "--as", role, "--by", "WO", "--nobody-came", &notice],
                        "",
                    );
                } else if who == "LO" {
                    self.act(
                        &["sign", "TW-2041", &number, "--as", role, "--by", who, "--pin-stdin"],
                        "4711\n",
                    );
                } else {
                    self.act(&["sign", "TW-2041", &number, "--as", role, "--by", who], "");
                }
            }
        }
    }

    /// Does an operation as the frozen plan asks: points before, readings and safety
    /// ticks, initials, points after.
    pub(crate) fn operation(&mut self, operation: &Value) {
        let number = operation["number"].to_string();
        let who = person(operation["role"].as_str().unwrap());
        let acts = |word: &str| operation["acts"].as_array().unwrap().iter().any(|a| a == word);
        let hot = acts("arc") || acts("tack");
        let heats = hot || acts("grind") || acts("heat");
        self.pace = 3;
        self.sign(operation, "before");
        if operation["id"] == "hot-work-end" {
            self.close_card();
        }
        let labour = operation["minutes"].as_i64().unwrap();
        if heats {
            self.wait_for_room(labour);
            self.open_card();
            self.heat = Some(self.now);
        }
        self.burns = heats;
        if acts("accept") && !operation["joints"].as_array().unwrap().is_empty() {
            self.cool(4);
        }
        // The labour of the operation goes to its entries.
        let steps = operation["steps"].as_array().unwrap();
        let entries: usize = steps.iter().map(|s| s["readings"].as_array().unwrap().len().max(1)).sum();
        self.pace = (labour / i64::try_from(entries + 1).unwrap()).max(1);
        let before = self.entered;
        for step in operation["steps"].as_array().unwrap() {
            let by = match step["by"].as_str() {
                // The second person, with a set-up of their own.
                Some(role) if person(role) == who => "LO",
                Some(role) => person(role),
                None => who,
            };
            let readings = step["readings"].as_array().unwrap();
            // What nobody has to write is written where the story says so.
            let own = |r: &&Value| of(operation["id"].as_str().unwrap(), r["id"].as_str().unwrap()).is_some();
            let plain = |r: &&Value| r["choices"].as_array().is_none_or(Vec::is_empty);
            let shift = |r: &&Value| r["id"].as_str().unwrap().contains("shift-");
            for reading in
                readings.iter().filter(|r| r["level"] != "practice" || own(r) && plain(r) && !shift(r))
            {
                // A shift's card was closed on its day.
                let [key, id] = [&operation["key"], &reading["id"]].map(|k| k.as_str().unwrap().to_owned());
                if shift(&reading) && self.given.contains_key(&(key, id)) {
                    continue;
                }
                // A lot, a blanket laid on: words are written when there is time.
                let at_the_arc = reading["after_arc"].is_null() && !reading["limits"].is_null();
                self.burns = heats && (at_the_arc || !hot);
                if self.burns {
                    self.open_card();
                    self.heat = Some(self.now);
                }
                if self.found_word(operation, reading, by) {
                    continue;
                }
                self.wait_for(reading["id"].as_str().unwrap());
                let text = self.text(operation, reading);
                self.read(operation, reading, &text, by);
                // The blanket comes off when the arc has long been out.
                if hot && at_the_arc {
                    self.arc = Some(self.now);
                }
            }
            if step["level"] == "safety" && readings.is_empty() {
                self.act(&["tick", "TW-2041", &format!("{number}.{}", step["number"]), "--by", by], "");
            }
        }
        // Steps that write nothing down take their time as well: penetrant has to dwell.
        self.wait((labour - (self.entered - before + 1) * self.pace).max(0));
        if !operation["steps"].as_array().unwrap().is_empty() && operation["by_signature"] != true {
            self.act(&["tick", "TW-2041", &number, "--by", who], "");
        }
        self.burns = false;
        self.pace = 3;
        self.photograph(operation, who);
        if hot {
            // Cold before anybody judges it.
            self.arc = self.arc.max(Some(self.now - TimeDelta::minutes(5)).filter(|_| !covered(operation)));
            self.wait(60);
        }
        self.sign(operation, "after");
    }

    /// The unit before anything is loosened, and as it leaves.
    fn photograph(&mut self, operation: &Value, who: &str) {
        let (shows, lift) = match operation["id"].as_str().unwrap() {
            "record-as-found" => ("as-found", 0.0),
            "final-release" => ("as-left", 26.0),
            _ => return,
        };
        let file = format!("{shows}.png");
        std::fs::write(self.path(&file), super::picture::truck(lift)).unwrap();
        let number = operation["number"].to_string();
        self.act(&["photo", "TW-2041", &number, &file, "--shows", shows, "--by", who], "");
    }

    /// The fault reader tells a code that was not there on arrival: the word opens a found
    /// condition by itself, and the lead decides.
    fn found_word(&mut self, operation: &Value, reading: &Value, who: &str) -> bool {
        let choices = reading["choices"].as_array();
        let bad = choices.and_then(|c| c.iter().find(|c| c["does"] == "found"));
        let (Some(bad), false) = (bad, self.worded || reading["id"] != "codes") else { return false };
        self.worded = true;
        let before = self.conditions();
        let what = format!("{}.{}", operation["number"], reading["id"].as_str().unwrap());
        let said = self
            .act(&["measure", "TW-2041", &what, bad["word"].as_str().unwrap(), "--by", who, "--json"], "");
        let judged: Value = serde_json::from_str(&said.out).unwrap();
        assert_eq!(judged["verdict"], "not conform", "{what}");
        assert_eq!(self.conditions(), before + 1, "{what} opened a found condition");
        self.decide("use as is", "code of the lead unplugged for the weld; cleared, it stays away");
        true
    }

    /// Found conditions so far.
    fn conditions(&self) -> usize {
        String::from_utf8(self.log()).unwrap().matches("\"act\":\"found\"").count()
    }

    /// What a person writes into a box: a word that conforms, what the slip or the
    /// paper asks for, what agrees with the other side or the reading before.
    fn text(&self, operation: &Value, reading: &Value) -> String {
        let (key, id) = (operation["key"].as_str().unwrap(), reading["id"].as_str().unwrap());
        // What the clock says, not what would do.
        if let (true, Some(arc)) = (id == "waited", self.arc) {
            return format!("{}", (self.now - arc).num_hours());
        }
        if let Some(choices) = reading["choices"].as_array() {
            // The crack test is the one the job asks, by who is certified for it.
            let crack_test = id.split('.').next() == Some("cracks");
            let certified = |c: &&Value| {
                let tests = c["tests"].as_array();
                !crack_test || tests.is_some_and(|tests| tests.iter().all(|t| t == "penetrant"))
            };
            let good = choices.iter().filter(|c| c["does"] == "conforms").find(certified).unwrap();
            return told(good);
        }
        let given = |key: &str, id: &str| self.given.get(&(key.to_owned(), id.to_owned())).cloned();
        let limits = &reading["limits"];
        let asked = ["lower", "upper", "target"].iter().any(|l| !limits[l].is_null());
        let fixed = operation["id"] == "read-caster" && id.ends_with(".left");
        let near = &reading["near"]["to"];
        if let (Some(key), Some(id), false) = (near["operation"].as_str(), near["reading"].as_str(), fixed)
            && let Some(first) = given(key, id)
        {
            return beside(&first, 1.0, reading, &reading["near"]["within"]).unwrap_or(first);
        }
        if let (false, Some(stem)) = (reading["apart"].is_null(), id.strip_suffix(".right"))
            && let Some(left) = given(key, &format!("{stem}.left"))
        {
            return beside(&left, -1.0, reading, &reading["apart"]).unwrap_or(left);
        }
        match exact(operation, id).or_else(|| written(operation, id).filter(|_| !asked)) {
            Some(text) => text,
            None if limits.is_null() => "in order".to_owned(),
            // What the bench slip says, not what the paper said first.
            None => {
                let what = format!("{}.{id}", operation["number"]);
                self.targets.get(&what).cloned().unwrap_or_else(|| value(operation, reading))
            }
        }
    }

    fn read(&mut self, operation: &Value, reading: &Value, text: &str, who: &str) {
        let number = operation["number"].to_string();
        let id = reading["id"].as_str().unwrap();
        let what = format!("{number}.{id}");
        let tool = self.tool(reading, text);
        let mut with = Vec::new();
        if let Some(tool) = &tool {
            with.extend(["--with", tool]);
        }
        if !self.bad && id.starts_with("final") && !reading["limits"]["lower"].is_null() {
            self.bad = true;
            self.bad_reading(&what, text, who, &with);
            return;
        }
        let args = ["measure", "TW-2041", &what, text, "--by", who, "--json"];
        let said = self.act(&[&args[..], &with].concat(), "");
        let judged: Value = serde_json::from_str(&said.out).unwrap();
        for target in judged["targets"].as_array().unwrap() {
            let place = format!("{}.{}", target["operation"], target["reading"].as_str().unwrap());
            if let Some(now) = plain(target["now"].as_str().unwrap()) {
                self.targets.insert(place, now);
            }
        }
        assert_ne!(judged["verdict"], "not conform", "{what} {text}: {}", judged["words"]);
        self.given.insert((operation["key"].as_str().unwrap().to_owned(), id.to_owned()), text.to_owned());
        if operation["id"] == "read-caster" && id == "second.left" {
            self.recomputed(&judged);
        }
    }

    /// A torque a tenth short, tightened and read again; a lead decides.
    fn bad_reading(&mut self, what: &str, text: &str, who: &str, with: &[&str]) {
        let (number, unit) = text.split_once(' ').unwrap();
        let short = format!("{:.0} {unit}", number.parse::<f64>().unwrap() * 0.8);
        let args = |text: &str| ["measure", "TW-2041", what, text, "--by", who, "--json"].map(str::to_owned);
        let call = |shop: &mut Self, args: &[String], more: &[&str]| {
            let all: Vec<&str> = args.iter().map(String::as_str).chain(more.iter().copied()).collect();
            let said = shop.act(&all, "");
            serde_json::from_str::<Value>(&said.out).unwrap()["verdict"].clone()
        };
        assert_eq!(call(self, &args(&short), with), "not conform", "{what} {short}");
        self.act(&["found", "TW-2041", what, "pulled before the stages were done", "--by", who], "");
        self.decide("rework", "tightened in its stages and read again");
        assert_eq!(call(self, &args(text), &[with, &["--again"]].concat()), "conform", "{what} {text}");
    }

    /// The lead decides what was found last.
    pub(crate) fn decide(&mut self, disposition: &str, reason: &str) {
        let found = format!("F{}", self.conditions());
        let args = ["dispose", "TW-2041", &found, disposition, "--by", "LO", "--reason", reason];
        self.act(&[&args[..], &["--pin-stdin"]].concat(), "4711\n");
    }

    /// The instrument of the book for a reading: the kind the paper names, and
    /// for a torque the wrench whose range takes it.
    fn tool(&self, reading: &Value, text: &str) -> Option<String> {
        let limits = &reading["limits"];
        if limits.is_null() {
            return None;
        }
        let named = reading["instrument"].as_str().unwrap_or_default().to_lowercase();
        // What is copied has no instrument, and hours are counted on the wall's, which nobody
        // lists.
        if ["maker's data", "clock"].contains(&named.as_str()) {
            return None;
        }
        if limits["kind"] == "torque" {
            let torque: f64 = text.split(' ').next().unwrap().parse().unwrap();
            return Some(if torque < 60.0 { "TW-1" } else { "TW-3" }.to_owned());
        }
        // The one that tells time.
        if named.contains("clock") {
            return Some("SW-1".to_owned());
        }
        let kind = tackwright::quantity::Kind::ALL
            .iter()
            .find(|k| limits["kind"].as_str() == Some(k.word()))
            .copied()
            .unwrap();
        let read = |text: &str| tackwright::quantity::parse::quantity(kind, text).map_or(0.0, |q| q.si());
        let fits = |i: &&toml::Value| {
            let end = |key: &str| i.get(key).and_then(toml::Value::as_str).map(read);
            limits["kind"] == "number"
                || limits["kind"] == "length" && i["measures"].as_str() == Some("length") && read(text) == 0.0
                || i["measures"].as_str() == limits["kind"].as_str()
                    && end("least").is_none_or(|l| l <= read(text))
                    && end("most").is_none_or(|m| m >= read(text))
        };
        let all = self.book["instrument"].as_array().unwrap();
        let by_name = all.iter().filter(fits).filter(|i| named.contains(i["kind"].as_str().unwrap()));
        let fine = |i: &&toml::Value| read(i["resolution"].as_str().unwrap());
        // What goes across a frame is read by what reaches: the shop has no trammel.
        if named.contains("trammel") {
            return Some("TP-2".to_owned());
        }
        by_name
            .min_by(|a, b| fine(a).total_cmp(&fine(b)))
            .or_else(|| all.iter().filter(fits).min_by(|a, b| fine(a).total_cmp(&fine(b))))
            .map(|i| i["id"].as_str().unwrap().to_owned())
    }

    /// After both caster readings: rotation = target minus their mean.
    fn recomputed(&self, judged: &Value) {
        let figures = judged["figures"].as_array().unwrap();
        let rotation = figures
            .iter()
            .find(|f| {
                f["what"].as_str().unwrap().contains("front left")
                    && f["formula"].as_str().unwrap().contains("target")
            })
            .unwrap_or_else(|| panic!("no rotation in {figures:#?}"));
        let shown: f64 = rotation["now"].as_str().unwrap().split('°').next().unwrap().trim().parse().unwrap();
        let mean = (CASTER.0 + CASTER.1) / 2.0;
        assert!((shown - (6.0 - mean)).abs() < 0.06, "{shown} for a mean of {mean}");
        assert!(!judged["targets"].as_array().unwrap().is_empty());
        let slip = self.folder.path().join(judged["slip"].as_str().unwrap());
        let pages = crate::support::pdf::pages(&std::fs::read(slip).unwrap());
        assert_eq!(pages.len(), 1, "the slip is one page");
        let now = crate::support::pdf::squeeze(rotation["now"].as_str().unwrap());
        assert!(pages[0].text().contains(&now), "{now} is not on the slip");
    }
}

/// Whether a weld is read again after it cooled: its last entry is of no arc.
fn covered(operation: &Value) -> bool {
    let steps = operation["steps"].as_array().unwrap();
    steps.iter().flat_map(|s| s["readings"].as_array().unwrap()).any(|r| !r["after_arc"].is_null())
}

/// Caster read twice on the left, in degrees.
pub(super) const CASTER: (f64, f64) = (-5.4, -5.3);

pub(crate) fn person(role: &str) -> &'static str {
    match role {
        "lead" => "LO",
        "inspector" => "IO",
        "customer" => "CR",
        _ => "WO",
    }
}

/// What the people of the story write, from `tests/cases/story.toml`.
pub(crate) fn written(operation: &Value, id: &str) -> Option<String> {
    match id.split('.').next().unwrap() {
        "lot" => return Some("7A-4471".to_owned()),
        "heat" => return Some("H-20931; existing part".to_owned()),
        _ => {}
    }
    of(operation["id"].as_str().unwrap(), id).or_else(|| of("any", id))
}
