//! Editions of the record's rules: a log is gone through again by those of its day.

use super::frozen::Frozen;

/// Edition of the record's rules by now.
///
/// 1: work rests on all that certainly comes before it; who releases work did not do
/// it; an accepted joint that is worked on is accepted anew; words say something; a
/// reading that can't be negative is not; a void print is measured by somebody else; a
/// rule between readings that was broken stands until a lead decides; one name is one
/// person; who welded does not read what the weld is accepted by; a box in words says
/// something.
///
/// 2: work that depends on what waits for a lead waits as well, not only the next hold;
/// a weld is not judged before it can be cold, nor a crack test taken before its time; a
/// reading far from what the plan expects is asked back.
///
/// 3: that nobody came to a witness point is written once it could be signed, with a
/// notice that says when; a reading unlike another of the same thing is asked back,
/// whatever the two are named; the unit goes once what was to be reworked or repaired is
/// read again and conforms.
///
/// 4: what was found without a reading of its own, and is to be reworked or repaired, is
/// shown put right before the unit goes: read again, worked on by a revision, accepted anew.
///
/// 5: every entry says both times, and the rows of the shop book it rests on; a PIN the issue
/// did not know says where it comes from; neither of two persons' readings is put right by
/// whoever took the other; one more box on a card of shifts, or one less, starts nothing
/// again at a revision.
///
/// 6: a weld names the test of its welder; what says that the unit is another than the plan
/// was made for is rejected or revised, and left as it is by no decision.
///
/// 7: who says that a test is clear is certified for its method, where the shop book names
/// people who are certified for any.
///
/// 8: a reading that did not conform is put right as a slip of the pen once, and then read
/// again; what is decided was found before; one photo shows nothing both as found and as
/// left; a word that rests on a paper from elsewhere names it; a lead waives a certificate in
/// an entry of its own, and never their own; whoever wrote down what was settled may sign it;
/// who welded before a revision started the weld again does not accept it.
///
/// 9: what does not conform is filed after it was read, before a revision drops it or what it
/// is held against; what was to be put right is shown even if its box went; a test is made
/// after a lead let it be, and the leave stands while the test does; what ended before the day
/// it was used on, by the entry's own words, was not used; nothing is ticked twice.
///
/// 10: what is to be reworked or repaired keeps work and signatures that rest on it waiting
/// until it is shown, or a revision brings the work for it in; what later work ended is not
/// read again; a paper from elsewhere is named by a number or a date; initials stand over
/// something that was done; a photo as found is taken before the work at its place begins;
/// an instrument gets better by a calibration alone; a word beside what was found later is read
/// again, or a lead lets it stand; a void print shuts the hold behind what it marks; words
/// written at a weld, a lot, are no arc; the unit is received anew where something was found
/// after it that safety hangs on; a revision puts right what its work can put right, and starts
/// nothing again that rests on no value that moved; a rule between readings holds where the
/// uncertainty of what it looks at proves it; work that is made again starts what comes after it
/// again, and the entry says so; a hold is not taken back from under the work it let begin;
/// nobody takes in a second reading beside their own; what is found after the issue stands in no
/// job file; a plan says where a customer reads its values; what is copied names no instrument.
///
/// 11: an operation after hand-over is initialled once what was found or read badly there is
/// decided, and read again where it was to be put right; a review is not taken back from under
/// the work it let begin either.
pub const RULES: u32 = 11;

/// Edition of the rules since which slips of the pen, decisions, photos and papers from
/// elsewhere are asked for as its words above say.
pub(super) const HONEST_SINCE: u32 = 8;

/// Edition of the rules since which a revision drops nothing that is undecided, and what an
/// entry says of itself is held against it: its last days, its leave, what stands there.
pub(super) const DROPPED_SINCE: u32 = 9;

/// Edition of the rules since which a decision to rework or repair opens nothing by itself,
/// and what its words above say besides.
pub(super) const GATED_SINCE: u32 = 10;

/// Edition of the rules since which initials after hand-over wait for what is open there, and
/// a review stays where it stands under the work it let begin.
pub(super) const AFTER_SINCE: u32 = 11;

impl Frozen {
    /// Whether it says where a customer reads its values: plans of before edition 10 do not.
    #[must_use]
    pub const fn names_rows(&self) -> bool {
        self.rules >= GATED_SINCE
    }
}
