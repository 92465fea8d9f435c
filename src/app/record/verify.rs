//! Checking a completed record with nothing but its PDF.

use std::collections::BTreeMap;

use serde_json::{Value as Json, json};

use super::completed::{self, ATTACHED, LOG, MANIFEST, Parts, SEAL, Sealing};
use super::measure::judge;
use super::whole::{self, Stated};
use super::{freeze, key, pdf};
use crate::app::figures;
use crate::app::plan::{Failure, plan};
use crate::record::entry::{Action, canonical};
use crate::record::log;
use crate::record::people::Spread;
use crate::record::{Entry, Frozen, sha256, state};
use crate::traveler::document::Document;

/// How a check came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// It holds.
    Good,
    /// It does not.
    Bad,
    /// This version of the program can't tell.
    NotShown,
}

/// One thing that was looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Looked {
    /// How it came out.
    pub outcome: Outcome,
    /// In plain words.
    pub words: String,
}

/// What a check proved, and what it can't prove.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Verdict {
    /// Number and revision of the record.
    pub name: String,
    /// Checks in order.
    pub looked: Vec<Looked>,
    /// Whether a good seal covers every byte.
    pub sealed: bool,
    /// Remarks.
    pub remarks: Vec<String>,
    /// What no check of this file can prove.
    pub limits: Vec<String>,
}

impl Verdict {
    /// Whether nothing speaks against the record and everything was shown: by
    /// making it again, or by a seal over every byte.
    #[must_use]
    pub fn whole(&self) -> bool {
        !self.looked.is_empty()
            && self.looked.iter().all(|l| match l.outcome {
                Outcome::Good => true,
                Outcome::Bad => false,
                Outcome::NotShown => self.sealed,
            })
    }

    /// Whether anything speaks against it.
    #[must_use]
    pub fn broken(&self) -> bool {
        self.looked.is_empty() || self.looked.iter().any(|l| l.outcome == Outcome::Bad)
    }

    fn look(&mut self, holds: bool, yes: impl Into<String>, no: impl Into<String>) -> bool {
        let outcome = if holds { Outcome::Good } else { Outcome::Bad };
        self.looked.push(Looked { outcome, words: if holds { yes.into() } else { no.into() } });
        holds
    }

    /// As `look` for what is made again: another maker makes it otherwise.
    fn look_again(&mut self, maker: Maker, holds: bool, yes: impl Into<String>, no: impl Into<String>) {
        if holds || maker == Maker::This {
            self.look(holds, yes, no);
            return;
        }
        let words = format!(
            "{} This record was made by another version of the program, so that proves nothing; ask the shop for the version named below.",
            no.into()
        );
        self.looked.push(Looked { outcome: Outcome::NotShown, words });
    }

    /// For machines.
    #[must_use]
    pub fn json(&self) -> Json {
        let holds = |l: &Looked| match l.outcome {
            Outcome::Good => Json::Bool(true),
            Outcome::Bad => Json::Bool(false),
            Outcome::NotShown => Json::Null,
        };
        json!({
            "record": self.name, "whole": self.whole(), "sealed": self.sealed,
            "checks": self.looked.iter().map(|l| json!({ "holds": holds(l), "words": l.words })).collect::<Vec<_>>(),
            "remarks": self.remarks, "cannot_prove": self.limits,
        })
    }
}

/// Who made a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Maker {
    /// This program with these templates.
    This,
    /// Another version.
    Other,
}

/// Checks a file. A file that is no completed record gives a verdict, too.
#[must_use]
pub fn verify(bytes: &[u8]) -> Verdict {
    let mut verdict = Verdict::default();
    let mut files = match pdf::attachments(bytes) {
        Ok(files) => files,
        Err(why) => {
            verdict.look(false, "", why);
            return verdict;
        }
    };
    let mut parts = Parts::default();
    let mut missing = Vec::new();
    for name in ATTACHED {
        match files.remove(*name) {
            Some(bytes) => {
                parts.files.insert((*name).to_owned(), bytes);
            }
            None => missing.push(*name),
        }
    }
    for (name, place) in [(MANIFEST, &mut parts.manifest), (LOG, &mut parts.log)] {
        match files.remove(name) {
            Some(bytes) => *place = bytes,
            None => missing.push(name),
        }
    }
    let seal = files.remove(SEAL);
    parts.photos = files;
    let complete = verdict.look(
        missing.is_empty(),
        "The job, the frozen plan, the figures and the log are inside the file.",
        format!("This is no completed record: {} not inside the file.", missing.join(", ")),
    );
    if !complete {
        return verdict;
    }
    let chain = log::check(&parts.log);
    let sound = chain.damage.is_none() && chain.torn == 0 && !chain.entries.is_empty();
    let said = match &chain.damage {
        Some((line, why)) => format!("Line {line} of the log was changed: {why}."),
        None => "The log is empty or its last line is torn.".to_owned(),
    };
    let n = chain.entries.len();
    verdict.look(sound, format!("The log is whole: {n} entries, each bound to the one before."), said);
    for n in &chain.set_back {
        verdict.remarks.push(format!(
            "Entry {n} is older than the one before it: entered afterwards, or a clock was set back."
        ));
    }
    if state::fold(&chain.entries).closed.is_none() {
        verdict
            .remarks
            .push("The traveler was NOT CLOSED when this was made: the work is not finished.".to_owned());
    }
    frozen(&mut verdict, &parts, &chain.entries);
    let stated = whole::read(bytes);
    let maker = match &stated.maker {
        Some(maker) if *maker != whole::maker() => Maker::Other,
        _ => Maker::This,
    };
    verdict.look(
        stated.whole == Some(true),
        format!(
            "The file has the digest it states, so no byte of it was lost or damaged ({}).",
            &stated.digest[..16]
        ),
        if stated.whole.is_none() {
            "The file does not state its digest."
        } else {
            "The file has not the digest it states: a byte of it was changed."
        },
    );
    recomputed(&mut verdict, maker, &parts);
    readings(&mut verdict, &chain.entries);
    photos(&mut verdict, &parts, &chain.entries);
    let public = seal.as_deref().map(key_of);
    let made = completed::document(&parts, &chain, public.as_deref());
    let remade = Remade { parts: &parts, chain: &chain, document: made.as_ref(), stated: &stated };
    pages(&mut verdict, maker, &remade, seal.as_deref());
    sealed(&mut verdict, maker, &remade, seal.as_deref());
    if let (Maker::Other, Some(made)) = (maker, &stated.maker) {
        verdict.remarks.push(format!("Made by version {made}; this is {}.", whole::maker()));
    }
    verdict.limits = vec![
        "That what was written down is what was done: a record can't see the work.".to_owned(),
        "That an id was used by its owner; how each person was identified stands with the signature."
            .to_owned(),
        "That no other record of this traveler exists.".to_owned(),
    ];
    match seal {
        Some(_) => verdict.limits.push(
            "Whose the sealing key is: compare it with the one on the head page of the traveler you were given.".to_owned(),
        ),
        None => verdict.limits.push(
            "Who made the file: it has no seal, so somebody could have made another whole record.".to_owned(),
        ),
    }
    verdict
}

/// The frozen files are those the log names.
fn frozen(verdict: &mut Verdict, parts: &Parts, entries: &[Entry]) {
    let issue = state::issue(entries);
    let digest = sha256(&parts.manifest);
    let named = issue.is_some_and(|i| i.content == digest);
    let listed: BTreeMap<String, String> = serde_json::from_slice::<Json>(&parts.manifest)
        .ok()
        .and_then(|m| {
            let list = m["files"].as_array()?.iter();
            list.map(|f| Some((f["name"].as_str()?.to_owned(), f["sha256"].as_str()?.to_owned()))).collect()
        })
        .unwrap_or_default();
    let changed: Vec<&str> = parts
        .files
        .iter()
        .filter(|(name, bytes)| listed.get(*name).is_none_or(|d| *d != sha256(bytes)))
        .map(|(name, _)| name.as_str())
        .collect();
    if let Some(issue) = issue {
        verdict.name = format!("{} rev {}", issue.number, issue.revision);
    }
    verdict.look(
        named && changed.is_empty(),
        format!("Job, plan, figures and procedures are those that were issued (digest {}).", &digest[..16]),
        if named {
            format!("Changed after issue: {}.", changed.join(", "))
        } else {
            "The frozen files are not those the log names.".to_owned()
        },
    );
}

/// Figures and plan computed again from the attached job.
fn recomputed(verdict: &mut Verdict, maker: Maker, parts: &Parts) {
    let get = |name: &str| parts.files.get(name).map(Vec::as_slice).unwrap_or_default();
    let stored: Option<Frozen> = serde_json::from_slice(get("plan.json")).ok();
    let text = String::from_utf8_lossy(get("job.toml")).into_owned();
    let revision = stored.as_ref().map(|p| p.revision.clone()).unwrap_or_default();
    let again = super::shelf::shelf(get("procedures.json")).and_then(|shelf| {
        let loaded = freeze::loaded(&shelf, "job.toml", &text, &revision)?;
        let planned = plan(&loaded, &shelf)?;
        Ok((figures::json(&loaded), freeze::frozen(&planned.resolved, &planned.digest())))
    });
    let (fresh, replanned) = match again {
        Ok(both) => both,
        Err(_) => {
            verdict.look_again(maker, false, "", "The attached job can't be computed again.");
            return;
        }
    };
    let listed: Json = serde_json::from_slice(get("figures.json")).unwrap_or_default();
    let rows = |json: &Json| json["figures"].as_array().cloned().unwrap_or_default();
    let (old, new) = (rows(&listed), rows(&fresh));
    let different = old.iter().zip(&new).filter(|(a, b)| a != b).count() + old.len().abs_diff(new.len());
    verdict.look_again(
        maker,
        different == 0 && !new.is_empty() && listed == fresh,
        format!("All {} figures come out the same when computed again.", new.len()),
        format!("{different} of {} figures come out differently when computed again.", new.len()),
    );
    verdict.look_again(
        maker,
        stored.as_ref() == Some(&replanned),
        format!("The plan comes out the same: {} operations in their order.", replanned.operations.len()),
        "The plan comes out differently when made again.",
    );
}

/// Every reading judged again by the limits in its entry.
fn readings(verdict: &mut Verdict, entries: &[Entry]) {
    let mut count = 0;
    let mut wrong = Vec::new();
    for entry in entries {
        let Action::Measure { reading } = &entry.what else { continue };
        count += 1;
        let number = |text: &Option<String>| text.as_ref().and_then(|t| t.parse::<f64>().ok());
        let Some(word) = &reading.kind else { continue };
        let Some(kind) = crate::quantity::Kind::ALL.iter().copied().find(|k| k.word() == word) else {
            wrong.push(entry.n);
            continue;
        };
        let quantity = |text| number(text).map(|v| crate::quantity::Quantity::from_si(kind, v));
        let limits = crate::record::frozen::Limits {
            kind,
            target: None,
            lower: quantity(&reading.lower),
            upper: quantity(&reading.upper),
        };
        let again = judge(
            Some(limits),
            &reading.text,
            number(&reading.uncertainty).map(|fixed| Spread { fixed, share: 0.0 }),
        );
        if !again.is_ok_and(|a| a.value == reading.value && a.verdict == reading.verdict) {
            wrong.push(entry.n);
        }
    }
    verdict.look(
        wrong.is_empty(),
        format!("All {count} readings get the same verdict when judged again."),
        format!("The verdict does not follow from the reading in entries {wrong:?}."),
    );
}

fn photos(verdict: &mut Verdict, parts: &Parts, entries: &[Entry]) {
    let state = state::fold(entries);
    let named: Vec<_> = state.founds.iter().flat_map(|f| &f.photos).collect();
    let lost = named.iter().any(|p| parts.photos.get(&p.file).is_none_or(|b| sha256(b) != p.sha256));
    let strange = parts.photos.keys().any(|name| !named.iter().any(|p| p.file == *name));
    if !named.is_empty() || !parts.photos.is_empty() {
        verdict.look(
            !lost && !strange,
            format!("All {} photos are those that were filed.", named.len()),
            "A photo is missing, changed or was never filed.",
        );
    }
}

/// A record made again from what is attached, beside what the file states.
#[derive(Clone, Copy)]
struct Remade<'a> {
    parts: &'a Parts,
    chain: &'a log::Chain,
    /// The document, or why it can't be made again.
    document: Result<&'a Document, &'a Failure>,
    stated: &'a Stated,
}

/// The pages, made again from what is attached.
fn pages(verdict: &mut Verdict, maker: Maker, remade: &Remade<'_>, seal: Option<&[u8]>) {
    let Remade { parts, chain, document, stated } = *remade;
    if stated.whole == Some(false) {
        verdict.remarks.push("The pages were not made again: the file is damaged, see above.".to_owned());
        return;
    }
    let public = seal.map(key_of);
    let sealing = match (&public, seal) {
        (Some(public), Some(bytes)) => Sealing::Given(public, bytes),
        _ => Sealing::Remade,
    };
    let again = document
        .map_err(Clone::clone)
        .and_then(|document| completed::lay_out(document.clone(), parts, chain, sealing));
    match again {
        Ok(again) => verdict.look_again(
            maker,
            again.bytes == stated.bytes,
            format!(
                "The {} pages state what the log says: made again from what is attached, the file is the same to the last byte.",
                again.pages
            ),
            "Made again from what is attached, the pages come out differently.",
        ),
        Err(Failure::System(why)) => {
            verdict.look_again(maker, false, "", format!("The pages can't be made again: {why}."));
        }
        Err(Failure::Refused(..)) => {
            verdict.look_again(maker, false, "", "The pages can't be made again.");
        }
    }
}

fn key_of(seal: &[u8]) -> String {
    let seal: Json = serde_json::from_slice(seal).unwrap_or_default();
    seal["key"].as_str().unwrap_or_default().to_owned()
}

/// The seal: over what the record says, and over every byte of the file.
fn sealed(verdict: &mut Verdict, maker: Maker, remade: &Remade<'_>, seal: Option<&[u8]>) {
    let Remade { parts, chain, document, stated } = *remade;
    let Some(bytes) = seal else {
        if stated.seal.is_some() {
            verdict.look(false, "", "The seal was taken out of the file.");
        }
        return;
    };
    let seal: Json = serde_json::from_slice(bytes).unwrap_or_default();
    let public = key_of(bytes);
    let mut said = seal["statement"].clone();
    let made = document.ok().and_then(|d| completed::statement(chain, parts, d).ok());
    let signed =
        key::verify(&public, seal["signature"].as_str().unwrap_or_default(), canonical(&said).as_bytes());
    // What the pages say is worded by the version that made them.
    let mut made = made.unwrap_or_default();
    if maker == Maker::Other {
        for statement in [&mut said, &mut made] {
            if let Some(fields) = statement.as_object_mut() {
                fields.remove("pages");
            }
        }
    }
    let fits = canonical(&made) == canonical(&said);
    let over_all = stated.signed_by(&public);
    verdict.sealed = verdict.look(
        signed && fits && over_all && stated.whole == Some(true),
        format!("The seal is good over every entry and every byte: signed with the key {public}."),
        "The seal is broken: it was not made over this record.",
    );
}
