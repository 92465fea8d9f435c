//! What stands is replaced by a new entry that names it and says why, and by nothing else.

use super::entry::{Action, By, Correction, entry};
use super::frozen::{DROPPED_SINCE, GATED_SINCE, Operation};
use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;
use crate::term::Judged;

impl Scene<'_> {
    /// Whether a step, or the initials of an operation, stand there already: what stands is
    /// replaced by an entry that names it, and by nothing else.
    ///
    /// # Errors
    /// If somebody ticked it.
    pub fn ticked_once(&self, operation: &Operation, step: Option<u32>) -> Result<(), Diagnostic> {
        let mut steps = operation.steps.iter();
        let done = match step {
            Some(step) => steps.find(|s| s.number == step).and_then(|s| self.state.done(operation, s)),
            None if operation.levelled() => self.state.initials(operation),
            None => {
                let marks: Option<Vec<_>> =
                    steps.map(|s| self.state.tick(&operation.key, s.number)).collect();
                marks.and_then(|marks| marks.first().copied())
            }
        };
        let Some(mark) = done else { return Ok(()) };
        let place =
            step.map_or_else(|| operation.number.to_string(), |n| format!("{}.{n}", operation.number));
        Err(refuse(
            "L141",
            "corrections only by a new entry that names the old one and why",
            format!("{place} was ticked by {} (entry {})", mark.by.name, mark.n),
            format!(
                "if it was entered wrong: tackwright tick {} {place} --corrects {} --by ID --reason \"…\"; only taken back: tackwright correct {} {} --by ID --reason \"…\"",
                self.plan.number, mark.n, self.plan.number, mark.n
            ),
        ))
    }

    /// Whether no later signature rests on the one of entry `n`, at this point: what was
    /// released on it is taken back first, and signed anew after it.
    fn carries_nothing(&self, n: u64, key: &str, slot: &str) -> Result<(), Diagnostic> {
        if self.plan.rules < DROPPED_SINCE {
            return Ok(());
        }
        let all = self.plan.operations.iter().flat_map(|o| o.points().map(move |p| (o, p)));
        let rests = all
            .filter(|(o, p)| (o.key.as_str(), p.slot.as_str()) != (key, slot))
            .flat_map(|(o, p)| self.state.standing(o, p).into_iter().map(move |s| (o, p, s)))
            .filter(|(_, _, s)| s.mark.n > n && !s.waived)
            .filter(|(o, p, _)| self.plan.stands_under(key, o, p));
        let Some((_, last, signed)) = rests.max_by_key(|(_, _, s)| s.mark.n) else { return Ok(()) };
        Err(refuse(
            "L302",
            "a signature that others rest on is taken back after them",
            format!("{} was signed on it, in entry {}", last.number, signed.mark.n),
            format!(
                "take that one back first: tackwright correct {} {} --by {} --reason \"…\"; what was released on it is looked at and signed anew",
                self.plan.number, signed.mark.n, signed.mark.by.id
            ),
        ))
    }

    /// Whether an entry may be replaced by, or taken back for, `what`.
    ///
    /// # Errors
    /// If the old entry is not of the same kind and place, was replaced
    /// already, or a signature rests on it.
    pub fn correction(&self, correction: &Correction, what: &Action) -> Result<(), Diagnostic> {
        let n = correction.entry;
        let wrong = |message: String, way_out: &str| {
            Err(refuse(
                "L140",
                "corrections only by a new entry that names the old one and why",
                message,
                way_out,
            ))
        };
        self.says(&correction.reason, "the reason of a correction", "--reason \"wrong side\"")?;
        let Some(old) = entry(self.entries, n) else {
            return wrong(format!("there is no entry {n}"), "`status NUMBER --entries` lists them");
        };
        if self.state.voided.contains(&n) {
            return wrong(format!("entry {n} was replaced already"), "name the newer entry");
        }
        let same = match (&old.what, what) {
            (Action::Tick { operation: a, step: s, .. }, Action::Tick { operation: b, step: t, .. }) => {
                a.key == b.key && s == t
            }
            (Action::Measure { reading: a }, Action::Measure { reading: b }) => {
                a.operation.key == b.operation.key && a.reading == b.reading
            }
            (Action::Disposition { found: a, .. }, Action::Disposition { found: b, .. }) => a == b,
            (Action::Bars { bars: a }, Action::Bars { bars: b }) => a.sheet == b.sheet,
            (
                Action::Tick { .. }
                | Action::Measure { .. }
                | Action::Sign { .. }
                | Action::SeenOnPaper { .. }
                | Action::Photographed { .. }
                | Action::Bars { .. }
                | Action::TesterWaived { .. }
                | Action::WitnessWaived { .. },
                Action::Withdrawn {},
            ) => true,
            _ => false,
        };
        if !same {
            let (message, way_out) = self.not_taken_back(n, &old.what, what);
            return wrong(message, &way_out);
        }
        self.unused(n, &old.what)?;
        if let Action::Sign { operation, slot, .. } | Action::SeenOnPaper { operation, slot, .. } = &old.what
        {
            self.carries_nothing(n, &operation.key, slot)?;
            self.let_nothing_begin(n, &operation.key, slot)?;
        }
        let at = match &old.what {
            Action::Tick { operation, .. } => Some(operation),
            Action::Measure { reading } => Some(&reading.operation),
            _ => None,
        };
        let Some(operation) = at.and_then(|a| self.plan.operations.iter().find(|o| o.key == a.key)) else {
            return Ok(());
        };
        for point in &operation.after {
            if let Some(signed) =
                self.state.signatures(&operation.key, &point.slot).iter().find(|s| s.mark.n > n)
            {
                // A signature that stands under work is no way out.
                self.let_nothing_begin(signed.mark.n, &operation.key, &point.slot)?;
                return wrong(
                    format!("{} was signed on entry {n}", point.number),
                    &format!(
                        "take the signature back first: tackwright correct {} {} --by {} --reason \"…\"",
                        self.plan.number, signed.mark.n, signed.mark.by.id
                    ),
                );
            }
        }
        Ok(())
    }

    /// Why an entry is not replaced by, or taken back for, `what`, and what is done instead.
    fn not_taken_back(&self, n: u64, old: &Action, what: &Action) -> (String, String) {
        let number = &self.plan.number;
        let lead = || self.by("lead", |_| true);
        match (old, what) {
            (Action::Found { found, .. }, Action::Withdrawn {}) => (
                format!("entry {n} is {found}, and what was found is not taken back"),
                format!(
                    "a lead decides about it, also where it was filed by mistake: tackwright dispose {number} {found} \"use as is\" --by {} --reason \"…\"",
                    lead()
                ),
            ),
            (Action::Disposition { found, .. }, Action::Withdrawn {}) => (
                format!("entry {n} decided about {found}, and a decision is replaced by another one"),
                format!(
                    "tackwright dispose {number} {found} DISPOSITION --corrects {n} --by {} --reason \"…\"",
                    lead()
                ),
            ),
            (Action::Issued { .. } | Action::Revised { .. }, Action::Withdrawn {}) => (
                format!("entry {n} issued a revision, and what was issued is not taken back"),
                format!("issue the next one: tackwright revise JOB --by {} --reason \"…\"", lead()),
            ),
            (
                Action::Closed { .. } | Action::TornLine { .. } | Action::Withdrawn {},
                Action::Withdrawn {},
            ) => (
                format!("entry {n} can't be taken back"),
                format!("`status {number} --entries` lists what was entered; enter anew what is missing"),
            ),
            _ => (
                format!("entry {n} says something else"),
                "name the entry of the same step, reading or point".to_owned(),
            ),
        }
    }

    /// A reading that has a verdict is not made another one by the person who
    /// wrote it: a slip of the pen is confirmed by a second person.
    ///
    /// # Errors
    /// If the person who replaces or takes back the reading wrote it.
    pub fn second_person(&self, correction: &Correction, person: &By) -> Result<(), Diagnostic> {
        let Some(old) = entry(self.entries, correction.entry) else { return Ok(()) };
        let Action::Measure { reading } = &old.what else { return Ok(()) };
        let of =
            |n: &super::frozen::Name| n.operation == reading.operation.key && n.reading == reading.reading;
        // A rule between readings that is broken is a verdict too.
        let stops = || {
            let all = self.plan.operations.iter().flat_map(|o| self.state.stops(self.plan, o));
            self.strict() && all.into_iter().any(|stop| stop.of.iter().any(of))
        };
        // So is what another reading was held against, and what somebody signed on.
        let relied = || {
            let all = self.plan.all_rules().map(|(_, rule)| rule);
            let read = |n: &super::frozen::Name| self.state.reading(&n.operation, &n.reading).is_some();
            let mut held = all.filter(|rule| rule.of.iter().any(of));
            let points = || self.plan.operations.iter().flat_map(|o| o.points().map(move |p| (o, p)));
            let signed = || {
                points().any(|(o, p)| {
                    self.state.standing(o, p).iter().any(|s| !s.waived && s.mark.n > old.n)
                        && self.plan.stands_under(&reading.operation.key, o, p)
                })
            };
            self.plan.rules >= GATED_SINCE && (held.any(|rule| rule.of.iter().all(read)) || signed())
        };
        let (stops, relied) = (stops(), relied());
        if !self.same(&old.by, person) || reading.verdict == Judged::Recorded && !stops && !relied {
            return Ok(());
        }
        let place = format!("{}.{}", reading.operation.number, reading.reading);
        let is = match reading.verdict {
            Judged::Recorded if stops => "part of a rule that says STOP".to_owned(),
            Judged::Recorded => "what others were held against, or signed on, since".to_owned(),
            verdict => verdict.to_string(),
        };
        Err(refuse(
            "L142",
            "a slip of the pen after a verdict is confirmed by a second person",
            format!("{} wrote {place} in entry {}, which is {is}", old.by.name, old.n),
            format!(
                "have {} correct it with what it should be: tackwright measure {} {place} VALUE{} --corrects {} --reason \"…\" --by {}; or read again, and both stand: {}",
                self.others_at(reading, person),
                self.plan.number,
                reading.tool.as_ref().map(|tool| format!(" --with {tool}")).unwrap_or_default(),
                old.n,
                self.others(reading, person).first().copied().unwrap_or("ID"),
                self.again_at(reading)
            ),
        ))
    }
}
