//! A record that a later version of the program wrote: what this one can't read it
//! neither vouches for nor accuses.

use super::verdict::{Outcome, Trust, Verdict};
use super::{Plans, digest, outside};
use crate::app::record::whole::{self, Stated};
use crate::record::line::BadLine;
use crate::record::log;

/// What of a record only a later version can have written; none if there is nothing.
pub(super) fn why(plans: &Plans, chain: &log::Chain) -> Option<String> {
    let line = chain.damage.as_ref().filter(|(_, why)| matches!(why, BadLine::Unknown { .. }));
    if let Some((line, why)) = line {
        return Some(format!("{}.", why.at(&format!("Line {line} of the log"))));
    }
    plans.later.as_ref().map(|why| format!("Of the plan: {why}."))
}

/// Says so, with what can be looked at all the same.
pub(super) fn told(verdict: &mut Verdict, why: String, stated: &Stated, chain: &log::Chain, trust: &Trust) {
    verdict.later = true;
    verdict.say(Outcome::NotShown, why);
    digest(verdict, stated);
    if chain.damage.is_none() {
        // Else what the journal saw behind that line would look lost.
        outside::journal(verdict, chain, trust);
        outside::heads(verdict, chain, trust);
    }
    if let Some(made) = &stated.maker {
        verdict.remarks.push(format!("Made by version {made}; this is {}.", whole::maker()));
    }
    verdict.limits.push(
        "Anything of this record: an entry this version does not know may be a later version's, or nobody's."
            .to_owned(),
    );
}
