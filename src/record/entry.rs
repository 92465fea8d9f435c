//! One line of the log and its canonical form.
//!
//! A line is `{"entry":ENTRY,"hash":"HEX"}` and a line feed. ENTRY is a JSON
//! object as RFC 8785 writes it (keys sorted, no white space, shortest escapes)
//! in which every number is a whole one; measured values are texts. HEX is the
//! SHA-256 of the bytes of ENTRY, lower case. ENTRY names the hash of the line
//! before in `prev` (64 zeros in the first) and its own place in `n`, from 1.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

use super::line::{BadLine, canonical, known, sealed, unsealed};
use super::made_again::Undone;
use crate::form::{Pictured, Way};
use crate::term::{Disposition, Judged, Shows, Verdict, bar};

/// Stands for the digest of the book where a lead let an entry be made without it.
pub const WITHOUT_BOOK: &str = "without-book";

/// Minutes between what was stated and what the clock said that mean nothing.
pub const SLACK: i64 = 5;

/// The day of `at` where the clock stands that says it.
#[must_use]
pub fn day(at: &DateTime<FixedOffset>, clock: &DateTime<FixedOffset>) -> NaiveDate {
    at.with_timezone(clock.offset()).date_naive()
}

/// One line of the log: who says what happened, and when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// When it happened, as stated; RFC 3339 with offset.
    pub at: String,
    /// SHA-256 of the rows of the shop book it rested on, or [`WITHOUT_BOOK`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub book: Option<String>,
    /// Who answers for it, in the role acted in.
    pub by: By,
    /// What the clock said when it was written, RFC 3339; none in old logs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clock: Option<String>,
    /// The entry this one replaces, and why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<Correction>,
    /// How the person was identified, where the entry needs it and does not say
    /// so itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub identified: Option<String>,
    /// Place in the log, from 1.
    pub n: u64,
    /// Hash of the entry before.
    pub prev: String,
    /// Who took it in from what was written elsewhere; none where it was entered
    /// by the person, or by somebody for them, word by word.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub taken_in: Option<Box<TakenIn>>,
    /// What starts again with it; none where nothing does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub undoes: Option<Box<Undone>>,
    /// What was done, read, found, signed or decided.
    pub what: Action,
}

/// The way an entry came back that was written somewhere else first.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TakenIn {
    /// Id of the person who looked at it and took it in.
    pub by: String,
    /// The picture of paper it was compared with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub picture: Option<Pictured>,
    /// Place in the file, for a person: `line 12`.
    pub place: String,
    /// SHA-256 of the file.
    pub sha256: String,
    /// On which way it came.
    pub way: Way,
}

/// Who made an entry (21 CFR 11.50: printed name beside the signature).
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct By {
    /// Id in the shop book.
    pub id: String,
    /// Printed name.
    pub name: String,
    /// Role acted in.
    pub role: String,
}

/// Names the entry that is replaced.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Correction {
    /// Its place in the log, from 1.
    pub entry: u64,
    /// What was wrong with that entry.
    pub reason: String,
}

/// An operation at the time of the entry: stable key and printed number.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct At {
    /// Stable key.
    pub key: String,
    /// Number on the paper of that revision.
    pub number: u32,
}

/// A revision that was issued.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Issue {
    /// SHA-256 of the revision's list of frozen files.
    pub content: String,
    /// The version of the program that planned and froze it; none in logs from before
    /// that was written down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made_by: Option<String>,
    /// Traveler number.
    pub number: String,
    /// Who had a PIN by the shop book then, used or not: id, and the SHA-256 of its hash.
    /// None in logs from before that was written down.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub pins: BTreeMap<String, String>,
    /// Digest printed on the paper.
    pub plan: String,
    /// Revision letter.
    pub revision: String,
}

/// An operation that starts again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reopened {
    /// Stable, so the same before the revision and after it.
    pub key: String,
    /// What changed in it or in what it builds on, in words.
    pub why: String,
}

/// A photo kept with the record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Photo {
    /// Size in bytes.
    pub bytes: u64,
    /// File name in the folder of photos.
    pub file: String,
    /// SHA-256 of the file as it came, where the photo was turned or scaled for the
    /// record.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub original: Option<String>,
    /// SHA-256.
    pub sha256: String,
}

/// A value read, with the limits it was judged by. Quantities in SI units.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Day of the calibration of the instrument, ISO 8601; none where the book says none, and
    /// in logs from before it was written down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub calibrated: Option<String>,
    /// Last day of the calibration of the instrument, ISO 8601.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub calibrated_until: Option<String>,
    /// Guard band.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub guard: Option<String>,
    /// Kind of quantity; none for words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
    /// Lower limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower: Option<String>,
    /// Where the reading belongs.
    pub operation: At,
    /// Id of the reading.
    pub reading: String,
    /// Certificates of who tested, where the word says that something was tested.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rests_on: Vec<String>,
    /// The limits as they were printed or recomputed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub target: Option<String>,
    /// As it was written.
    pub text: String,
    /// Tool or instrument.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tool: Option<String>,
    /// Standard uncertainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub uncertainty: Option<String>,
    /// Upper limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upper: Option<String>,
    /// A number in SI units; none for words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<String>,
    /// By these limits and the guard band; `recorded` where there are none.
    pub verdict: Judged,
}

/// What the 100 mm bars of a printed sheet measured. Lengths in SI units.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bars {
    /// Across the page.
    pub across: String,
    /// Along the page.
    pub along: String,
    /// SHA-256 of the sheet's shapes.
    pub sheet: String,
    /// Name of the sheet.
    pub name: String,
    /// As it was written: across and along.
    pub text: String,
    /// Whether both are true enough for the print to be used.
    pub verdict: Judged,
}

impl Bars {
    /// What the lengths say; none if they are no lengths.
    #[must_use]
    pub fn judged(&self) -> Option<Judged> {
        let holds = |text: &str| text.parse::<f64>().ok().map(|metres| bar::holds(metres * 1000.0));
        let both = holds(&self.across)? && holds(&self.along)?;
        Some(Judged::Decided(if both { Verdict::Conform } else { Verdict::NotConform }))
    }

    /// In a sentence.
    #[must_use]
    pub fn words(&self) -> String {
        let end = if self.verdict.is(Verdict::Conform) {
            "the print may be used"
        } else {
            "the print is VOID, off by more than 0.5 mm in 100 mm"
        };
        let mark = self.sheet.get(..9).unwrap_or(&self.sheet);
        format!("sheet {} {mark}: 100 mm bars measured {}: {end}", self.name, self.text)
    }
}

/// What an entry says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "act", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Action {
    /// The first revision was issued.
    Issued {
        /// Number, letter, and digests of what was frozen.
        issue: Issue,
    },
    /// A further revision was issued.
    Revised {
        /// The revision superseded.
        from: String,
        /// Number, letter, and digests of what was frozen.
        issue: Issue,
        /// Keys of operations that keep what was entered.
        kept: Vec<String>,
        /// Why it was revised.
        reason: String,
        /// Keys of operations no longer in the plan.
        removed: Vec<String>,
        /// Operations that start again.
        reopened: Vec<Reopened>,
    },
    /// A step, or a whole operation, was done.
    Tick {
        /// What was worked on.
        operation: At,
        /// Tests and certificates the right to do it rests on.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        rests_on: Vec<String>,
        /// Step; none for the whole operation.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<u32>,
    },
    /// A value was read.
    Measure {
        /// As read and judged at the time of the entry.
        reading: Box<Measured>,
    },
    /// A point was signed.
    Sign {
        /// How the person was identified: `pin`, or why not.
        identified: String,
        /// What the signature means.
        meaning: String,
        /// Where the point belongs.
        operation: At,
        /// Number of the point on the paper.
        point: String,
        /// Certificates the right to sign rests on.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        rests_on: Vec<String>,
        /// Place of the point in its operation: `before.1`.
        slot: String,
    },
    /// A point was signed on paper, and a lead who signs nothing there himself saw
    /// it. It stands for the signature and is named as what it is.
    SeenOnPaper {
        /// How the lead was identified.
        identified: String,
        /// What the signature means.
        meaning: String,
        /// Where the point belongs.
        operation: At,
        /// Where it stands: `page 30`.
        place: String,
        /// Number of the point on the paper.
        point: String,
        /// Certificates the right to sign rests on.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        rests_on: Vec<String>,
        /// Who signed, in which role.
        signer: By,
        /// Place of the point in its operation.
        slot: String,
    },
    /// The 100 mm bars of a printed sheet at full size were measured.
    Bars {
        /// What both measured, on which sheet, and whether its print may be used.
        bars: Bars,
    },
    /// Nobody came to a witness point after the notice.
    WitnessWaived {
        /// How and when the role was called.
        notice: String,
        /// Where the point belongs.
        operation: At,
        /// Number of the point on the paper.
        point: String,
        /// Place of the point in its operation.
        slot: String,
    },
    /// A lead lets somebody test who is not certified for it.
    TesterWaived {
        /// What is tested there.
        operation: At,
        /// The reading that says how the test came out.
        reading: String,
        /// Why, in words.
        reason: String,
        /// Who tests all the same.
        tester: By,
    },
    /// Something unforeseen was found.
    Found {
        /// Number: `F1`.
        found: String,
        /// Operation it was found at.
        operation: At,
        /// What shows it; may be empty.
        photos: Vec<Photo>,
        /// The reading it is about; none for anything else that was found.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reading: Option<String>,
        /// What was found, as it was told.
        text: String,
    },
    /// A step or a reading was photographed.
    Photographed {
        /// Where the step or the reading belongs.
        operation: At,
        /// In the order they were given; their files are in the folder of photos.
        photos: Vec<Photo>,
        /// The reading; none for a step or the whole operation.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reading: Option<String>,
        /// What they show.
        shows: Shows,
        /// The step; none for a reading or the whole operation.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<u32>,
    },
    /// What is done about a found condition.
    Disposition {
        /// What is done.
        disposition: Disposition,
        /// Number of the found condition.
        found: String,
        /// What the decision rests on, in words.
        reason: String,
        /// Whether the words chosen there before it was found stand all the same.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        words_stand: bool,
    },
    /// The entry named in `corrects` is taken back; nothing replaces it.
    Withdrawn {},
    /// The traveler was closed.
    Closed {
        /// What is still to be done, and when.
        follow_ups: Vec<FollowUp>,
        /// How the lead was identified: `pin`, or why not.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        identified: String,
    },
    /// A torn last line was set aside.
    TornLine {
        /// Its size in bytes.
        bytes: u64,
        /// The file it was put in.
        file: String,
        /// SHA-256 of the torn line.
        sha256: String,
    },
}

/// An operation after hand-over.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FollowUp {
    /// Date it is due, ISO 8601.
    pub due: String,
    /// What is still to be done.
    pub operation: At,
}

/// The entry of this place in a log; entries are numbered from 1 without a gap.
#[must_use]
pub fn entry(entries: &[Entry], n: u64) -> Option<&Entry> {
    let place = usize::try_from(n.checked_sub(1)?).ok()?;
    entries.get(place).filter(|e| e.n == n)
}

impl Action {
    /// The operation a tick or a reading is at; none of anything else.
    #[must_use]
    pub const fn worked_at(&self) -> Option<&At> {
        match self {
            Self::Tick { operation, .. } => Some(operation),
            Self::Measure { reading } => Some(&reading.operation),
            _ => None,
        }
    }
}

impl Entry {
    /// The line, line feed included, and its hash.
    ///
    /// # Errors
    /// If the entry can't be written as JSON.
    pub fn line(&self) -> Result<(Vec<u8>, String), BadLine> {
        let json = serde_json::to_value(self).map_err(|e| BadLine::changed(e.to_string()))?;
        Ok(sealed(&canonical(&json)))
    }

    /// Reads a line without its line feed and checks its own hash.
    ///
    /// # Errors
    /// If it is not such a line, or its hash is not that of its entry.
    pub fn read(line: &[u8]) -> Result<(Self, String), BadLine> {
        let (body, hash) = unsealed(line)?;
        Ok((known(body, "an entry")?, hash))
    }

    /// The revision it issued, if it did.
    #[must_use]
    pub fn issue(&self) -> Option<&Issue> {
        match &self.what {
            Action::Issued { issue } | Action::Revised { issue, .. } => Some(issue),
            _ => None,
        }
    }

    /// How the person was identified; none if the entry does not say.
    #[must_use]
    pub fn identified(&self) -> Option<&str> {
        match &self.what {
            Action::Sign { identified, .. }
            | Action::SeenOnPaper { identified, .. }
            | Action::Closed { identified, .. }
                if !identified.is_empty() =>
            {
                Some(identified)
            }
            _ => self.identified.as_deref(),
        }
    }

    /// What the clock said, if the entry was stated to be from another time.
    #[must_use]
    pub fn entered_later(&self) -> Option<DateTime<FixedOffset>> {
        let clock = DateTime::parse_from_rfc3339(self.clock.as_deref()?).ok()?;
        ((clock - self.time()?).num_minutes().abs() >= SLACK).then_some(clock)
    }

    /// Whether somebody stated its time: else it has that of writing, and was done then at
    /// the latest. Logs without a clock are from before the two were told apart.
    #[must_use]
    pub fn stated(&self) -> bool {
        self.clock.is_none() || self.entered_later().is_some()
    }

    /// Whether it was taken in from elsewhere without a time of its own: then it has that
    /// of taking in, and was done at that time at the latest.
    #[must_use]
    pub fn timeless(&self) -> bool {
        self.taken_in.is_some() && self.entered_later().is_none()
    }

    /// The day it was made on, where it was written down: a time stated with the offset of
    /// another zone makes no other day of it. None if a text is no time.
    #[must_use]
    pub fn day(&self) -> Option<NaiveDate> {
        let clock =
            self.clock.as_deref().map_or_else(|| self.time(), |c| DateTime::parse_from_rfc3339(c).ok());
        Some(day(&self.time()?, &clock?))
    }

    /// When it was made; none if the text is no time.
    #[must_use]
    pub fn time(&self) -> Option<DateTime<FixedOffset>> {
        DateTime::parse_from_rfc3339(&self.at).ok()
    }
}
