//! The signatures of a completed record: every revision of the file judged by
//! what it may change, every signature by its bytes, its certificate, its
//! algorithms and its time.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset, Utc};
use serde_json::json;

use super::seal::{self, Seal};
use super::stamps::{self, CLOCKS, Stamp};
use super::verify::verdict::{Outcome, Trust, Verdict};
use crate::record::Entry;
use crate::seal::certificate::{self, describe};
use crate::seal::chain::{self, Purpose};
use crate::seal::container::{self, Expected};
use crate::seal::pdf::{self, Signature, Step};
use crate::seal::token;
use crate::term::counted;
use crate::traveler::wording::completed::signing::{CUSTOMER, SHOP, grouped};

/// Form a signature in the file must have (ETSI EN 319 142-1, 6.3); the second
/// is the one ISO 32000-1 knows, which a customer's program may make.
const FORMS: [&str; 2] = ["ETSI.CAdES.detached", "adbe.pkcs7.detached"];

/// How the shop's signature came out.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct OfShop {
    /// It holds over the record.
    pub(super) holds: bool,
    /// Its root is one the reader named.
    pub(super) named: bool,
}

/// What is known of a record before its signatures are looked at.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known<'a> {
    /// Whole file.
    pub(super) bytes: &'a [u8],
    /// Its seal, if it has one.
    pub(super) seal: Option<&'a Seal>,
    /// Entries of the log.
    pub(super) entries: &'a [Entry],
    /// What the reader trusts.
    pub(super) trust: &'a Trust,
}

/// Judges revisions and signatures. Says how the shop's signature over the record
/// came out.
pub(super) fn judge(verdict: &mut Verdict, known: Known<'_>) -> OfShop {
    let file = match pdf::read(known.bytes) {
        Ok(file) => file,
        Err(why) => {
            verdict.look(false, "", format!("What was added to the file can't be told apart: {why}."));
            return OfShop::default();
        }
    };
    revisions(verdict, &file.steps, &file.signatures);
    let mut shop = OfShop::default();
    for signature in &file.signatures {
        let good = one(verdict, known, signature);
        if signature.field == SHOP {
            shop = good;
        }
    }
    absent(verdict, known, &file);
    if !file.fields.is_empty() {
        verdict.limits.push(
            "That no later signature was cut off: the end of a file can't show what followed it.".to_owned(),
        );
    }
    shop
}

/// What each revision after the first did.
fn revisions(verdict: &mut Verdict, steps: &[Step], signatures: &[Signature]) {
    for (step, number) in steps.iter().zip(2_usize..) {
        if !step.against.is_empty() {
            verdict.look(
                false,
                "",
                format!(
                    "The file was changed after it was made (revision {number}): {}.",
                    step.against.join("; ")
                ),
            );
        } else if step.filled.is_empty() && step.notes.is_empty() {
            verdict.remarks.push(format!("Revision {number} of the file changes nothing."));
        }
        for note in &step.notes {
            verdict.remarks.push(format!("Revision {number} of the file: {note}."));
        }
        for field in &step.filled {
            let covered =
                signatures.iter().any(|s| s.field == *field && s.revision.is_some_and(|r| r + 1 == number));
            if !covered {
                let words =
                    format!("The signature field \"{field}\" was filled with no signature of that revision.");
                verdict.no_signature(field, words);
            }
        }
    }
    if !steps.is_empty() && steps.iter().all(|s| s.against.is_empty()) {
        verdict.look(true, format!("{}: no page, note or attachment was changed.", added(steps)), "");
    }
}

/// What was added to a file, said of revisions none of which is against anything.
fn added(steps: &[Step]) -> String {
    let signs = |step: &&Step| !step.filled.is_empty() && step.notes.is_empty();
    match (steps.len(), steps.iter().filter(signs).count()) {
        (1, 1) => "One revision was added to the file, and it only signs".to_owned(),
        (1, _) => {
            "One revision was added to the file, and what it did beside signing is named below".to_owned()
        }
        (all, signing) if all == signing => {
            format!("{all} revisions were added to the file, and they only sign")
        }
        (all, signing) => format!(
            "{all} revisions were added to the file, {signing} of which only {}; what the others did is named below",
            if signing == 1 { "signs" } else { "sign" }
        ),
    }
}

/// Who a field is for.
fn role(field: &str) -> &str {
    match field {
        SHOP => "the shop",
        CUSTOMER => "the customer",
        other => other,
    }
}

/// Judges one signature.
fn one(verdict: &mut Verdict, known: Known<'_>, signature: &Signature) -> OfShop {
    let who = role(&signature.field);
    let shop = signature.field == SHOP;
    let bad = |verdict: &mut Verdict, why: &str| {
        verdict.no_signature(&signature.field, format!("The signature of {who} does not hold: {why}."));
        OfShop::default()
    };
    if let Some(gap) = signature.gaps.first() {
        return bad(verdict, gap);
    }
    if !FORMS.contains(&signature.form.as_str()) || (signature.field == SHOP && signature.form != FORMS[0]) {
        return bad(verdict, &format!("its form \"{}\" is not one that is accepted", signature.form));
    }
    let parts = signature.signed(known.bytes);
    let expected =
        if signature.form == FORMS[0] { Expected::Detached(&parts) } else { Expected::Older(&parts) };
    let signed = match container::check(&signature.contents, expected) {
        Ok(signed) => signed,
        Err(why) => return bad(verdict, &why.to_string()),
    };
    if shop && let Err(why) = of_the_shop(known, signature, &signed) {
        return bad(verdict, &why);
    }
    let stamped = signed.token.as_ref().map(|t| token::check(t, &signed.signature));
    let seen = match &stamped {
        Some(Ok(stamped)) => Some(stamped.at),
        Some(Err(why)) => return bad(verdict, &format!("its time-stamp token is broken: {why}")),
        None => None,
    };
    let claimed = signature.claimed.map(|t| t.to_utc());
    if let (Some(seen), Some(claimed)) = (seen, claimed)
        && seen + CLOCKS < claimed
    {
        return bad(verdict, "it was seen by the time-stamping service before the time it claims");
    }
    // The certificate must have been good when it signed.
    let Some(at) = seen.or(claimed) else { return bad(verdict, "it does not say when it was made") };
    let chain = match chain::follow(
        &signed.signer,
        &signed.certificates,
        at,
        &known.trust.named,
        Purpose::Document,
    ) {
        Ok(chain) => chain,
        Err(why) => return bad(verdict, &why.to_string()),
    };
    let about = describe(&signed.signer);
    let demonstration = signed.certificates.iter().any(certificate::demonstration);
    let when = moment(signature.claimed, at);
    let fits = format!(
        "\"{}\" signed the file on {when}: every byte up to there is what was signed ({}); root {}",
        about.name,
        signed.algorithm,
        grouped(&chain.root())
    );
    verdict.signers.push(json!({
        "field": signature.field, "name": about.name, "organization": about.organization,
        "says": signature.words.iter().map(|(name, said)| (*name, said.as_str())).collect::<BTreeMap<_, _>>(),
        "at": signature.claimed.map(|t| t.to_rfc3339()), "seen": seen.map(|t| t.to_rfc3339()),
        "algorithm": signed.algorithm, "root": chain.root(), "trusted": chain.trusted,
        "demonstration": demonstration,
    }));
    let trusted = match chain.trusted {
        Some(true) => ", which you trust",
        _ => "",
    };
    if demonstration {
        verdict.demonstration |= shop;
        verdict.say(
            Outcome::Demonstration,
            format!("DEMONSTRATION KEY: the signature of {who} fits its bytes, but anybody may make one like it, so it proves nothing about who made the record. {fits}."),
        );
    } else {
        verdict.say(Outcome::Good, format!("The signature of {who} holds. {fits}{trusted}."));
        if chain.trusted == Some(false) {
            verdict.remarks.push(format!(
                "The root of {who}'s signature is none that you named: {}.",
                grouped(&chain.root())
            ));
        } else if chain.trusted.is_none() {
            verdict.remarks.push(format!("Whether that key belongs to {who} is yours to check: compare the root's fingerprint with one you had from them, or give it with --trust."));
        }
    }
    if !shop {
        said(verdict, who, &about.name, signature);
    }
    if let Some(Ok(stamped)) = &stamped {
        time(verdict, known, who, stamped);
    }
    OfShop { holds: !demonstration, named: chain.trusted == Some(true) }
}

/// What a signer says beside the signature: it was signed with it, and may take back what
/// the signature seems to say.
fn said(verdict: &mut Verdict, who: &str, name: &str, signature: &Signature) {
    let other = |(key, text): &&(&str, String)| *key != "name" || text.trim() != name;
    let words: Vec<String> = signature
        .words
        .iter()
        .filter(other)
        .map(|(key, text)| format!("{key} \"{}\"", text.trim()))
        .collect();
    if words.is_empty() {
        return;
    }
    let named = signature.words.iter().find(|(key, text)| *key == "name" && text.trim() != name);
    let beside =
        named.map_or(String::new(), |_| format!("; the name is not that of the certificate, \"{name}\""));
    verdict.remarks.push(format!("With the signature {who} says: {}{beside}.", words.join(", ")));
}

/// What holds for the shop's signature only: it is the first, made by the key
/// of the seal, at the time of the last entry.
fn of_the_shop(known: Known<'_>, signature: &Signature, signed: &container::Signed) -> Result<(), String> {
    if signature.revision != Some(1) {
        return Err("it does not stand right behind the record".to_owned());
    }
    let Some(seal) = known.seal else {
        return Err("the record was made without a seal of the shop".to_owned());
    };
    if seal.certificates.first() != Some(&signed.signer) {
        return Err("it was not made with the key the record names".to_owned());
    }
    if signature.claimed != Some(seal::time(known.entries.last(), &signed.signer)) {
        return Err("its time is not that of the last entry".to_owned());
    }
    Ok(())
}

/// What time-stamp tokens say of the shop's journal: how much of a traveler's log
/// was there on a day, and what its clock said by then.
pub(super) fn journal(verdict: &mut Verdict, trust: &Trust, number: &str, log: &[Entry]) {
    let Some(journal) = &trust.journal else { return };
    for stamp in &trust.stamps {
        let (lines, stamped) = match stamp {
            Stamp::Saw { lines, stamped } => (*lines, stamped),
            Stamp::Otherwise(why) => {
                let words = format!("A time-stamp token of the journal speaks against it: {why}.");
                verdict.say(Outcome::Contradicted, words);
                continue;
            }
            Stamp::Nothing(why) => {
                verdict.remarks.push(format!("Of the files beside the journal, {why}."));
                continue;
            }
        };
        if let Some(why) = stamps::contradicts(stamped, lines, journal, number, log) {
            verdict.say(Outcome::Contradicted, format!("Beside the journal: {why}."));
        }
        let what = format!(
            "the first {} of the journal, with {} of {number},",
            counted(lines, "line", "lines"),
            counted(stamps::covered(journal, lines, number), "entry", "entries")
        );
        stand(verdict, trust, &what, stamped);
    }
}

/// A time-stamp token that fits.
fn time(verdict: &mut Verdict, known: Known<'_>, who: &str, stamped: &token::Stamped) {
    stand(verdict, known.trust, &format!("the signature of {who}"), stamped);
}

/// What a service saw, and what that is worth.
fn stand(verdict: &mut Verdict, trust: &Trust, what: &str, stamped: &token::Stamped) {
    let chain =
        chain::follow(&stamped.signer, &stamped.certificates, stamped.at, &trust.named, Purpose::Time);
    let at = stamped.at.format("%Y-%m-%d %H:%M:%S UTC");
    let seen = format!("The time-stamping service \"{}\" saw {what} on {at}", stamped.service);
    match chain {
        Ok(chain) if chain.trusted == Some(true) => {
            verdict.say(Outcome::Good, format!("{seen}; you trust its root."));
        }
        Ok(chain) => verdict.remarks.push(format!(
            "{seen}; that is worth as much as the service whose root is {}.",
            grouped(&chain.root())
        )),
        Err(why) => {
            verdict
                .remarks
                .push(format!("{seen}; its own certificates could not be followed to a root here ({why})."));
        }
    }
}

/// Signatures that should be there, and those that may still come.
fn absent(verdict: &mut Verdict, known: Known<'_>, file: &pdf::Read) {
    let there = |field: &str| file.signatures.iter().any(|s| s.field == field);
    let sealed_by_certificate = known.seal.is_some_and(|s| s.old_key.is_none());
    if sealed_by_certificate && !there(SHOP) {
        verdict.look(
            false,
            "",
            "The shop's signature was taken off the file: the record says that it was signed.",
        );
    }
    if file.fields.iter().any(|f| f == CUSTOMER) && !there(CUSTOMER) {
        verdict.remarks.push("The customer has not signed this file.".to_owned());
    }
}

fn moment(claimed: Option<DateTime<FixedOffset>>, at: DateTime<Utc>) -> String {
    match claimed {
        Some(claimed) => claimed.format("%Y-%m-%d %H:%M %:z").to_string(),
        None => at.format("%Y-%m-%d %H:%M UTC").to_string(),
    }
}
