//! A shop's bench in a folder: a job, its book, and the program run there.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use serde_json::Value as Json;

pub(crate) use super::program::Said;
use super::program::{Left, call, folder_with};

/// A folder with the demonstration job and book.
pub(crate) struct Bench {
    folder: tempfile::TempDir,
    /// The clock, seconds since 1970.
    pub(crate) now: i64,
}

/// 2026-03-02T14:00:00Z, the day the demonstration is issued.
pub(crate) const START: i64 = 1_772_460_000;

impl Bench {
    pub(crate) fn new() -> Self {
        Self { folder: folder_with("brush-truck.toml"), now: START }
    }

    /// A bench with the smallest job under the same number, for what is issued often.
    pub(crate) fn small() -> Self {
        let bench = Self { folder: folder_with("hoist-frame.toml"), now: START };
        bench.edit("job.toml", "\"TW-2055\"", "\"TW-2041\"");
        bench
    }

    /// A bench with the trailer's job.
    pub(crate) fn trailer() -> Self {
        Self { folder: folder_with("pump-trailer.toml"), now: START }
    }

    /// A bench on which the job was issued, and nothing done since.
    pub(crate) fn issued() -> Self {
        static LEFT: OnceLock<Left> = OnceLock::new();
        Self::like(&LEFT, |bench| {
            bench.yes(&["issue", "job.toml"]);
        })
    }

    /// A bench as `work` leaves a new one; the first test that asks does the work.
    pub(crate) fn like(left: &OnceLock<Left>, work: impl FnOnce(&Self)) -> Self {
        let left = left.get_or_init(|| {
            let bench = Self::new();
            work(&bench);
            Left::of(bench.folder.path())
        });
        Self { folder: left.again(), now: START }
    }

    /// A path on the bench.
    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn read(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    pub(crate) fn text(&self, name: &str) -> String {
        String::from_utf8(self.read(name)).unwrap()
    }

    pub(crate) fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }

    /// Changes a text of a file; it must be there.
    pub(crate) fn edit(&self, name: &str, from: &str, to: &str) {
        let text = self.text(name);
        assert!(text.contains(from), "{name} has no {from}");
        self.write(name, text.replacen(from, to, 1));
    }

    pub(crate) fn run(&self, args: &[&str]) -> Said {
        self.typed(args, "")
    }

    /// Runs the program with something on its standard input.
    pub(crate) fn typed(&self, args: &[&str], input: &str) -> Said {
        call(self.folder.path(), self.now, args, input)
    }

    /// A call that must end well.
    pub(crate) fn yes(&self, args: &[&str]) -> Said {
        let said = self.run(args);
        assert_eq!(said.code, 0, "{args:?}\n{}{}", said.out, said.err);
        said
    }

    /// A call that must be refused with these words, and leave every file on the
    /// bench as it was.
    pub(crate) fn no(&self, args: &[&str], part: &str) -> Said {
        let before = self.everything();
        let said = self.run(args);
        assert_eq!(said.code, 1, "{args:?}\n{}{}", said.out, said.err);
        assert!(said.err.contains(part), "{args:?} says\n{}", said.err);
        assert!(self.everything() == before, "{args:?} was refused and wrote");
        said
    }

    pub(crate) fn json(&self, args: &[&str]) -> Json {
        let said = self.run(args);
        serde_json::from_str(&said.out).unwrap_or_else(|e| panic!("{args:?}: {e}: {}{}", said.out, said.err))
    }

    /// Enters all that comes before the first operation with this reading, and gives
    /// the place of the reading: `70.pinion`.
    pub(crate) fn fill_before(&self, id: &str) -> String {
        let plan: Json = serde_json::from_slice(&self.read("travelers/TW-2041/A/plan.json")).unwrap();
        let who = |role: &str| match role {
            "lead" => "LO",
            "inspector" => "IO",
            "customer" => "CR",
            _ => "WO",
        };
        for operation in plan["operations"].as_array().unwrap() {
            let number = operation["number"].to_string();
            let steps = operation["steps"].as_array().unwrap();
            let readings = || steps.iter().flat_map(|s| s["readings"].as_array().unwrap());
            if readings().any(|r| r["id"] == id) {
                return format!("{number}.{id}");
            }
            let by = who(operation["role"].as_str().unwrap());
            for reading in readings().filter(|r| r["level"] != "practice") {
                let place = format!("{number}.{}", reading["id"].as_str().unwrap());
                let (text, tool) = good(reading);
                let mut args = vec!["measure", "TW-2041", &place, &text, "--by", by];
                args.extend(tool.iter().flat_map(|t| ["--with", t]));
                self.yes(&args);
            }
            for step in steps {
                if step["level"] == "safety" && step["readings"].as_array().unwrap().is_empty() {
                    self.yes(&["tick", "TW-2041", &format!("{number}.{}", step["number"]), "--by", by]);
                }
            }
            self.yes(&["tick", "TW-2041", &number, "--by", by]);
            for point in operation["after"].as_array().unwrap() {
                for role in point["roles"].as_array().unwrap() {
                    let (role, number) = (role.as_str().unwrap(), point["number"].as_str().unwrap());
                    self.yes(&["sign", "TW-2041", number, "--as", role, "--by", who(role)]);
                }
            }
        }
        panic!("no operation has the reading {id}");
    }

    /// Every file and folder on the bench with its bytes, sorted.
    pub(crate) fn everything(&self) -> Vec<(PathBuf, Vec<u8>)> {
        fn walk(folder: &Path, found: &mut Vec<(PathBuf, Vec<u8>)>) {
            for entry in std::fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    walk(&path, found);
                    found.push((path, Vec::new()));
                } else {
                    let bytes = std::fs::read(&path).unwrap();
                    found.push((path, bytes));
                }
            }
        }
        let mut found = Vec::new();
        walk(self.folder.path(), &mut found);
        found.sort();
        found
    }
}

/// A choice as it is answered with: behind one that rests on a paper, the paper.
pub(crate) fn told(choice: &Json) -> String {
    let paper = if choice["paper"] == true { ": sheet 7, 2026-02-20" } else { "" };
    format!("{}{paper}", choice["word"].as_str().unwrap())
}

/// The plate and the odometer of the unit of the truck's job.
pub(crate) const UNIT: &str = "UV-7-114, 84 210 mi";

/// What a box of words is answered with: the unit is the one of the job.
fn text_of(id: &str) -> String {
    match id {
        "identity" => UNIT,
        "meter" => "84 230 mi",
        id if id == "lot" || id.starts_with("lot.") => "7A-4471",
        _ => "as told",
    }
    .to_owned()
}

/// A value that conforms, as far as the paper says what does, and what it is read with.
pub(crate) fn good(reading: &Json) -> (String, Option<&'static str>) {
    let word = reading["choices"].as_array().and_then(|c| c.iter().find(|c| c["does"] == "conforms"));
    let limits = &reading["limits"];
    let usual = |end: &str| reading["usual"][end]["si"].as_f64();
    let usual = usual("least").zip(usual("most")).map(|(least, most)| (least + most) / 2.0);
    match (word, limits["kind"].as_str()) {
        (Some(word), _) => (told(word), None),
        (_, None) => (text_of(reading["id"].as_str().unwrap_or_default()), None),
        (_, Some("angle")) => {
            let end = |name: &str| limits[name]["si"].as_f64();
            let middle = end("lower").zip(end("upper")).map(|(low, high)| (low + high) / 2.0);
            // As the job states it: what is far from that is asked back.
            let si = middle.or(reading["expected"]["si"].as_f64()).or(usual).unwrap_or(0.0);
            (format!("{:.1} deg", si.to_degrees()), Some("AF-1"))
        }
        (_, Some(_)) if limits["lower"].is_null() && !limits["upper"].is_null() => {
            ("0 in".to_owned(), Some("TP-2"))
        }
        (_, Some("length")) => {
            let caliper = reading["instrument"].as_str().is_some_and(|i| i.contains("caliper"));
            let inch = reading["expected"]["si"].as_f64().or(usual).map(|si| si / 0.0254);
            let plain = if caliper { 1.75 } else { 93.0 };
            // No finer than its marks.
            let (tool, places) = if caliper { ("CA-1", 3) } else { ("TP-2", 2) };
            (format!("{:.places$} in", inch.unwrap_or(plain)), Some(tool))
        }
        (_, Some(_)) => ("93 in".to_owned(), Some("TP-2")),
    }
}
