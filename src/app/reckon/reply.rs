//! What `reckon` answers, in lines for people and JSON for machines.

use serde_json::{Value as Json, json};

use super::{family, idle, kind_words, machine, named, names, read_question, trouble, used};
use crate::diagnostic::{Diagnostic, Report};
use crate::figure::defaults;
use crate::figure::{Family, Figure, Given, Group, Need, Used, Value, registry};

/// What a question at the bench is answered with.
#[derive(Debug, Clone)]
pub enum Reply {
    /// Every family.
    List,
    /// Every output with its source.
    Sources,
    /// Every default with its source.
    Defaults,
    /// What one family takes and gives.
    About(&'static Family),
    /// One family asked with inputs: what was given, and every figure that follows.
    Figures(&'static Family, Given, Vec<Figure>),
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Unanswered {
    /// The question is not one: no such figure or input, or no `name=value`.
    Misasked(Report),
    /// The inputs do not give the figure: all reasons.
    Refused(Report),
}

impl Unanswered {
    /// Every problem there is, whichever way it is not answered.
    #[must_use]
    pub fn report(&self) -> Report {
        let (Unanswered::Misasked(report) | Unanswered::Refused(report)) = self;
        report.clone()
    }
}

/// Answers a figure's name and its inputs as `name=value` texts. Without any
/// input, the family is described.
///
/// # Errors
/// If the question is malformed, or the inputs do not give the figure.
pub fn ask(name: &str, inputs: &[String]) -> Result<Reply, Unanswered> {
    let family = family(name).map_err(misasked)?;
    if inputs.is_empty() {
        return Ok(Reply::About(family));
    }
    let pairs: Vec<(&str, &str)> =
        inputs.iter().map(|input| pair(family, input)).collect::<Result<_, _>>().map_err(misasked)?;
    let (family, given) = read_question(family, &pairs).map_err(misread)?;
    match family.reckon(&given) {
        Ok(figures) => Ok(Reply::Figures(family, given, figures)),
        Err(why) => Err(Unanswered::Refused(Report { problems: vec![trouble(family, &pairs, &why)] })),
    }
}

fn misasked(problem: Diagnostic) -> Unanswered {
    Unanswered::Misasked(Report { problems: vec![problem] })
}

/// A name that is no input, or not one alone, is a wrong command line; a value
/// that does not fit its input is refused.
fn misread(report: Report) -> Unanswered {
    match report.problems.iter().find(|p| matches!(p.code, "F002" | "F005" | "F006")) {
        Some(_) => Unanswered::Misasked(report),
        None => Unanswered::Refused(report),
    }
}

fn pair<'a>(family: &Family, input: &'a str) -> Result<(&'a str, &'a str), Diagnostic> {
    input.split_once('=').map(|(name, value)| (name.trim(), value)).ok_or_else(|| {
        let meant = named(family, input).unwrap_or_else(|| family.example.to_owned());
        Diagnostic::error("F004", format!("\"{input}\" is not name=value"))
            .example(format!("tackwright reckon {} {meant}", family.name))
    })
}

impl Reply {
    /// For machines.
    #[must_use]
    pub fn json(&self) -> Json {
        match self {
            Reply::List => {
                json!({ "figures": registry::families().map(machine::listing_json).collect::<Vec<_>>() })
            }
            Reply::Sources => json!({
                "sources": sources().map(|(family, output)| json!({
                    "figure": family.name, "id": output.id, "source": output.source.to_string(),
                    "from_memory": output.source.from_memory,
                })).collect::<Vec<_>>(),
            }),
            Reply::Defaults => json!({
                "defaults": defaults::all().map(|usual| json!({
                    "figure": usual.family.name, "input": usual.input.name, "default": usual.text,
                    "source": usual.source.map(|source| source.to_string()), "basis": usual.basis(),
                    "from_memory": usual.source.is_some_and(|source| source.from_memory),
                })).collect::<Vec<_>>(),
            }),
            Reply::About(family) => machine::listing_json(family),
            Reply::Figures(family, given, figures) => machine::answer_json(family, given, figures),
        }
    }

    /// For people.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        match self {
            Reply::List => list(),
            Reply::Sources => sources()
                .map(|(family, output)| format!("{}.{} | {}", family.name, output.id, output.source))
                .collect(),
            Reply::Defaults => defaults::all()
                .map(|u| format!("{}.{} | {} | {}", u.family.name, u.input.name, u.text, u.basis()))
                .collect(),
            Reply::About(family) => about(family),
            Reply::Figures(family, given, figures) => worked(family, given, figures),
        }
    }
}

fn sources() -> impl Iterator<Item = (&'static Family, &'static crate::figure::Output)> {
    registry::families().flat_map(|family| family.outputs.iter().map(move |output| (family, output)))
}

fn list() -> Vec<String> {
    let mut lines = Vec::new();
    let mut group = None;
    let width = registry::families().map(|f| f.name.len()).max().unwrap_or(0);
    for family in registry::families() {
        if group != Some(family.group) {
            if group.is_some() {
                lines.push(String::new());
            }
            lines.push(heading(family.group).to_owned());
            group = Some(family.group);
        }
        lines.push(format!("  {:width$}  {}", family.name, family.title));
    }
    lines.push(String::new());
    lines.push("tackwright reckon NAME shows the inputs of one; --json lists everything.".to_owned());
    lines
}

fn heading(group: Group) -> &'static str {
    match group {
        Group::Geometry => "GEOMETRY",
        Group::Welding => "WELDING",
        Group::Fastening => "FASTENING",
        Group::Metrology => "METROLOGY",
    }
}

fn about(family: &Family) -> Vec<String> {
    let mut lines = vec![format!("{}: {}", family.name, family.title), String::new(), "INPUTS".to_owned()];
    for input in family.inputs {
        let need = match input.need {
            Need::Required => "required".to_owned(),
            Need::Optional => "optional".to_owned(),
            Need::Default(text) => format!("default {text}"),
        };
        lines.push(format!("  {} ({need}): {}", input.name, input.help));
        lines.push(format!("      {}", kind_words(input)));
        let others: Vec<&str> = names::all_names(input).skip(1).collect();
        if !others.is_empty() {
            lines.push(format!("      or: {}", others.join(", ")));
        }
    }
    lines.push(String::new());
    lines.push("GIVES".to_owned());
    for output in family.outputs {
        lines.push(format!("  {}: {}", output.id, output.title));
        lines.push(format!("      {}", output.formula));
        lines.push(format!("      {}", output.source));
    }
    lines.push(String::new());
    lines.push(format!("Example: tackwright reckon {} {}", family.name, family.example));
    lines
}

/// What a ± contains, where some of the quantities that were given have none.
fn partly_known(used: &[&Used]) -> Option<String> {
    let spread = |value: &Value| matches!(value, Value::Quantity { uncertainty, .. } if *uncertainty > 0.0);
    let (with, without): (Vec<&Used>, Vec<&Used>) = used
        .iter()
        .copied()
        .filter(|used| used.default.is_none() && used.value.quantity().is_some())
        .partition(|used| spread(&used.value));
    let names = |list: &[&Used]| list.iter().map(|u| u.name).collect::<Vec<_>>().join(", ");
    (!with.is_empty() && !without.is_empty()).then(|| {
        format!("± contains {} alone; {} given without ± and taken as exact.", names(&with), names(&without))
    })
}

/// The result first, then what it came from, then what to heed, then how.
fn worked(family: &Family, given: &Given, figures: &[Figure]) -> Vec<String> {
    let Some(first) = figures.first() else { return Vec::new() };
    let main = registry::main_output(family, figures.iter().map(|f| f.id));
    let mut lines = vec![format!("{}: {}", family.name, family.title)];
    lines.extend(idle(given, figures).iter().map(|warning| format!("! {warning}")));
    lines.push(String::new());
    let width = figures.iter().map(|f| f.title.chars().count()).max().unwrap_or(0).min(56);
    let line = |figure: &Figure, mark: &str| {
        let spread = figure.show_uncertainty().map_or(String::new(), |u| format!("  ± {u} (k = 2)"));
        format!("{mark} {:width$}  {}{spread}", figure.title, figure.show())
    };
    lines.extend(figures.get(main).map(|figure| line(figure, "*")));
    lines.extend(figures.iter().enumerate().filter(|(i, _)| *i != main).map(|(_, figure)| line(figure, " ")));
    let used = used(given, figures);
    if !used.is_empty() {
        let shown: Vec<String> = used.iter().map(|u| format!("{} {}", u.name, u.show())).collect();
        lines.extend([String::new(), format!("From: {}", shown.join(", "))]);
    }
    lines.extend(partly_known(&used));
    lines.extend(first.warnings.iter().map(|warning| format!("! {warning}")));
    lines.push(String::new());
    lines.extend(figures.iter().map(|figure| format!("  {} = {}", figure.id, figure.formula)));
    lines.push(String::new());
    let mut sources: Vec<(String, Vec<&str>)> = Vec::new();
    for figure in figures {
        let text = match figure.range {
            "" => figure.source.to_string(),
            range => format!("{}; good for {range}", figure.source),
        };
        match sources.iter_mut().find(|(known, _)| *known == text) {
            Some((_, ids)) => ids.push(figure.id),
            None => sources.push((text, vec![figure.id])),
        }
    }
    lines.extend(sources.iter().map(|(source, ids)| format!("  {}: {source}", ids.join(", "))));
    lines
}
