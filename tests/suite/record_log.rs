//! The log: nothing lost, nothing changed unseen.
//!
//! Scale up with `TACKWRIGHT_KILLS=1000` and `TACKWRIGHT_ENTRIES=1000`.

use std::io;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset};
use tackwright::app::record::files::LogFile;
use tackwright::record::entry::{Action, At, By, Entry};
use tackwright::record::log::{Checking, Log, LogError, New, Store, Told, check};
use tackwright::record::sha256;

fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

fn tick(number: u32, by: &str) -> New {
    New {
        at: at("2026-03-02T08:00:00-06:00"),
        by: By { id: by.to_owned(), name: format!("Person {by}"), role: "fitter".to_owned() },
        corrects: None,
        what: Action::Tick {
            operation: At { key: format!("front/op-{number}"), number },
            rests_on: Vec::new(),
            step: Some(1),
        },
        told: Told::default(),
    }
}

/// A store in memory that can run out of room.
#[derive(Debug, Default, Clone)]
struct Memory {
    bytes: Vec<u8>,
    aside: Vec<Vec<u8>>,
    room: Option<usize>,
    cut_fails: bool,
    read: u64,
}

impl Store for Memory {
    fn size(&mut self) -> io::Result<u64> {
        Ok(self.bytes.len() as u64)
    }
    fn read(&mut self, from: u64, length: u64) -> io::Result<Vec<u8>> {
        self.read += length;
        let from = usize::try_from(from).unwrap();
        Ok(self.bytes[from..from + usize::try_from(length).unwrap()].to_vec())
    }
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        let fits =
            self.room.map_or(bytes.len(), |room| room.saturating_sub(self.bytes.len()).min(bytes.len()));
        self.bytes.extend_from_slice(&bytes[..fits]);
        if fits < bytes.len() { Err(io::Error::from(io::ErrorKind::StorageFull)) } else { Ok(()) }
    }
    fn cut(&mut self, size: u64) -> io::Result<()> {
        if self.cut_fails {
            return Err(io::Error::from(io::ErrorKind::StorageFull));
        }
        self.bytes.truncate(usize::try_from(size).unwrap());
        Ok(())
    }
    fn set_aside(&mut self, bytes: &[u8]) -> io::Result<String> {
        self.aside.push(bytes.to_vec());
        Ok(format!("torn-{}", self.aside.len()))
    }
}

impl Store for &mut Memory {
    fn size(&mut self) -> io::Result<u64> {
        (**self).size()
    }
    fn read(&mut self, from: u64, length: u64) -> io::Result<Vec<u8>> {
        (**self).read(from, length)
    }
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        (**self).append(bytes)
    }
    fn cut(&mut self, size: u64) -> io::Result<()> {
        (**self).cut(size)
    }
    fn set_aside(&mut self, bytes: &[u8]) -> io::Result<String> {
        (**self).set_aside(bytes)
    }
}

fn written(entries: u32) -> Memory {
    let mut memory = Memory::default();
    for n in 1..=entries {
        Log::open(&mut memory).unwrap().append(&tick(n, "WO")).unwrap();
    }
    memory
}

#[test]
fn entries_are_chained_and_canonical() {
    let memory = written(3);
    let text = String::from_utf8(memory.bytes.clone()).unwrap();
    let chain = check(&memory.bytes);
    assert!(chain.damage.is_none() && chain.torn == 0);
    assert_eq!(chain.entries.len(), 3);
    let mut prev = "0".repeat(64);
    for line in text.lines() {
        // By hand, apart from the code under test.
        let body = line.strip_prefix("{\"entry\":").unwrap();
        let (body, rest) = body.split_at(body.len() - 75);
        let hash = rest.strip_prefix(",\"hash\":\"").unwrap().strip_suffix("\"}").unwrap();
        assert_eq!(hash, sha256(body.as_bytes()));
        let json: serde_json::Value = serde_json::from_str(body).unwrap();
        assert_eq!(json["prev"], prev.as_str());
        let keys: Vec<&String> = json.as_object().unwrap().keys().collect();
        let mut sorted = keys.clone();
        sorted.sort();
        assert_eq!(keys, sorted, "keys are sorted");
        assert_eq!(json.to_string(), body, "no white space, shortest escapes");
        prev = hash.to_owned();
    }
}

#[test]
fn every_flip_of_every_byte_is_seen() {
    let memory = written(5);
    let whole = check(&memory.bytes).entries;
    for i in 0..memory.bytes.len() {
        for bit in 0..8 {
            let mut bytes = memory.bytes.clone();
            bytes[i] ^= 1 << bit;
            let chain = check(&bytes);
            assert!(
                chain.damage.is_some() || chain.torn > 0,
                "bit {bit} of byte {i} went unseen: {} entries of {}",
                chain.entries.len(),
                whole.len()
            );
        }
    }
}

#[test]
fn lines_left_out_doubled_or_swapped_are_seen() {
    let memory = written(4);
    let lines: Vec<&[u8]> = memory.bytes.split_inclusive(|b| *b == b'\n').collect();
    for order in [vec![0, 2, 3], vec![0, 1, 1, 2, 3], vec![1, 0, 2, 3], vec![1, 2, 3]] {
        let bytes: Vec<u8> = order.iter().flat_map(|i| lines[*i].to_vec()).collect();
        assert!(check(&bytes).damage.is_some(), "{order:?}");
    }
}

#[test]
fn a_full_disk_leaves_the_log_as_it_was() {
    let before = written(2);
    let line = written(3).bytes.len() - before.bytes.len();
    for room in 0..line {
        for cut_fails in [false, true] {
            let mut memory = before.clone();
            memory.room = Some(before.bytes.len() + room);
            memory.cut_fails = cut_fails;
            let error = Log::open(&mut memory).unwrap().append(&tick(3, "WO")).unwrap_err();
            assert!(matches!(error, LogError::Io(_)), "{error}");
            if !cut_fails {
                assert_eq!(memory.bytes, before.bytes);
            }
            // Room again: the torn line is set aside, and the record says so.
            memory.room = None;
            memory.cut_fails = false;
            let mut log = Log::open(&mut memory).unwrap();
            let torn = cut_fails && room > 0;
            assert_eq!(log.torn(), torn.then_some(room));
            let done = log.append(&tick(3, "WO")).unwrap();
            assert_eq!(done.warnings.len(), usize::from(torn), "{:?}", done.warnings);
            let chain = check(&memory.bytes);
            assert!(chain.damage.is_none() && chain.torn == 0);
            assert_eq!(chain.entries.len(), if torn { 4 } else { 3 });
            if torn {
                assert!(
                    matches!(&chain.entries[2].what, Action::TornLine { bytes, .. } if *bytes == room as u64)
                );
                assert_eq!(memory.aside.len(), 1);
                assert_eq!(memory.aside[0].len(), room);
            }
        }
    }
}

#[test]
fn a_damaged_last_line_is_not_continued() {
    let mut memory = written(3);
    let place = memory.bytes.len() - 100;
    memory.bytes[place] ^= 1;
    assert!(matches!(Log::open(&mut memory), Err(LogError::Damaged(..))));
}

#[test]
fn a_clock_set_back_is_said_and_the_order_kept() {
    let mut memory = written(2);
    let mut late = tick(3, "WO");
    late.at = at("2026-03-02T07:00:00-06:00");
    let done = Log::open(&mut memory).unwrap().append(&late).unwrap();
    assert!(done.warnings[0].contains("entered afterwards, or a clock was set back"), "{:?}", done.warnings);
    let chain = check(&memory.bytes);
    assert_eq!(chain.set_back, vec![3]);
    assert!(chain.damage.is_none());
    // The same moment at another offset is not set back.
    let mut same = tick(4, "WO");
    same.at = at("2026-03-02T15:00:00+01:00");
    assert!(Log::open(&mut memory).unwrap().append(&same).unwrap().warnings.is_empty());
}

/// Many entries at once, without a disk behind them.
fn long(entries: u64) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut prev = "0".repeat(64);
    for n in 1..=entries {
        let new = tick(u32::try_from(n % 80).unwrap() * 10, "WO");
        let entry = Entry {
            at: "2026-03-02T08:00:00-06:00".to_owned(),
            book: None,
            by: new.by,
            clock: None,
            corrects: None,
            identified: None,
            n,
            prev,
            taken_in: None,
            undoes: None,
            what: new.what,
        };
        let (line, hash) = entry.line().unwrap();
        bytes.extend_from_slice(&line);
        prev = hash;
    }
    bytes
}

#[test]
fn a_long_log_appends_as_fast_as_a_short_one_and_is_checked_in_a_second() {
    let appended = |entries: u64| {
        let mut memory = Memory { bytes: long(entries), ..Memory::default() };
        let done = Log::open(&mut memory).unwrap().append(&tick(1, "WO")).unwrap();
        assert_eq!(done.n, entries + 1);
        memory
    };
    let short = appended(1_000);
    let long = appended(100_000);
    assert_eq!(short.read, long.read, "bytes read for one append");
    let start = Instant::now();
    let chain = check(&long.bytes);
    let state = tackwright::record::state::fold(&chain.entries);
    let took = start.elapsed();
    assert!(chain.damage.is_none());
    assert_eq!(state.entries, 100_001);
    // A second on an idle machine; tests share this one with builds.
    assert!(took < Duration::from_secs(4), "{took:?}");
}

#[test]
fn a_log_that_comes_in_pieces_is_checked_as_a_whole_one() {
    let good = long(700);
    let mut changed = good.clone();
    changed[good.len() / 2] ^= 1;
    let torn = [good.as_slice(), b"{\"entry\":{"].concat();
    let changed_and_torn = [changed.as_slice(), b"{\"entry\""].concat();
    for (name, bytes) in [
        ("good", good),
        ("changed", changed),
        ("torn", torn),
        ("both", changed_and_torn),
        ("none", Vec::new()),
    ] {
        let whole = check(&bytes);
        for size in [1, 7, 4096, 100_000] {
            let mut checking = Checking::default();
            bytes.chunks(size).for_each(|piece| checking.take(piece));
            let pieces = checking.end();
            assert_eq!(pieces.entries, whole.entries, "{name}, {size}");
            assert_eq!(pieces.hashes, whole.hashes, "{name}, {size}");
            assert_eq!((pieces.damage, pieces.torn), (whole.damage.clone(), whole.torn), "{name}, {size}");
        }
        assert_eq!(whole.damage.is_some(), name == "changed" || name == "both");
        assert_eq!(whole.torn > 0, name == "torn" || name == "both");
    }
}

/// Runs as another process when the environment says so; see [`child`].
#[test]
fn child_appends() {
    let Some(path) = std::env::var_os("TACKWRIGHT_TEST_LOG") else { return };
    let count: u32 = std::env::var("TACKWRIGHT_TEST_COUNT").unwrap().parse().unwrap();
    let name = std::env::var("TACKWRIGHT_TEST_NAME").unwrap();
    let confirmed = std::env::var_os("TACKWRIGHT_TEST_CONFIRM").map(PathBuf::from);
    for n in 1..=count {
        let mut log = Log::open(LogFile::open(Path::new(&path)).unwrap()).unwrap();
        let done = log.append(&tick(n, &name)).unwrap();
        drop(log);
        if let Some(confirmed) = &confirmed {
            use std::io::Write;
            let mut file = std::fs::OpenOptions::new().create(true).append(true).open(confirmed).unwrap();
            // One call, so that a kill can't leave half a line.
            file.write_all(format!("{} {}\n", done.n, done.hash).as_bytes()).unwrap();
        }
    }
}

fn child(log: &Path, name: &str, count: u32, confirm: Option<&Path>) -> Child {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command
        .args(["--exact", "record_log::child_appends", "--test-threads=1"])
        .env("TACKWRIGHT_TEST_LOG", log)
        .env("TACKWRIGHT_TEST_NAME", name)
        .env("TACKWRIGHT_TEST_COUNT", count.to_string())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    if let Some(confirm) = confirm {
        command.env("TACKWRIGHT_TEST_CONFIRM", confirm);
    }
    command.spawn().unwrap()
}

fn scale(name: &str, usual: u32) -> u32 {
    std::env::var(name).ok().and_then(|v| v.parse().ok()).unwrap_or(usual)
}

#[test]
fn eight_processes_lose_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let log = folder.path().join("log.jsonl");
    let each = scale("TACKWRIGHT_ENTRIES", 40);
    let mut children: Vec<Child> = (0..8).map(|i| child(&log, &format!("P{i}"), each, None)).collect();
    for child in &mut children {
        assert!(child.wait().unwrap().success());
    }
    let chain = check(&std::fs::read(&log).unwrap());
    assert!(chain.damage.is_none() && chain.torn == 0, "{:?}", chain.damage);
    assert_eq!(chain.entries.len(), 8 * each as usize);
    for i in 0..8 {
        let mine: Vec<u32> = chain
            .entries
            .iter()
            .filter(|e| e.by.id == format!("P{i}"))
            .filter_map(|e| match &e.what {
                Action::Tick { operation, .. } => Some(operation.number),
                _ => None,
            })
            .collect();
        assert_eq!(mine, (1..=each).collect::<Vec<_>>(), "P{i}: all of them, in order");
    }
}

#[test]
fn a_killed_process_leaves_a_whole_log() {
    let folder = tempfile::tempdir().unwrap();
    let log = folder.path().join("log.jsonl");
    let confirm = folder.path().join("confirmed");
    for kill in 0..scale("TACKWRIGHT_KILLS", 40) {
        let mut child = child(&log, "K", 100_000, Some(&confirm));
        std::thread::sleep(Duration::from_millis(5 + u64::from(kill * 7 % 40)));
        child.kill().unwrap();
        child.wait().unwrap();
        let bytes = std::fs::read(&log).unwrap_or_default();
        let chain = check(&bytes);
        assert!(chain.damage.is_none(), "after kill {kill}: {:?}", chain.damage);
    }
    // One more entry sets aside whatever is torn, and all that was confirmed is there.
    Log::open(LogFile::open(&log).unwrap()).unwrap().append(&tick(1, "K")).unwrap();
    let chain = check(&std::fs::read(&log).unwrap());
    assert!(chain.damage.is_none() && chain.torn == 0);
    let confirmed = std::fs::read_to_string(&confirm).unwrap_or_default();
    let lines: Vec<&str> =
        confirmed.split_inclusive('\n').filter(|l| l.ends_with('\n')).map(str::trim).collect();
    assert!(!lines.is_empty(), "the children never got to write");
    for line in lines {
        let (n, hash) = line.split_once(' ').unwrap();
        let n: usize = n.parse().unwrap();
        assert_eq!(chain.hashes[n - 1], hash, "entry {n} was confirmed");
    }
}
