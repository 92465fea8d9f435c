//! The pages made again, and the seal over them.

use std::sync::Arc;

use super::verdict::{Maker, Outcome, Trust, Verdict};
use crate::app::plan::{Failure, Shelf};
use crate::app::record::completed::{self, Parts, Sealing};
use crate::app::record::pdf;
use crate::app::record::seal::{Holder, Seal};
use crate::app::record::signature::OfShop;
use crate::app::record::whole::Stated;
use crate::record::line::canonical;
use crate::record::{Frozen, State, log};
use crate::render::Rendered;
use crate::render::drawn::{Drawing, Letters, drawing};
use crate::term::counted;
use crate::traveler::document::Document;
use crate::traveler::wording::completed::signing::grouped;

/// What the pages are made again from.
#[derive(Clone, Copy)]
pub(super) struct Subject<'a> {
    pub(super) parts: &'a Parts,
    /// The frozen plan; none if it can't be read.
    pub(super) plan: Option<&'a Arc<Frozen>>,
    pub(super) chain: &'a log::Chain,
    pub(super) state: &'a State,
}

/// A record made again from what is attached, beside what the file states.
#[derive(Clone, Copy)]
pub(super) struct Remade<'a> {
    pub(super) parts: &'a Parts,
    pub(super) plan: Option<&'a Frozen>,
    pub(super) chain: &'a log::Chain,
    /// The document, or why it can't be made again.
    pub(super) document: Result<&'a Document, &'a Failure>,
    pub(super) stated: &'a Stated,
    pub(super) sealing: Sealing<'a>,
}

/// How the pages are compared.
pub(super) enum Again {
    /// With the file made again, or why it can't be.
    Made(Result<Rendered, Failure>),
    /// Pages of another version, which never come out the same: what is drawn on them.
    Drawn(Result<Drawing, String>),
}

/// What was made again.
pub(super) struct Made {
    /// The document, or why it can't be.
    pub(super) document: Result<Document, Failure>,
    /// The pages; none where the file is damaged.
    pub(super) again: Option<Again>,
}

/// Makes the document again from what is attached, and the file, or looks at the pages
/// of another version.
pub(super) fn make(
    shelf: Option<Arc<Shelf>>,
    subject: &Subject<'_>,
    holder: Option<&Holder>,
    sealing: Sealing<'_>,
    maker: Maker,
    stated: &Stated,
) -> Made {
    let Subject { parts, plan, chain, state } = *subject;
    let document = completed::document_on(shelf, plan, state, parts, chain, holder);
    let again = (stated.whole != Some(false)).then(|| match maker {
        Maker::This => {
            Again::Made(document.clone().and_then(|made| completed::lay_out(made, parts, chain, sealing)))
        }
        Maker::Other => {
            let bytes = &stated.bytes;
            Again::Drawn(pdf::bounded(bytes).and_then(|()| pdf::plain(bytes)).and_then(|()| drawing(bytes)))
        }
    });
    Made { document, again }
}

/// The shapes letters have in our fonts: of every letter the other pages are set in and,
/// where that does not tell them all, those of our own pages.
fn letters(theirs: &Letters, ours: impl FnOnce() -> Result<Vec<u8>, String>) -> Result<Letters, String> {
    let used: String = theirs.keys().map(String::as_str).collect();
    let specimen = crate::render::specimen(&used).map_err(|e| e.to_string())?;
    let mut known = drawing(&specimen)?.letters;
    let strange = |(letter, shapes): (&String, &Vec<String>)| {
        let all = known.get(letter).map(Vec::as_slice).unwrap_or_default();
        shapes.iter().any(|s| !all.contains(s))
    };
    if theirs.iter().any(strange) {
        for (letter, shapes) in drawing(&ours()?)?.letters {
            let all = known.entry(letter).or_default();
            all.extend(shapes.into_iter().filter(|s| !all.contains(s)).collect::<Vec<_>>());
        }
    }
    Ok(known)
}

/// Whether what is drawn on pages of another version shows what the log says.
fn shown(theirs: Result<Drawing, String>, remade: &Remade<'_>) -> Result<(), String> {
    let Remade { parts, chain, document, sealing, .. } = *remade;
    let theirs = theirs?;
    let ours = || {
        let made = document.cloned().map_err(Clone::clone);
        let laid = made.and_then(|made| completed::lay_out(made, parts, chain, sealing));
        laid.map(|made| made.bytes).map_err(|_| "the pages can't be made again".to_owned())
    };
    let known = letters(&theirs.letters, ours)?;
    super::drawn::shows(&theirs.seen(Some(&known)), &chain.entries, &chain.hashes)
}

/// The pages, made again from what is attached.
pub(super) fn pages(verdict: &mut Verdict, maker: Maker, remade: &Remade<'_>, again: Option<Again>) {
    let Remade { chain, stated, document, .. } = *remade;
    let Some(again) = again else {
        verdict.remarks.push("The pages were not made again: the file is damaged, see above.".to_owned());
        return;
    };
    let made = match (again, document) {
        (Again::Made(made), _) => made,
        (Again::Drawn(_), Err(failure)) => Err(failure.clone()),
        (Again::Drawn(theirs), Ok(_)) => {
            match shown(theirs, remade) {
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
            return;
        }
    };
    match made {
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
    let Remade { parts, plan, chain, document, stated, .. } = *remade;
    let Some(seal) = seal else {
        if stated.seal.is_some() {
            verdict.look(false, "", "The seal was taken out of the file.");
        }
        return;
    };
    let mut said = seal.statement.clone();
    let made = document.ok().zip(plan).and_then(|(d, plan)| completed::statement(chain, parts, plan, d).ok());
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
