//! `reckon`: one figure at the bench.

use serde_json::json;

use crate::app::reckon as use_case;
use crate::cli::args::Reckon;
use crate::cli::{Ending, terminal};
use crate::diagnostic::Diagnostic;
use crate::figure::{Family, Figure, Given, Group, Need, registry};

pub(super) fn run(args: &Reckon) -> Ending {
    let Some(name) = &args.figure else {
        list(args.json);
        return Ending::Done;
    };
    let family = match use_case::family(name) {
        Ok(family) => family,
        Err(problem) => {
            terminal::problem(&problem);
            return Ending::Refused;
        }
    };
    if args.inputs.is_empty() && family.inputs.iter().any(|i| i.need == Need::Required) {
        if args.json {
            terminal::json(&use_case::listing_json(family));
        } else {
            describe(family);
        }
        return Ending::Done;
    }
    let mut pairs = Vec::new();
    for input in &args.inputs {
        match input.split_once('=') {
            Some((name, value)) => pairs.push((name.trim(), value)),
            None => {
                terminal::problem(
                    &Diagnostic::error("F004", format!("\"{input}\" is not name=value"))
                        .example(format!("tackwright reckon {} {}", family.name, family.example)),
                );
                return Ending::Refused;
            }
        }
    }
    let (family, given) = match use_case::read_question(family, &pairs) {
        Ok(question) => question,
        Err(report) => {
            report.problems.iter().for_each(terminal::problem);
            return Ending::Refused;
        }
    };
    match family.reckon(&given) {
        Ok(figures) if args.json => terminal::json(&use_case::answer_json(family, &given, &figures)),
        Ok(figures) => print(family, &given, &figures),
        Err(trouble) => {
            terminal::problem(&use_case::trouble(family, &trouble));
            return Ending::Refused;
        }
    }
    Ending::Done
}

fn list(json: bool) {
    if json {
        let all: Vec<_> = registry::families().map(use_case::listing_json).collect();
        terminal::json(&json!({ "figures": all }));
        return;
    }
    let mut group = None;
    let width = registry::families().map(|f| f.name.len()).max().unwrap_or(0);
    for family in registry::families() {
        if group != Some(family.group) {
            if group.is_some() {
                terminal::out("");
            }
            terminal::out(heading(family.group));
            group = Some(family.group);
        }
        terminal::out(format!("  {:width$}  {}", family.name, family.title));
    }
    terminal::out("");
    terminal::out("tackwright reckon NAME shows the inputs of one; --json lists everything.");
}

fn heading(group: Group) -> &'static str {
    match group {
        Group::Geometry => "GEOMETRY",
        Group::Welding => "WELDING",
        Group::Fastening => "FASTENING",
        Group::Metrology => "METROLOGY",
    }
}

fn describe(family: &Family) {
    terminal::out(format!("{}: {}", family.name, family.title));
    terminal::out("");
    terminal::out("INPUTS");
    for input in family.inputs {
        let need = match input.need {
            Need::Required => "required".to_owned(),
            Need::Optional => "optional".to_owned(),
            Need::Default(text) => format!("default {text}"),
        };
        terminal::out(format!("  {} ({need}): {}", input.name, input.help));
        let also = match input.aliases {
            [] => String::new(),
            aliases => format!("; also {}", aliases.join(", ")),
        };
        terminal::out(format!("      {}{also}", use_case::kind_words(input.kind)));
    }
    terminal::out("");
    terminal::out("GIVES");
    for output in family.outputs {
        terminal::out(format!("  {}: {}", output.id, output.title));
        terminal::out(format!("      {}", output.formula));
        terminal::out(format!("      {}", output.source));
    }
    terminal::out("");
    terminal::out(format!("Example: tackwright reckon {} {}", family.name, family.example));
}

/// The result first, then how it was found, then what to heed.
fn print(family: &Family, given: &Given, figures: &[Figure]) {
    let Some(first) = figures.first() else { return };
    let main = registry::main_output(family, figures.iter().map(|f| f.id));
    terminal::out(format!("{}: {}", family.name, family.title));
    terminal::out("");
    let width = figures.iter().map(|f| f.title.chars().count()).max().unwrap_or(0).min(56);
    let line = |figure: &Figure, mark: &str| {
        let spread = figure.show_uncertainty().map_or(String::new(), |u| format!("  ± {u} (k = 2)"));
        terminal::out(format!("{mark} {:width$}  {}{spread}", figure.title, figure.show()));
    };
    if let Some(figure) = figures.get(main) {
        line(figure, "*");
    }
    for (_, figure) in figures.iter().enumerate().filter(|(i, _)| *i != main) {
        line(figure, " ");
    }
    if !first.inputs.is_empty() {
        terminal::out("");
        let used: Vec<String> =
            first.inputs.iter().map(|u| format!("{} {}", u.name, u.value.show())).collect();
        terminal::out(format!("From: {}", used.join(", ")));
    }
    let unused = use_case::unused(given, figures);
    if !unused.is_empty() {
        terminal::out(format!("Not used: {}", unused.join(", ")));
    }
    for warning in &first.warnings {
        terminal::out(format!("! {warning}"));
    }
    terminal::out("");
    for figure in figures {
        terminal::out(format!("  {} = {}", figure.id, figure.formula));
    }
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
    terminal::out("");
    for (source, ids) in sources {
        terminal::out(format!("  {}: {source}", ids.join(", ")));
    }
}
