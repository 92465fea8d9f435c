//! What a family says of its inputs, in the keys of the job: nobody can write an input's
//! own name into a job file.

use std::collections::BTreeMap;

use crate::figure::{Family, InputKind, Trouble};
use crate::file::last;
use crate::job::model::Units;
use crate::quantity::{Kind, Style, paired, parse};

/// The inputs of a family with the job key each comes from.
pub(super) struct Said<'a> {
    pub(super) family: &'a Family,
    pub(super) keys: &'a BTreeMap<&'static str, String>,
    /// Units of the job; none at the bench, where both are printed.
    pub(super) units: Option<Units>,
}

impl Said<'_> {
    /// The job key of an input, if it has one.
    fn key(&self, input: &str) -> Option<&str> {
        // Behind the key may stand whose it is: `joint.size (J1)`.
        let key = self.keys.get(input)?.split(" (").next().unwrap_or_default();
        (!key.is_empty() && !key.contains(' ')).then(|| last(key))
    }

    /// An input as the job says it: its key, or else in words.
    fn name(&self, input: &str) -> String {
        if let Some(key) = self.key(input) {
            return key.to_owned();
        }
        let help = self.family.input(input).map_or(input, |i| i.help);
        match self.keys.get(input).filter(|key| key.contains(' ')) {
            Some(figure) => figure.clone(),
            None => help.split([',', ';', ':', '(']).next().unwrap_or(help).trim().to_owned(),
        }
    }

    /// Whether a word can only be an input's name: none is written so in a sentence.
    fn is_input(&self, word: &str, behind: &str) -> bool {
        let name = word.contains('_') || behind.starts_with(" = ");
        name && self.family.inputs.iter().any(|input| input.name == word)
    }

    /// The inputs a text names, with where each begins.
    fn inputs<'t>(&self, text: &'t str) -> Vec<(usize, &'t str)> {
        let mut found = Vec::new();
        // Most sentences name none, and every one of every figure is asked.
        if !text.contains('_') && !text.contains(" = ") {
            return found;
        }
        let letter = |c: char| c.is_ascii_alphanumeric() || c == '_';
        let mut at = 0;
        while let Some(start) = text[at..].find(letter).map(|n| at + n) {
            let end = text[start..].find(|c| !letter(c)).map_or(text.len(), |n| start + n);
            if self.is_input(&text[start..end], &text[end..]) {
                found.push((start, &text[start..end]));
            }
            at = end;
        }
        found
    }

    /// A sentence with every input as the job says it, in the units of the job.
    pub(super) fn sentence(&self, text: &str) -> String {
        let text = &self.usual(text);
        let mut out = text.clone();
        for (start, word) in self.inputs(text).into_iter().rev() {
            out.replace_range(start..start + word.len(), &self.name(word));
        }
        self.say(out)
    }

    /// A text in the units of the job.
    fn say(&self, text: String) -> String {
        match self.units {
            Some(units) => units.say(&text),
            None => text,
        }
    }

    /// Kind of an input, if it is a quantity.
    fn kind(&self, input: &str) -> Option<Kind> {
        match self.family.input(input)?.kind {
            InputKind::Quantity(kind) => Some(kind),
            _ => None,
        }
    }

    /// A range of an input in the units of the job.
    fn range(&self, input: &str, range: String) -> String {
        let metric = self.units == Some(Units::Metric);
        let kind = self.kind(input).filter(|_| metric);
        kind.and_then(|kind| paired::range_in_metric(kind, &range)).unwrap_or(range)
    }

    /// What is usual of an input (`figure::Range::unusual`), in the units of the job.
    fn usual(&self, text: &str) -> String {
        const USUAL: &str = ", outside the usual ";
        let parts = text.split_once(" is ").zip(text.split_once(USUAL));
        let Some(((input, _), (head, tail))) = parts else { return text.to_owned() };
        let Some((range, rest)) = tail.split_once(" (") else { return text.to_owned() };
        format!("{head}{USUAL}{} ({rest}", self.range(input, range.to_owned()))
    }

    /// Advice without the ways out a job does not have: an input no key of it sets.
    fn advice(&self, text: &str) -> String {
        let can = |part: &&str| self.inputs(part).iter().all(|(_, word)| self.key(word).is_some());
        let part = |part: &str| self.sentence(&self.in_units(part));
        text.split(", or ").filter(can).map(part).collect::<Vec<_>>().join(", or ")
    }

    /// A value to write, in the units of a metric job, no further off than it was: `130.2 mm`
    /// of `spacing = "5-1/8 in"`.
    fn in_units(&self, text: &str) -> String {
        let mut out = text.to_owned();
        if self.units != Some(Units::Metric) {
            return out;
        }
        for (start, word) in self.inputs(text).into_iter().rev() {
            let begin = start + word.len() + " = \"".len();
            let value = text.get(start + word.len()..begin).filter(|between| *between == " = \"");
            let value = value.and_then(|_| text.get(begin..)?.split('"').next());
            let (Some(value), Some(kind)) = (value, self.kind(word)) else { continue };
            let Ok(read) = parse::measured(kind, value) else { continue };
            let style = Style::of(kind).metric_first().fine_enough(read.value);
            out.replace_range(begin..begin + value.len(), &style.shop(read.value));
        }
        out
    }

    /// A refusal in the words of the job.
    pub(super) fn trouble(&self, trouble: Trouble) -> Trouble {
        match trouble {
            Trouble::Impossible { why, hint } => {
                Trouble::Impossible { why: self.sentence(&why), hint: self.advice(&hint) }
            }
            Trouble::OutOfRange { input, given, range, source } => {
                let range = self.range(&input, range);
                Trouble::OutOfRange { input: self.name(&input), given: self.say(given), range, source }
            }
            Trouble::Unknown { input, given, choices } => {
                Trouble::Unknown { input: self.name(&input), given, choices }
            }
            Trouble::WrongKind { input, expected } => {
                Trouble::WrongKind { input: self.name(&input), expected }
            }
            missing @ Trouble::Missing(_) => missing,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figure::registry;
    use crate::source::Source;

    #[test]
    fn an_input_is_said_by_its_key_and_a_way_out_nobody_has_is_left_out() {
        let family = registry::find("tacks").unwrap();
        let keys: BTreeMap<&'static str, String> =
            [("spacing", "joint.tack_spacing (J1)".to_owned()), ("thinner", "joint[0].thickness".to_owned())]
                .into_iter()
                .collect();
        let said = Said { family, keys: &keys, units: None };
        assert_eq!(said.sentence("spacing = \"5 in\""), "tack_spacing = \"5 in\"");
        assert_eq!(said.sentence("the spacing of tacks"), "the spacing of tacks");
        assert_eq!(said.sentence("give tack_length."), "give length of a tack.");
        let advice = said.advice("take fewer tacks, or give the tack_length the procedure proves");
        assert_eq!(advice, "take fewer tacks");
        // 4 x 25.4 mm = 101.6 mm, exactly (ISO 31-1: 1 in = 25.4 mm).
        let metric = Said { family, keys: &keys, units: Some(Units::Metric) };
        assert_eq!(metric.advice("spacing = \"4 in\""), "tack_spacing = \"101.6 mm\"");
        assert_eq!(said.advice("spacing = \"4 in\""), "tack_spacing = \"4 in\"");
        let usual = "spacing is 9 in (229 mm), outside the usual 1 to 8 in (common practice): check.";
        let turned =
            "spacing is 229 mm (9 in), outside the usual 25.4 mm to 203 mm (common practice): check.";
        assert_eq!(metric.sentence(usual), turned);
        assert_eq!(said.sentence(usual), usual);
        let out = |said: &Said<'_>| {
            said.trouble(Trouble::OutOfRange {
                input: "spacing".to_owned(),
                given: "90 in (2286 mm)".to_owned(),
                range: "0.5 to 48 in".to_owned(),
                source: Source::practice("a test"),
            })
            .to_string()
        };
        assert!(out(&metric).contains("is 2286 mm (90 in), outside 12.7 mm to 1219 mm"), "{}", out(&metric));
        assert!(out(&said).contains("is 90 in (2286 mm), outside 0.5 to 48 in"), "{}", out(&said));
    }
}
