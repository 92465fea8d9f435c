//! What a check of a record says: what was looked at, and the least of what holds.

use std::collections::BTreeSet;

use serde_json::{Value as Json, json};

use crate::app::record::stamps::Stamp;
use crate::record::journal::Journal;
use crate::record::let_be::headed;
use crate::term::counted;
use crate::traveler::wording::completed::signing::SHOP;

/// Who made a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Maker {
    /// This program with these templates.
    This,
    /// Another version.
    Other,
}

/// How a check came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// It holds.
    Good,
    /// It does not.
    Bad,
    /// The file is what it is; something kept outside of it says otherwise.
    Contradicted,
    /// This version of the program can't tell.
    NotShown,
    /// It fits, but rests on a demonstration's key.
    Demonstration,
    /// It does not, and is none of the record: somebody put it behind what the shop signed.
    Behind,
}

/// One thing that was looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Looked {
    /// How it came out.
    pub outcome: Outcome,
    /// In plain words.
    pub words: String,
}

/// What a reader of a record trusts.
#[derive(Debug, Clone, Default)]
pub struct Trust {
    /// Roots of the shop's signature by the SHA-256 of their certificates, and
    /// Ed25519 keys of records that are older: 64 digits, lower case.
    pub named: BTreeSet<String>,
    /// A record without a seal, or with a demonstration's, is good enough.
    pub unsealed: bool,
    /// The shop's journal.
    pub journal: Option<Journal>,
    /// Time-stamp tokens beside it.
    pub stamps: Vec<Stamp>,
    /// Digests of what the traveler's folder keeps of files entries were taken in from;
    /// none where the folder is not at hand.
    pub kept: Option<BTreeSet<String>>,
    /// Heads of the log that somebody kept on paper, as [`head`](super::head) reads them.
    pub heads: Vec<String>,
}

impl Trust {
    /// Whether a root or an old key is among those that were named.
    #[must_use]
    pub fn names(&self, digits: &str) -> bool {
        self.named.contains(&digits.to_lowercase())
    }
}

/// The least of what holds of a record, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Holds {
    /// It is something else.
    NoRecord,
    /// Something was changed, or was never as it should be.
    Altered,
    /// Whole in itself, but the journal or a head from paper does not know it so.
    Contradicted,
    /// Whole, but an entry could not have been made by the rules.
    AgainstRules,
    /// Nothing speaks against what can be read of it; a later version wrote what can't.
    Later,
    /// Whole, but the pages are another version's: they do not show what the log
    /// says, or nothing vouches for the plan and the figures on them.
    PagesNotShown,
    /// Whole, but it went on after it: the journal knows later entries.
    Older,
    /// Whole, but what entries were taken in from is gone or was changed.
    EvidenceMissing,
    /// Whole; the work goes on.
    NotClosed,
    /// Whole and closed, with something open.
    OpenPoints,
    /// Complete; nothing shows who made it.
    NotSealed,
    /// Complete; the key that sealed it is a demonstration's.
    Demonstration,
    /// Complete and sealed; the reader named no key, or another one.
    SealedByOther,
    /// Complete, sealed by the key the reader named.
    SealedByNamed,
}

/// Remarks of a kind that are named one by one.
pub(super) const TOLD: usize = 24;

/// How the first line begins of a record nothing is lacking in.
const COMPLETE: &str = "COMPLETE";

impl Holds {
    /// The first line of the answer, of a record in which nothing was let be.
    #[must_use]
    pub const fn sentence(self) -> &'static str {
        match self {
            Holds::NoRecord => "NO RECORD: this file is no completed record.",
            Holds::Altered => "ALTERED: this is not a record as it was made. Do not rely on it.",
            Holds::Contradicted => {
                "CONTRADICTED: the file is whole in itself, but the journal, a token beside it or a head from paper says otherwise. Do not rely on it before that is explained."
            }
            Holds::AgainstRules => {
                "AGAINST THE RULES: the log is whole, but an entry can't have been made as it stands. Do not rely on it."
            }
            Holds::Later => {
                "LATER VERSION: the record says what this version of the program does not know, so nothing is said of it. Use the version named below, or one after it."
            }
            Holds::PagesNotShown => {
                "PAGES NOT SHOWN: the log is whole, but nothing shows that the pages say what it says. Read the log."
            }
            Holds::Older => {
                "OLDER: the record is whole, but the shop knows later entries of this traveler. Ask for the newer record."
            }
            Holds::EvidenceMissing => {
                "EVIDENCE MISSING: the record is whole, but a sheet, copy or picture its entries were taken in from is gone or was changed."
            }
            Holds::NotClosed => "NOT CLOSED: the record is whole, the work is not finished.",
            Holds::OpenPoints => "CLOSED WITH OPEN POINTS: the record is whole, but not everything was done.",
            Holds::NotSealed => "COMPLETE, NOT SEALED: nothing shows who made it.",
            Holds::Demonstration => {
                "COMPLETE, SIGNED BY A DEMONSTRATION KEY: anybody may sign with it, so nothing shows who made it."
            }
            Holds::SealedByOther => {
                "COMPLETE, SEALED BY A KEY YOU DID NOT NAME: name the one on your traveler (--trust FINGERPRINT)."
            }
            Holds::SealedByNamed => "COMPLETE, SEALED BY THE KEY YOU NAMED: nobody changed it since.",
        }
    }

    /// One word for machines.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Holds::NoRecord => "no-record",
            Holds::Altered => "altered",
            Holds::Contradicted => "contradicted",
            Holds::AgainstRules => "against-the-rules",
            Holds::Later => "later-version",
            Holds::PagesNotShown => "pages-not-shown",
            Holds::Older => "older",
            Holds::EvidenceMissing => "evidence-missing",
            Holds::NotClosed => "not-closed",
            Holds::OpenPoints => "open-points",
            Holds::NotSealed => "not-sealed",
            Holds::Demonstration => "demonstration",
            Holds::SealedByOther => "sealed-by-other",
            Holds::SealedByNamed => "sealed-by-named",
        }
    }
}

/// What a check proved, and what it can't prove.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Verdict {
    /// Number and revision of the record.
    pub name: String,
    /// Checks in order.
    pub looked: Vec<Looked>,
    /// Whether it is a completed record at all.
    pub record: bool,
    /// Whether every entry could be made by the rules.
    pub by_rules: bool,
    /// Whether a later version wrote more than this one knows.
    pub later: bool,
    /// Whether another version's pages do not show what the log says.
    pub hidden: bool,
    /// Whether a file that entries were taken in from is gone or was changed.
    pub evidence_gone: bool,
    /// Whether the shop knows entries after those of the file.
    pub older: bool,
    /// Whether the traveler was closed.
    pub closed: bool,
    /// What was open when it was closed.
    pub open: Vec<String>,
    /// What stands by somebody's decision or word alone.
    pub let_be: Vec<String>,
    /// Whether a good seal of a shop covers every byte.
    pub sealed: bool,
    /// Whether a demonstration's key sealed it.
    pub demonstration: bool,
    /// Who signed the file, for machines.
    pub signers: Vec<Json>,
    /// Whether that seal is by the key the reader named.
    pub by_named: bool,
    /// Whether a record without a seal is good enough for the reader.
    pub unsealed: bool,
    /// Sentences that speak neither for the record nor against it.
    pub remarks: Vec<String>,
    /// What no check of this file can prove.
    pub limits: Vec<String>,
}

impl Verdict {
    /// Whether nothing speaks against the record and everything was shown: by
    /// making it again, or by a seal of the key named over every byte.
    #[must_use]
    pub fn whole(&self) -> bool {
        !self.looked.is_empty()
            && self.looked.iter().all(|l| match l.outcome {
                Outcome::Good | Outcome::Demonstration | Outcome::Behind => true,
                Outcome::Bad | Outcome::Contradicted => false,
                Outcome::NotShown => self.by_named,
            })
    }

    /// Whether anything speaks against it.
    #[must_use]
    pub fn broken(&self) -> bool {
        self.looked.is_empty() || self.looked.iter().any(|l| l.outcome == Outcome::Bad)
    }

    /// The least of what holds.
    #[must_use]
    pub fn holds(&self) -> Holds {
        if !self.record {
            Holds::NoRecord
        } else if self.broken() {
            Holds::Altered
        } else if self.looked.iter().any(|l| l.outcome == Outcome::Contradicted) {
            Holds::Contradicted
        } else if !self.by_rules {
            Holds::AgainstRules
        } else if self.later {
            Holds::Later
        } else if !self.whole() || self.hidden {
            Holds::PagesNotShown
        } else if self.older {
            Holds::Older
        } else if self.evidence_gone {
            Holds::EvidenceMissing
        } else if !self.closed {
            Holds::NotClosed
        } else if !self.open.is_empty() {
            Holds::OpenPoints
        } else if self.demonstration {
            Holds::Demonstration
        } else if !self.sealed {
            Holds::NotSealed
        } else if !self.by_named {
            Holds::SealedByOther
        } else {
            Holds::SealedByNamed
        }
    }

    /// The first line of the answer: the least of what holds, and how much of it stands by a
    /// decision or on somebody's word alone.
    #[must_use]
    pub fn sentence(&self) -> String {
        let (holds, number) = (self.holds(), self.let_be.len());
        let sentence = holds.sentence();
        match sentence.strip_prefix(COMPLETE) {
            Some(rest) if number > 0 => {
                let head = headed(number).to_uppercase();
                format!("{COMPLETE} WITH {head}{rest} What was let be is named below.")
            }
            _ => sentence.to_owned(),
        }
    }

    /// Said with the first line where a signature behind the record does not hold: whoever
    /// passes a file on can put one there, and nothing of the record is less for it.
    #[must_use]
    pub fn behind(&self) -> Option<&'static str> {
        let bad = self.looked.iter().any(|l| l.outcome == Outcome::Behind);
        bad.then_some(
            "A LATER SIGNATURE ON THE FILE DOES NOT HOLD: take the record as signed by the shop alone.",
        )
    }

    /// Whether the reader has what was asked for; a file with a signature that does not hold
    /// is not what anybody asks for.
    #[must_use]
    pub fn accepted(&self) -> bool {
        if self.behind().is_some() {
            return false;
        }
        match self.holds() {
            Holds::SealedByNamed => true,
            Holds::NotSealed | Holds::Demonstration => self.unsealed,
            _ => false,
        }
    }

    pub(in crate::app::record) fn look(
        &mut self,
        holds: bool,
        yes: impl Into<String>,
        no: impl Into<String>,
    ) -> bool {
        let outcome = if holds { Outcome::Good } else { Outcome::Bad };
        self.say(outcome, if holds { yes.into() } else { no.into() });
        holds
    }

    pub(in crate::app::record) fn say(&mut self, outcome: Outcome, words: String) {
        self.looked.push(Looked { outcome, words });
    }

    /// Says how many of a kind were not named one by one: what is told is never drowned unsaid.
    pub(super) fn more(&mut self, all: usize, one: &str, several: &str) {
        if let Some(more) = all.checked_sub(TOLD).filter(|n| *n > 0) {
            let words = counted(more, &format!("more {one}"), &format!("more {several}"));
            self.remarks.push(format!("{words}: see the exceptions and the entries of the record."));
        }
    }

    /// A signature that does not hold: the shop's is a part of the record, any other is not.
    pub(in crate::app::record) fn no_signature(&mut self, field: &str, words: String) {
        let outcome = if field == SHOP { Outcome::Bad } else { Outcome::Behind };
        self.say(outcome, words);
    }

    /// Takes in what was looked at by itself.
    pub(super) fn join(&mut self, aside: Self) {
        self.looked.extend(aside.looked);
        self.remarks.extend(aside.remarks);
        self.limits.extend(aside.limits);
        self.signers.extend(aside.signers);
        self.demonstration |= aside.demonstration;
    }

    /// As `look` for what is made again: another maker makes it otherwise.
    pub(super) fn look_again(
        &mut self,
        maker: Maker,
        holds: bool,
        yes: impl Into<String>,
        no: impl Into<String>,
    ) {
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
            Outcome::Bad | Outcome::Contradicted | Outcome::Behind => Json::Bool(false),
            Outcome::NotShown | Outcome::Demonstration => Json::Null,
        };
        json!({
            "record": self.name, "holds": self.holds().word(), "sentence": self.sentence(), "let_be": self.let_be,
            "accepted": self.accepted(), "whole": self.whole(), "sealed": self.sealed, "open": self.open,
            "demonstration": self.demonstration, "signers": self.signers, "behind": self.behind(),
            "checks": self.looked.iter().map(|l| json!({ "holds": holds(l), "words": l.words })).collect::<Vec<_>>(),
            "remarks": self.remarks, "cannot_prove": self.limits,
        })
    }
}
