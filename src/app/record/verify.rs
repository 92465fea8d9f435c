//! Checking a completed record with nothing but its PDF.

use std::collections::BTreeMap;

use serde_json::{Value as Json, json};

use super::completed::{self, ATTACHED, LOG, MANIFEST, Parts, SEAL, Sealing};
use super::measure::judge;
use super::seal::Seal;
use super::signature::{self, Known, Trust};
use super::whole::{self, Stated};
use super::{freeze, pdf};
use crate::app::figures;
use crate::app::plan::{Failure, plan};
use crate::record::entry::{Action, canonical};
use crate::record::log;
use crate::record::people::Spread;
use crate::record::{Entry, Frozen, sha256, state};

/// How a check came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// It holds.
    Good,
    /// It does not.
    Bad,
    /// This version of the program can't tell.
    NotShown,
    /// It fits, but rests on a demonstration's key.
    Demonstration,
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
    /// Whether a good seal of a shop covers every byte of the record.
    pub sealed: bool,
    /// Whether a demonstration's key signed it.
    pub demonstration: bool,
    /// Who signed the file, for machines.
    pub signers: Vec<Json>,
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
                Outcome::Good | Outcome::Demonstration => true,
                Outcome::Bad => false,
                Outcome::NotShown => self.sealed,
            })
    }

    /// Whether anything speaks against it.
    #[must_use]
    pub fn broken(&self) -> bool {
        self.looked.is_empty() || self.looked.iter().any(|l| l.outcome == Outcome::Bad)
    }

    pub(super) fn look(&mut self, holds: bool, yes: impl Into<String>, no: impl Into<String>) -> bool {
        let outcome = if holds { Outcome::Good } else { Outcome::Bad };
        self.say(outcome, if holds { yes.into() } else { no.into() });
        holds
    }

    pub(super) fn say(&mut self, outcome: Outcome, words: String) {
        self.looked.push(Looked { outcome, words });
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
            Outcome::NotShown | Outcome::Demonstration => Json::Null,
        };
        json!({
            "record": self.name, "whole": self.whole(), "sealed": self.sealed,
            "demonstration": self.demonstration, "signers": self.signers,
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
///
/// The record is the first revision of the file; what was added behind it, the
/// signatures, is judged by itself.
#[must_use]
pub fn verify(whole: &[u8], trust: &Trust) -> Verdict {
    let mut verdict = Verdict::default();
    let bytes = whole.get(..crate::seal::pdf::first(whole)).unwrap_or(whole);
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
    let read = seal.as_deref().map(Seal::read);
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
    pages(&mut verdict, maker, &parts, &chain, seal.as_deref(), &stated);
    let known = Known { bytes: whole, seal: read.as_ref(), entries: &chain.entries, trust };
    let signed = signature::judge(&mut verdict, known);
    sealed(&mut verdict, maker, &parts, &chain, read.as_ref(), &stated, signed);
    if let (Maker::Other, Some(made)) = (maker, &stated.maker) {
        verdict.remarks.push(format!("Made by version {made}; this is {}.", whole::maker()));
    }
    verdict.limits.extend([
        "That what was written down is what was done: a record can't see the work.".to_owned(),
        "That an id was used by its owner; how each person was identified stands with the signature."
            .to_owned(),
        "That no other record of this traveler exists.".to_owned(),
    ]);
    match seal {
        Some(_) => verdict.limits.push(
            "Whose the key is, unless you trust its root: compare that with the one on the head page of the traveler you were given.".to_owned(),
        ),
        None => verdict.limits.push(
            "Who made the file: it has no seal, so somebody could have made another whole record.".to_owned(),
        ),
    }
    verdict
}

/// The frozen files are those the log names.
fn frozen(verdict: &mut Verdict, parts: &Parts, entries: &[Entry]) {
    let issue = entries.iter().rev().find_map(|e| match &e.what {
        Action::Issued { issue } | Action::Revised { issue, .. } => Some(issue),
        _ => None,
    });
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
    let again = freeze::shelf(get("procedures.json")).and_then(|shelf| {
        let loaded = freeze::loaded(&shelf, "job.toml", &text, &revision)?;
        let planned = plan(&loaded, &shelf)?;
        let document = crate::app::issue::compose(&planned, &shelf)?;
        Ok((figures::json(&loaded), freeze::frozen(&planned, &document)))
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

/// The pages, made again from what is attached.
fn pages(
    verdict: &mut Verdict,
    maker: Maker,
    parts: &Parts,
    chain: &log::Chain,
    seal: Option<&[u8]>,
    stated: &Stated,
) {
    if stated.whole == Some(false) {
        verdict.remarks.push("The pages were not made again: the file is damaged, see above.".to_owned());
        return;
    }
    let sealing = seal.map_or(Sealing::Remade, Sealing::Given);
    match completed::typeset(parts, chain, sealing) {
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

/// The seal: over what the record says, and over every byte of the file.
/// `signed` says whether the shop's signature in the file holds.
fn sealed(
    verdict: &mut Verdict,
    maker: Maker,
    parts: &Parts,
    chain: &log::Chain,
    seal: Option<&Seal>,
    stated: &Stated,
    signed: bool,
) {
    let Some(seal) = seal else {
        if stated.seal.is_some() {
            verdict.look(false, "", "The seal was taken out of the file.");
        }
        return;
    };
    let mut said = seal.statement.clone();
    let made = completed::document(parts, chain, Some(&seal.holder()))
        .map(|d| completed::statement(chain, parts, &d));
    // What the pages say is worded by the version that made them.
    let mut made = made.unwrap_or_default();
    if maker == Maker::Other {
        for statement in [&mut said, &mut made] {
            if let Some(fields) = statement.as_object_mut() {
                fields.remove("pages");
            }
        }
    }
    let fits = seal.holds() && canonical(&made) == canonical(&said) && stated.whole == Some(true);
    let broken = "The seal is broken: it was not made over this record.";
    match &seal.old_key {
        Some(public) => {
            verdict.sealed = verdict.look(
                fits && stated.signed_by(public),
                format!("The seal is good over every entry and every byte: signed with the key {public} (Ed25519, as earlier versions made it; no other program checks it)."),
                broken,
            );
            if OLD_DEMONSTRATION == public {
                verdict.demonstration = true;
                verdict.sealed = false;
                verdict.say(
                    Outcome::Demonstration,
                    "DEMONSTRATION KEY: that key is published, so the seal proves nothing about who made the record.".to_owned(),
                );
            }
        }
        None if verdict.demonstration => {
            verdict.look(fits, "The statement in the seal fits the record and its key.", broken);
        }
        None => {
            let holds = verdict.look(
                fits,
                "The seal states this record: every entry, every frozen file and every word on the pages.",
                broken,
            );
            verdict.sealed = holds && signed;
        }
    }
}

/// Key of the sample of earlier versions: RFC 8032, 7.1, test 1, known to everybody.
const OLD_DEMONSTRATION: &str = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a";
