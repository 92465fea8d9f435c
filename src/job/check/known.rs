//! Names the tables must know: threads, grades, finishes, steels, processes,
//! fillers. A name of one's own is given as numbers, with where they come from.

use super::at;
use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::file::{Located, Text};
use crate::job::JobFile;
use crate::job::model::{Fastener, Joint};
use crate::reference::other_metal::{self, OtherMetal};
use crate::reference::{electrode, friction, grade, metal, nut, process, thread};

/// Finishes as a person writes them.
const FINISHES: &[&str] = &[
    "plain",
    "dry",
    "black",
    "oiled",
    "zinc",
    "zinc-waxed",
    "galvanized",
    "cadmium",
    "stainless",
    "ptfe",
    "anti-seize",
    "moly",
    "locking-compound",
    "unknown",
];

/// Processes as a person writes them.
const PROCESSES: &[&str] = &["GMAW", "FCAW", "SMAW", "GTAW", "SAW"];

pub(super) fn check(job: &JobFile, report: &mut Report) {
    for axle in &job.axle {
        let steel = axle.tube.as_ref().and_then(|t| t.steel.as_ref());
        if another_metal(steel, report) {
            continue;
        }
        let own = "a steel of your own: left out here, cet and values_from in its joints";
        unknown("steel", "J171", steel, |s| metal::find(s).is_some(), metal::words(), own, report);
    }
    for joint in &job.joint {
        let first = report.problems.len();
        of_joint(joint, report);
        let words = [
            Word { what: "a process", text: joint.process.as_ref(), known: |s| process::find(s).is_some() },
            Word { what: "a filler", text: joint.filler.as_ref(), known: |s| electrode::find(s).is_some() },
            Word { what: "a steel", text: joint.steel.as_ref(), known: |s| metal::find(s).is_some() },
            Word { what: "a steel", text: joint.other_steel.as_ref(), known: |s| metal::find(s).is_some() },
        ];
        misplaced(&words, report.problems.get_mut(first..).unwrap_or_default());
    }
    for fastener in &job.fastener {
        let first = report.problems.len();
        of_fastener(fastener, report);
        let words = [
            Word { what: "a thread", text: fastener.thread.as_ref(), known: |s| thread::find(s).is_some() },
            Word { what: "a grade", text: fastener.grade.as_ref(), known: |s| !grade::find(s).is_empty() },
            Word {
                what: "a finish",
                text: fastener.finish.as_ref(),
                known: |s| friction::finish(s).is_some(),
            },
        ];
        misplaced(&words, report.problems.get_mut(first..).unwrap_or_default());
    }
}

/// A word of a table, and whether its own kind of names has it.
struct Word<'a> {
    what: &'static str,
    text: Option<&'a Located<Text>>,
    known: fn(&str) -> bool,
}

/// Tells a name that is unknown where it stands and known as another key's: swapped with
/// that key's own name, or only in the wrong place.
fn misplaced(words: &[Word<'_>], problems: &mut [Diagnostic]) {
    for problem in problems {
        let Some(own) = words.iter().find(|w| w.text.is_some_and(|t| t.key == problem.key)) else { continue };
        let Some(text) = own.text else { continue };
        let Some(place) = words.iter().find(|w| w.what != own.what && (w.known)(&text.value)) else {
            continue;
        };
        problem.help.insert(0, format!("\"{}\" is {}", &*text.value, place.what));
        let Some(other) = place.text else { continue };
        let (key, of) = (super::name(text), super::name(other));
        problem.example = if (own.known)(&other.value) {
            format!("{key} = \"{}\" and {of} = \"{}\"", &*other.value, &*text.value)
        } else {
            format!("{key} = \"…\"")
        };
    }
}

/// The family of a name, where it is no carbon or low-alloy steel, nor a filler for it.
fn other(text: Option<&Located<Text>>) -> Option<OtherMetal> {
    let name = &*text?.value;
    match metal::find(name) {
        Some(_) => known_iron(text?).then_some(OtherMetal::CastIron),
        None => other_metal::family(name),
    }
}

/// Whether a name is that of an iron of the tables.
fn known_iron(text: &Located<Text>) -> bool {
    metal::find(&text.value).is_some_and(|known| known.form == metal::Form::Iron)
}

/// Refuses a metal no figure here holds for: own numbers make no steel of it.
fn another_metal(text: Option<&Located<Text>>, report: &mut Report) -> bool {
    let (Some(text), Some(other)) = (text, other(text)) else { return false };
    let metal = other.words();
    let key = super::name(text);
    let filler = key == "filler";
    let what = if filler { "a filler for" } else { "no carbon or low-alloy steel, but" };
    let problem = Diagnostic::error("J283", format!("\"{}\" is {what} {metal}", &*text.value))
        .expected(match filler {
            true => "a filler for carbon and low-alloy steel",
            false => {
                "a carbon or low-alloy steel: preheat, heat input and sizes here hold for no other metal"
            }
        })
        .example(format!("{key} = \"…\""));
    let help = if other.joins_steel() {
        format!(
            "a weld with {metal} is made by a procedure of its own, by who is qualified for it: write it as an [[operation]] of the job's own with that procedure, and leave the joint out"
        )
    } else {
        format!(
            "no arc joins {metal} to steel, with any filler: bolt the part on, keep the two metals apart with a barrier, and write it as an [[operation]] of the job's own"
        )
    };
    let problem = if known_iron(text) {
        problem.help("or the procedure that was qualified on this iron: wps = \"…\"")
    } else {
        problem
    };
    let problem = problem.help(help);
    report.push(at(problem, text));
    true
}

fn of_joint(joint: &Joint, report: &mut Report) {
    for metal in [&joint.steel, &joint.other_steel, &joint.filler] {
        // Iron of the tables is welded by a procedure that was qualified on it.
        let qualified = |m: &&Located<Text>| joint.wps.is_some() && metal::find(&m.value).is_some();
        another_metal(metal.as_ref().filter(|m| !qualified(m)), report);
    }
    let from = joint.values_from.is_some();
    if !(joint.cet.is_some() && from) {
        let own = "a steel of your own: cet = \"0.30 %\" and values_from = \"certificate, heat 4711\"";
        for steel in [&joint.steel, &joint.other_steel] {
            if other(steel.as_ref()).is_some() {
                continue;
            }
            unknown(
                "steel",
                "J171",
                steel.as_ref(),
                |s| metal::find(s).is_some(),
                metal::words(),
                own,
                report,
            );
        }
    }
    let process = joint.process.as_ref();
    let twice = |word: &String| PROCESSES.iter().any(|p| p.eq_ignore_ascii_case(word));
    let more = process::words().into_iter().filter(|w| !twice(w));
    let words = PROCESSES.iter().map(|w| (*w).to_owned()).chain(more).collect();
    unknown("process", "J172", process, |s| process::find(s).is_some(), words, "", report);
    if !(joint.weld_strength.is_some() && joint.hydrogen.is_some() && from) {
        let own = "a filler of your own: weld_strength = \"70 ksi\", hydrogen = \"5 ml/100g\" and values_from = \"maker's data sheet\"";
        let filler = joint.filler.as_ref().filter(|f| other(Some(f)).is_none());
        unknown("filler", "J173", filler, |s| electrode::find(s).is_some(), electrode::words(), own, report);
    }
}

fn of_fastener(fastener: &Fastener, report: &mut Report) {
    let from = fastener.values_from.is_some();
    if let Some(text) = &fastener.thread {
        let own = "a thread outside the tables is written with its pitch: \"M13x1.5\", \"0.45-20\"";
        unknown(
            "thread",
            "J174",
            Some(text),
            |s| thread::find(s).is_some(),
            thread::suggestions(&text.value),
            own,
            report,
        );
    }
    if !(fastener.proof.is_some() && from) {
        let own = "a grade of your own: proof = \"85 ksi\" and values_from = \"maker's data sheet\"";
        let text = fastener.grade.as_ref();
        unknown("grade", "J175", text, |s| !grade::find(s).is_empty(), grade::names(), own, report);
    }
    if let (Some(text), Some(size)) =
        (&fastener.nut, fastener.thread.as_ref().and_then(|t| thread::find(&t.value)))
    {
        let names = nut::names_for(&size, None);
        let known = |s: &str| nut::find(s, &size, None, false).is_some();
        // A nut that is known for another thread is told as that, not as a misspelt one.
        let other = |thread: &str| thread::find(thread).and_then(|t| nut::find(&text.value, &t, None, false));
        if !known(&text.value)
            && ["1/2-13 UNC", "1/2-20 UNF", "M12", "M12x1.25"].into_iter().any(|t| other(t).is_some())
        {
            let thread = fastener.thread.as_ref().map_or("", |t| &*t.value);
            report.push(at(
                Diagnostic::error("J176", format!("nut \"{}\" is made for no thread {thread}", &*text.value))
                    .expected(shortened(&names))
                    .example("nut = \"…\", or the thread it is made for"),
                text,
            ));
        } else {
            unknown("nut", "J176", Some(text), known, names, "", report);
        }
    }
    if !(fastener.nut_factor.is_some() && from) {
        let own = "a finish of your own: nut_factor = 0.16 and values_from = \"test of 2026-02-10\"";
        let words = FINISHES.iter().map(|w| (*w).to_owned()).collect();
        let text = fastener.finish.as_ref();
        unknown("finish", "J177", text, |s| friction::finish(s).is_some(), words, own, report);
    }
}

fn unknown(
    what: &str,
    code: &'static str,
    text: Option<&Located<Text>>,
    known: impl Fn(&str) -> bool,
    names: Vec<String>,
    own: &str,
    report: &mut Report,
) {
    let Some(text) = text.filter(|t| !known(&t.0)) else { return };
    // Of threads the one of the same series is meant, whatever its letters are near.
    let series = text.value.split_whitespace().last().filter(|_| what == "thread").map(str::to_uppercase);
    let alike = series.and_then(|s| names.iter().find(|n| n.split_whitespace().last() == Some(&*s)));
    let near = alike.map(String::as_str).or_else(|| nearest(&text.value, names.iter().map(String::as_str)));
    let key = super::name(text);
    let mut problem = Diagnostic::error(code, format!("there is no {what} \"{}\" in the tables", text.value))
        .expected(shortened(&names))
        // Without a near one nothing is proposed: another steel is no mended name, and one
        // with other digits is another steel, grade or thread.
        .example(format!("{key} = \"{}\"", near.filter(|n| digits(n) == digits(&text.value)).unwrap_or("…")));
    let squeezed = metal::squeezed(&text.value);
    let bare = squeezed.trim_start_matches("astm");
    let several = SEVERAL.iter().find(|name| what == "steel" && bare.starts_with(**name));
    if let Some(near) = near.filter(|_| several.is_none()) {
        problem = problem.help(format!("did you mean \"{near}\"?"));
    }
    if let Some((bare, coat)) = uncoated(&text.value).filter(|(bare, _)| known(bare)) {
        problem = problem.example(format!("{key} = \"{bare}\"")).help(format!(
            "\"{coat}\" is no part of the name: a coating stands in a note, and is off before the arc"
        ));
    }
    if let Some(several) = several {
        problem = problem.help(format!(
            "{} is made of several analyses: cet from the certificate, preheat = \"…\" from its maker or a qualified procedure",
            several.to_uppercase()
        ));
    }
    if !own.is_empty() {
        problem = problem.help(own.to_owned());
    }
    report.push(at(problem, text));
}

/// Specifications whose grades have analyses of their own (ASTM A514, A517, A1011, A1018,
/// API 5L, from memory): the name alone says no carbon equivalent.
const SEVERAL: &[&str] = &["a514", "a517", "a1011", "a1018", "api5l"];

/// Words for what lies on a steel.
const COATS: &[&str] = &["galvanized", "galvanised", "galv", "hdg", "zinc", "plated", "painted", "primed"];

/// A name without the words for its coating, and those words.
fn uncoated(text: &str) -> Option<(String, String)> {
    let coat = |word: &&str| {
        let plain: String =
            word.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
        COATS.contains(&plain.as_str())
    };
    let (coats, bare): (Vec<&str>, Vec<&str>) = text.split_whitespace().partition(coat);
    (!coats.is_empty()).then(|| (bare.join(" "), coats.join(" ")))
}

/// The digits of a name, sorted: two of them swapped are a slip, another one is another name.
fn digits(text: &str) -> Vec<char> {
    let mut digits: Vec<char> = text.chars().filter(char::is_ascii_digit).collect();
    digits.sort_unstable();
    digits
}

/// The first names of a list, and how many more there are.
fn shortened(names: &[String]) -> String {
    const MOST: usize = 14;
    let shown = names.iter().take(MOST).cloned().collect::<Vec<_>>().join(", ");
    match names.len().saturating_sub(MOST) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}
