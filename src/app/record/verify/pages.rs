//! The pages made again, and the seal over them.

use std::sync::Arc;

use super::verdict::{Maker, Outcome, Trust, Verdict};
use crate::app::plan::{Failure, Shelf};
use crate::app::record::completed::{self, Parts, Sealing};
use crate::app::record::seal::{Holder, Seal};
use crate::app::record::signature::OfShop;
use crate::app::record::whole::Stated;
use crate::record::entry::canonical;
use crate::record::log;
use crate::render::Rendered;
use crate::render::drawn::{Letters, drawn};
use crate::term::counted;
use crate::traveler::document::Document;
use crate::traveler::wording::completed::signing::grouped;

/// A record made again from what is attached, beside what the file states.
#[derive(Clone, Copy)]
pub(super) struct Remade<'a> {
    pub(super) parts: &'a Parts,
    pub(super) chain: &'a log::Chain,
    /// The document, or why it can't be made again.
    pub(super) document: Result<&'a Document, &'a Failure>,
    pub(super) stated: &'a Stated,
}

/// What was made again.
pub(super) struct Made {
    /// The document, or why it can't be.
    pub(super) document: Result<Document, Failure>,
    /// The file, or why it can't be; none where it was not asked for.
    pub(super) again: Option<Result<Rendered, Failure>>,
}

/// Makes document and, with `typeset`, file again from what is attached.
pub(super) fn make(
    shelf: Option<Arc<Shelf>>,
    parts: &Parts,
    chain: &log::Chain,
    holder: Option<&Holder>,
    sealing: Sealing<'_>,
    typeset: bool,
) -> Made {
    let document = completed::document_on(shelf, parts, chain, holder);
    let again =
        typeset.then(|| document.clone().and_then(|made| completed::lay_out(made, parts, chain, sealing)));
    Made { document, again }
}

/// The shapes letters have in our fonts: those of our own pages, and of every
/// letter the other pages are set in.
fn letters(ours: &[u8], theirs: &[u8]) -> Result<Letters, String> {
    let mut known = drawn(ours, None)?.letters;
    let used: String = drawn(theirs, None)?.letters.into_keys().collect();
    let specimen = crate::render::specimen(&used).map_err(|e| e.to_string())?;
    for (letter, shapes) in drawn(&specimen, None)?.letters {
        let all = known.entry(letter).or_default();
        all.extend(shapes.into_iter().filter(|s| !all.contains(s)).collect::<Vec<_>>());
    }
    Ok(known)
}

/// The pages, made again from what is attached.
pub(super) fn pages(
    verdict: &mut Verdict,
    maker: Maker,
    remade: &Remade<'_>,
    again: Option<Result<Rendered, Failure>>,
) {
    let Remade { chain, stated, .. } = *remade;
    let Some(again) = again else {
        verdict.remarks.push("The pages were not made again: the file is damaged, see above.".to_owned());
        return;
    };
    match again {
        Ok(again) if maker == Maker::Other && again.bytes != stated.bytes => {
            let shown = super::super::pdf::bounded(&stated.bytes)
                .and_then(|()| letters(&again.bytes, &stated.bytes))
                .and_then(|known| drawn(&stated.bytes, Some(&known)))
                .and_then(|theirs| super::drawn::shows(&theirs, &chain.entries, &chain.hashes));
            match shown {
                Ok(()) => verdict.say(
                    Outcome::Good,
                    format!(
                        "The pages are another version's, so they can't be made again. {} seen in the list or the boxes, with the words of the log, and no letter is covered or hidden.",
                        counted(chain.entries.len(), "entry is", "entries are")
                    ),
                ),
                Err(why) => {
                    verdict.hidden = true;
                    verdict.say(
                        Outcome::NotShown,
                        format!("The pages are another version's, and do not show what the log says: {why}."),
                    );
                }
            }
        }
        Ok(again) => verdict.look_again(
            maker,
            again.bytes == stated.bytes,
            format!(
                "{} what the log says: made again from what is attached, the file is the same to the last byte.",
                counted(again.pages, "page states", "pages state")
            ),
            "Made again from what is attached, the pages come out differently.",
        ),
        Err(Failure::System(why)) => {
            verdict.hidden |= maker == Maker::Other;
            verdict.look_again(maker, false, "", format!("The pages can't be made again: {why}."));
        }
        Err(Failure::Refused(..)) => {
            verdict.hidden |= maker == Maker::Other;
            verdict.look_again(maker, false, "", "The pages can't be made again.");
        }
    }
}

/// The seal: over what the record says, and over every byte of the file.
/// `signed` is how the shop's signature in the file came out.
pub(super) fn sealed(
    verdict: &mut Verdict,
    maker: Maker,
    remade: &Remade<'_>,
    seal: Option<&Seal>,
    signed: OfShop,
    trust: &Trust,
) {
    let Remade { parts, chain, document, stated } = *remade;
    let Some(seal) = seal else {
        if stated.seal.is_some() {
            verdict.look(false, "", "The seal was taken out of the file.");
        }
        return;
    };
    let mut said = seal.statement.clone();
    let made = document.ok().and_then(|d| completed::statement(chain, parts, d).ok());
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
            let holds = verdict.look(
                fits && stated.signed_by(public),
                format!("The seal is good over every entry and every byte: signed with the key {public} (Ed25519, as earlier versions made it; no other program checks it)."),
                broken,
            );
            verdict.demonstration = OLD_DEMONSTRATION.eq_ignore_ascii_case(public);
            if verdict.demonstration {
                verdict.say(
                    Outcome::Demonstration,
                    "DEMONSTRATION KEY: that key is published, so the seal proves nothing about who made the record.".to_owned(),
                );
            }
            verdict.sealed = holds && !verdict.demonstration;
            verdict.by_named = verdict.sealed && trust.names(public);
        }
        None => {
            let good = if verdict.demonstration {
                "The statement in the seal fits the record and its key."
            } else {
                "The seal states this record: every entry, every frozen file and every word on the pages."
            };
            let holds = verdict.look(fits, good, broken);
            verdict.sealed = holds && signed.holds && !verdict.demonstration;
            verdict.by_named = verdict.sealed && signed.named;
        }
    }
    if let Some(issued) = parts.issued_root().filter(|issued| !seal.is_under(issued, chain.entries.last())) {
        verdict.remarks.push(format!(
            "The paper was issued with the key {}; the record is sealed with another one. Ask the shop why.",
            grouped(&issued)
        ));
    }
}

/// Key of the sample of earlier versions: RFC 8032, 7.1, test 1, known to everybody.
const OLD_DEMONSTRATION: &str = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a";
