//! What a family says of its inputs, in the keys of the job: nobody can write an input's
//! own name into a job file.

use std::collections::BTreeMap;

use crate::figure::{Family, InputKind, Trouble};
use crate::file::last;
use crate::job::model::Units;
use crate::quantity::{Style, parse};

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

    /// A sentence with every input as the job says it.
    pub(super) fn sentence(&self, text: &str) -> String {
        let mut out = text.to_owned();
        for (start, word) in self.inputs(text).into_iter().rev() {
            out.replace_range(start..start + word.len(), &self.name(word));
        }
        out
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
            let kind = self.family.input(word).map(|input| input.kind);
            let (Some(value), Some(InputKind::Quantity(kind))) = (value, kind) else { continue };
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
                Trouble::OutOfRange { input: self.name(&input), given, range, source }
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
    }
}
