//! A registry entry and the figures it gives.

use std::collections::BTreeMap;

use serde::Serialize;

use super::answer::Row;
use super::range::{ANY, plausible};
use super::{Answer, Given, Range, Rule, Trouble, Used, Value};
use crate::quantity::{Kind, Style, Toward};
use crate::source::Source;

/// Trade a family belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Group {
    /// Axle, spring, steering and driveline geometry.
    Geometry,
    /// Heat, preheat, sizes, strength and acceptance of welds.
    Welding,
    /// Threads and tightening.
    Fastening,
    /// Measurement and decision.
    Metrology,
}

/// What an input may hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum InputKind {
    /// A quantity of this kind, with its unit at the bench.
    Quantity(Kind),
    /// Several quantities of this kind, separated by commas at the bench.
    List(Kind),
    /// One of these words.
    Choice(&'static [&'static str]),
    /// A free designation looked up in a table, such as a thread or a grade.
    Name,
    /// Yes or no.
    Flag,
}

/// Whether an input has to be there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// It must be given.
    Required,
    /// It may be given; the help says what happens without it.
    Optional,
    /// It may be given; this is used otherwise, and said so.
    Default(&'static str),
}

/// A declared input.
#[derive(Debug, Clone, Copy)]
pub struct Input {
    /// Name: a trade word in lower case with underscores.
    pub name: &'static str,
    /// Other names accepted at the bench.
    pub aliases: &'static [&'static str],
    /// What it may hold.
    pub kind: InputKind,
    /// Whether it is needed.
    pub need: Need,
    /// Values it may have.
    pub range: Range,
    /// For a choice: other words for its words, each with its word.
    pub twins: &'static [(&'static str, &'static str)],
    /// What it is, with sign convention.
    pub help: &'static str,
}

impl Input {
    /// Yes or no; absent means no.
    #[must_use]
    pub const fn flag(name: &'static str, help: &'static str) -> Self {
        Self { name, aliases: &[], kind: InputKind::Flag, need: Need::Optional, range: ANY, twins: &[], help }
    }
}

/// What an output holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OutputKind {
    /// A quantity of this kind, in SI base units.
    Quantity(Kind),
    /// Several quantities in order.
    List(Kind),
    /// A word or sentence.
    Word,
    /// Several words in order.
    Words,
    /// Yes or no.
    Flag,
}

/// A declared output.
#[derive(Debug, Clone, Copy)]
pub struct Output {
    /// Id: lower case with underscores, an identifier in templates.
    pub id: &'static str,
    /// What a person calls it.
    pub title: &'static str,
    /// What it holds.
    pub kind: OutputKind,
    /// Formula in readable form.
    pub formula: &'static str,
    /// Source of the formula.
    pub source: Source,
    /// Range it is good for, in words.
    pub range: &'static str,
    /// How it is shown; carries the safe direction of rounding.
    pub style: Option<Style>,
    /// What of it is a claim that must be earned: how words begin, or `yes` or `no` of
    /// a flag.
    pub claims: &'static [&'static str],
    /// A limit to work to, and which way is safe: it is given with the expanded
    /// uncertainty of the inputs taken off or added.
    pub limit: Option<Toward>,
}

impl Output {
    /// Of any kind; a quantity is shown in the usual style of its kind.
    #[must_use]
    pub const fn of(
        kind: OutputKind,
        id: &'static str,
        title: &'static str,
        formula: &'static str,
        source: Source,
    ) -> Self {
        let style = match kind {
            OutputKind::Quantity(kind) | OutputKind::List(kind) => Some(Style::of(kind)),
            OutputKind::Word | OutputKind::Words | OutputKind::Flag => None,
        };
        let claims: &[&str] = match kind {
            OutputKind::Flag => &["yes"],
            _ => &[],
        };
        Self { id, title, kind, formula, source, range: "", style, claims, limit: None }
    }

    /// The same, of which these words are claims: within an uncertainty that leads
    /// to another word they are not proven.
    #[must_use]
    pub const fn claims(mut self, words: &'static [&'static str]) -> Self {
        self.claims = words;
        self
    }

    /// Whether a value of it is a claim that must be earned.
    #[must_use]
    pub fn is_claim(&self, value: &Value) -> bool {
        match value {
            // What is open claims nothing.
            Value::Word(word) => {
                !word.starts_with("not ") && self.claims.iter().any(|claim| word.starts_with(claim))
            }
            Value::Flag(flag) => self.claims.contains(&if *flag { "yes" } else { "no" }),
            _ => false,
        }
    }

    /// Whether a value of it denies what could be claimed: a no that has to be
    /// proven as well.
    pub(super) fn is_denial(&self, value: &Value) -> bool {
        match value {
            Value::Word(word) => {
                !self.claims.is_empty() && (word == "no" || word.starts_with("no:") || word == "reject")
            }
            Value::Flag(flag) => self.claims == ["yes"] && !flag,
            _ => false,
        }
    }

    /// The same, a greatest value to work to: shown down, and given less the
    /// expanded uncertainty (k = 2) of what it is worked out from.
    #[must_use]
    pub const fn at_most(mut self) -> Self {
        self.limit = Some(Toward::Down);
        self.down()
    }

    /// The same, a least value to work to: shown up, and given with that
    /// uncertainty added.
    #[must_use]
    pub const fn at_least(mut self) -> Self {
        self.limit = Some(Toward::Up);
        self.up()
    }

    /// The same with a range in words.
    #[must_use]
    pub const fn range(mut self, range: &'static str) -> Self {
        self.range = range;
        self
    }

    /// The same, shown in `style`.
    #[must_use]
    pub const fn style(mut self, style: Style) -> Self {
        self.style = Some(style);
        self
    }

    /// The same, never shown above the exact value.
    #[must_use]
    pub const fn down(mut self) -> Self {
        if let Some(style) = self.style {
            self.style = Some(style.down());
        }
        self
    }

    /// The same, never shown below the exact value.
    #[must_use]
    pub const fn up(mut self) -> Self {
        if let Some(style) = self.style {
            self.style = Some(style.up());
        }
        self
    }
}

/// The function behind a family.
pub type Run = fn(&Given, &mut Answer) -> Result<(), Trouble>;

/// What `family!` declares beside the rows.
#[derive(Debug, Clone, Copy)]
pub struct Declared {
    /// What may be given beside what.
    pub rules: &'static [Rule],
    /// Other names of the family.
    pub other_names: &'static [&'static str],
    /// Outputs a person asks for: the first of these that is given.
    pub asked: &'static [&'static str],
}

/// One registry entry.
#[derive(Debug, Clone, Copy)]
pub struct Family {
    /// Name: a trade word, lower case, words joined by hyphens.
    pub name: &'static str,
    /// What `family!` declares beside the rows.
    pub declared: Declared,
    /// Trade.
    pub group: Group,
    /// One line that says what it answers.
    pub title: &'static str,
    /// Inputs in the order a person gives them.
    pub inputs: &'static [Input],
    /// Outputs in the order a person reads them.
    pub outputs: &'static [Output],
    /// A command line after `reckon NAME` that works as it stands.
    pub example: &'static str,
    /// The function.
    pub run: Run,
}

/// A computed value with its history.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Family that gave it.
    pub family: &'static str,
    /// Output id.
    pub id: &'static str,
    /// What a person calls it.
    pub title: &'static str,
    /// The value; its uncertainty is a standard uncertainty.
    pub value: Value,
    /// The declared formula, or the branch of it that gave the value.
    pub formula: String,
    /// Inputs used, in declared order: those given, and the defaults of those not given.
    pub inputs: Vec<Used>,
    /// Source of the formula.
    pub source: Source,
    /// Range it is good for.
    pub range: &'static str,
    /// How it is shown.
    pub style: Option<Style>,
    /// Warnings of the whole family run; the same on each of its figures.
    pub warnings: Vec<String>,
    /// Those of the warnings that go with the method whatever the inputs are.
    pub notes: Vec<String>,
}

impl Figure {
    /// Value in words, both units, rounded safely.
    #[must_use]
    pub fn show(&self) -> String {
        self.value.show_with(self.style)
    }

    /// Expanded uncertainty (k = 2) in words, if there is one, rounded up to a
    /// tenth of its size.
    #[must_use]
    pub fn show_uncertainty(&self) -> Option<String> {
        self.value.show_greatest_uncertainty(self.style)
    }

    /// The same with its sign and what it holds, in a style of the page's:
    /// `± 0.0047 in (k = 2, of tube od alone)` where other quantities were given
    /// without ± and stand in the value as exact.
    #[must_use]
    pub fn show_spread(&self, style: Option<Style>) -> Option<String> {
        let spread = self.value.show_greatest_uncertainty(style)?;
        let given = self.inputs.iter().filter(|used| used.default.is_none());
        let (with, without): (Vec<&Used>, Vec<&Used>) =
            given.filter(|used| used.value.holds_quantity()).partition(|used| used.value.is_uncertain());
        let alone = match (with.as_slice(), without.is_empty()) {
            ([_, ..], false) => {
                let names: Vec<String> = with.iter().map(|used| used.name.replace('_', " ")).collect();
                format!(", of {} alone", names.join(", "))
            }
            _ => String::new(),
        };
        Some(format!("± {spread} (k = 2{alone})"))
    }
}

impl Family {
    /// The declared input of this name.
    #[must_use]
    pub fn input(&self, name: &str) -> Option<&'static Input> {
        self.inputs.iter().find(|i| i.name == name)
    }

    /// The declared output of this id.
    #[must_use]
    pub fn output(&self, id: &str) -> Option<&'static Output> {
        self.outputs.iter().find(|o| o.id == id)
    }

    /// Whether what was given can be a question to the family at all.
    ///
    /// # Errors
    /// If inputs are missing (all are named), contradict each other, or are
    /// nothing that exists.
    pub fn check(&self, given: &Given) -> Result<(), Trouble> {
        let required: Vec<_> =
            self.inputs.iter().filter(|i| i.need == Need::Required).map(|i| i.name).collect();
        // Ends that stand in each other's place are told first: more inputs mend nothing.
        let (ordered, rules): (Vec<&Rule>, Vec<&Rule>) =
            self.declared.rules.iter().partition(|rule| matches!(rule, Rule::Ordered(_)));
        ordered.into_iter().try_for_each(|rule| rule.check(given))?;
        given.require(&required)?;
        given.iter().try_for_each(|(name, value)| plausible(name, value))?;
        given
            .iter()
            .filter_map(|(name, value)| Some((self.input(name)?, value)))
            .try_for_each(|(input, value)| input.range.holds_spread(input.name, value))?;
        rules.into_iter().try_for_each(|rule| rule.check(given))
    }

    /// Computes all figures of the family.
    ///
    /// # Errors
    /// If inputs are missing (all are named), out of range, or contradictory.
    pub fn reckon(&self, given: &Given) -> Result<Vec<Figure>, Trouble> {
        self.check(given)?;
        let mut answer = Answer::default();
        (self.run)(given, &mut answer)?;
        let spread = self.propagate(given, &answer);
        if uncertain_inputs(given).is_empty() {
            self.settle(&mut answer, &spread);
        } else {
            // Verdicts on several conditions are reached with the uncertainty of
            // what they judge.
            let mut knowing = Answer::knowing(&answer, &spread.of);
            (self.run)(given, &mut knowing)?;
            let plain = std::mem::replace(&mut answer, knowing);
            self.settle(&mut answer, &spread);
            self.tell_unproven(given, &plain, &mut answer);
        }
        self.inputs
            .iter()
            .filter_map(|input| input.range.unusual(input.name, given.peek(input.name)?))
            .for_each(|text| answer.said.warn(text));
        let read = given.names_read();
        let inputs: Vec<Used> = self
            .inputs
            .iter()
            .filter(|i| read.contains(i.name))
            .filter_map(|i| match given.get(i.name) {
                Some(value) => Some(Used::given(i.name, value.clone())),
                None => Used::defaulted(i),
            })
            .collect();
        let (warnings, notes): (Vec<String>, Vec<String>) =
            (answer.said.warnings().cloned().collect(), answer.said.notes().cloned().collect());
        let mut figures = Vec::with_capacity(answer.rows.len());
        for (index, Row { id, mut value, how, .. }) in answer.rows.into_iter().enumerate() {
            let Some(output) = self.output(id) else {
                return Err(Trouble::impossible(
                    format!("{} gives \"{id}\", which it does not declare", self.name),
                    "this is a defect of the program",
                ));
            };
            let mut guarded = "";
            let items: Vec<(Option<usize>, &mut Value)> = match &mut value {
                Value::List(list) => list.iter_mut().enumerate().map(|(at, item)| (Some(at), item)).collect(),
                value => vec![(None, value)],
            };
            for (at, item) in items {
                let Value::Quantity { quantity, uncertainty } = item else { continue };
                if !quantity.si().is_finite() {
                    return Err(Trouble::impossible(
                        format!("{} has no finite value for these inputs", output.title),
                        "check the inputs against each other",
                    ));
                }
                *uncertainty = libm::hypot(*uncertainty, spread.carried(index, at));
                if let Some(toward) = output.limit.filter(|_| *uncertainty > 0.0) {
                    let guard = if toward == Toward::Up { 2.0 } else { -2.0 } * *uncertainty;
                    *quantity = quantity.moved(guard);
                    *uncertainty = 0.0;
                    guarded = ", with its expanded uncertainty (k = 2) on the safe side";
                }
            }
            figures.push(Figure {
                family: self.name,
                id: output.id,
                title: output.title,
                value,
                formula: how.formula.unwrap_or_else(|| output.formula.to_owned()) + guarded,
                inputs: inputs.clone(),
                source: how.source.unwrap_or(output.source),
                range: output.range,
                style: how.style.or(output.style),
                warnings: warnings.clone(),
                notes: notes.clone(),
            });
        }
        Ok(figures)
    }

    /// Verdicts that rest on a margin, once its uncertainty is known: proven,
    /// disproven, or neither (ISO 14253-1, guard band of the expanded
    /// uncertainty, k = 2).
    fn settle(&self, answer: &mut Answer, spread: &Spread) {
        for row in &mut answer.rows {
            let Some(judged) = row.judged.take() else { continue };
            let guard = 2.0 * spread.margins.get(row.id).copied().unwrap_or(0.0);
            if guard == 0.0 || judged.margin >= guard || judged.margin < -guard {
                continue;
            }
            let title = self.output(row.id).map_or(row.id, |o| o.title);
            answer.said.warn(format!(
                "{title}: not proven. The margin to the limit is smaller than its expanded uncertainty (k = 2); measure better, or keep further from the limit."
            ));
            // A yes or no that is neither is a word of its own.
            row.value =
                if matches!(judged.open, Value::Flag(_)) { Value::word(NOT_PROVEN) } else { judged.open };
        }
    }

    /// Standard uncertainty of each quantity output, by position in the
    /// answer, and of each margin a verdict rests on, from independent inputs: u^2 = sum (df/dx u(x))^2 with df/dx
    /// taken as half the change over x - u to x + u, or at an extreme as the larger of
    /// the changes to either side (JCGM 100:2008, 5.1.2, note: where the function is
    /// not straight there).
    fn propagate(&self, given: &Given, answer: &Answer) -> Spread {
        let mut spread = Spread::default();
        for (name, index, uncertainty) in uncertain_inputs(given) {
            let run = |by: f64| {
                let mut moved = Answer::holding(answer);
                (self.run)(&given.moved(name, index, by), &mut moved).ok().map(|()| moved)
            };
            // At the edge of a range only one side can be taken.
            let sides = match (run(-uncertainty), run(uncertainty)) {
                (Some(low), Some(high)) => Some((low, high, 2.0)),
                (Some(low), None) => Some((low, answer.clone(), 1.0)),
                (None, Some(high)) => Some((answer.clone(), high, 1.0)),
                (None, None) => None,
            };
            let Some((low, high, width)) = sides else { continue };
            for (i, row) in answer.rows.iter().enumerate() {
                let (Some(low), Some(high)) = (at(&low, i, row.id), at(&high, i, row.id)) else { continue };
                // What was decided has no uncertainty of its own.
                if row.decided {
                    continue;
                }
                if let Some(change) = change(&low.value, &row.value, &high.value, width) {
                    *spread.of.entry(i).or_default() += change * change;
                }
                if let (Value::List(low), Value::List(own), Value::List(high)) =
                    (&low.value, &row.value, &high.value)
                    && low.len() == own.len()
                    && high.len() == own.len()
                {
                    for (at, own) in own.iter().enumerate() {
                        if let Some(change) = change(&low[at], own, &high[at], width) {
                            *spread.items.entry((i, at)).or_default() += change * change;
                        }
                    }
                }
            }
            for row in &answer.rows {
                let margin = |a: &Answer| a.row(row.id)?.judged.as_ref().map(|judged| judged.margin);
                if let (Some(own), Some(low), Some(high)) = (margin(answer), margin(&low), margin(&high)) {
                    // The least of two margins that run against each other hardly
                    // changes from end to end: the larger step counts.
                    let change = (low - own).abs().max((high - own).abs());
                    *spread.margins.entry(row.id).or_default() += change * change;
                }
            }
        }
        let squares = spread.of.values_mut().chain(spread.items.values_mut());
        squares.chain(spread.margins.values_mut()).for_each(|square| *square = square.sqrt());
        if answer.said.settled() {
            // The outputs contain it already.
            spread.of.clear();
            spread.items.clear();
        }
        spread
    }
}

/// Share of the larger step below which the slope across both is not taken for it: of the
/// larger of two equal values it is half.
const KINKED: f64 = 0.6;

/// What stands where neither a claim nor its denial is proven.
pub(super) const NOT_PROVEN: &str = "not proven";

/// The output at this place of an answer, if it is still this one.
fn at<'a>(answer: &'a Answer, place: usize, id: &str) -> Option<&'a Row> {
    answer.rows.get(place).filter(|row| row.id == id)
}

/// How far a quantity goes with an input that goes from one end of its standard
/// uncertainty to the other, over the `width` of both.
fn change(low: &Value, own: &Value, high: &Value, width: f64) -> Option<f64> {
    let (low, own, high) = (low.quantity()?, own.quantity()?, high.quantity()?);
    let slope = (high.si() - low.si()) / width;
    let step = (low.si() - own.si()).abs().max((high.si() - own.si()).abs());
    // At an extreme or a kink (a size without its sign, the larger of two)
    // the slope from end to end is none, and the value moves all the same.
    Some(if slope.abs() < KINKED * step { step } else { slope })
}

/// Standard uncertainties of an answer.
#[derive(Debug, Default)]
struct Spread {
    /// Of the outputs, by position in the answer.
    of: BTreeMap<usize, f64>,
    /// Of the items of a list, by position in the answer and in the list.
    items: BTreeMap<(usize, usize), f64>,
    /// Of the margins that verdicts rest on, by output.
    margins: BTreeMap<&'static str, f64>,
}

impl Spread {
    /// What is carried to an output, or to an item of it.
    fn carried(&self, output: usize, item: Option<usize>) -> f64 {
        let found = match item {
            Some(item) => self.items.get(&(output, item)),
            None => self.of.get(&output),
        };
        found.copied().unwrap_or(0.0)
    }
}

/// Every uncertain input, list elements one by one.
pub(super) fn uncertain_inputs(given: &Given) -> Vec<(&'static str, Option<usize>, f64)> {
    let mut found = Vec::new();
    for (name, value) in given.iter() {
        match value {
            Value::Quantity { uncertainty, .. } if *uncertainty > 0.0 => {
                found.push((name, None, *uncertainty));
            }
            Value::List(list) => {
                for (i, item) in list.iter().enumerate() {
                    if let Value::Quantity { uncertainty, .. } = item
                        && *uncertainty > 0.0
                    {
                        found.push((name, Some(i), *uncertainty));
                    }
                }
            }
            _ => {}
        }
    }
    found
}
