//! The commands in the order of the work, as the help of the program lists them.

use clap::{Command, CommandFactory};

use super::{Cli, terminal};

/// What one does with a job from the first line to the proof, and with which commands.
const FLOW: &[(&str, &[&str])] = &[
    ("Write and plan a job", &["new", "check", "figures", "route", "rules"]),
    ("Put it on paper", &["issue", "revise", "template", "copy"]),
    (
        "Keep the record while the work goes on",
        &["desk", "status", "tick", "measure", "sign", "photo", "bars"],
    ),
    ("Take in sheets, copies and pictures", &["sheet", "returned", "look"]),
    ("Decide what was not planned", &["found", "dispose", "waive", "correct"]),
    ("Close and prove", &["close", "complete", "key", "timestamp", "verify"]),
    ("Shop and bench", &["shop", "reckon"]),
    ("About the program", &["schema", "completions", "manual", "help"]),
];

/// The command line, its help in groups.
pub(super) fn command() -> Command {
    let mut command = Cli::command();
    command.build();
    let groups: Vec<String> = FLOW.iter().map(|(title, names)| group(&command, title, names)).collect();
    let list = groups.join("\n\n");
    Cli::command().help_template(format!(
        "{{about-with-newline}}\n{{usage-heading}} {{usage}}\n\nCommands:\n\n{list}\n\nOptions:\n{{options}}{{after-help}}"
    ))
}

fn group(command: &Command, title: &str, names: &[&str]) -> String {
    // The longest name, and two spaces on either side of it.
    let beside = command.get_subcommands().map(|c| c.get_name().len()).max().unwrap_or_default() + 4;
    let lines = names.iter().filter_map(|name| {
        let about = command.find_subcommand(name)?.get_about()?.to_string();
        let first = format!("  {name:<width$}", width = beside - 2);
        let later = " ".repeat(beside);
        let options = textwrap::Options::new(terminal::columns())
            .initial_indent(&first)
            .subsequent_indent(&later)
            .word_splitter(textwrap::WordSplitter::NoHyphenation);
        Some(textwrap::fill(&about, options))
    });
    format!("{title}\n{}", lines.collect::<Vec<_>>().join("\n"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_command_stands_in_one_group() {
        let mut command = Cli::command();
        command.build();
        let mut all: Vec<&str> = command.get_subcommands().map(Command::get_name).collect();
        let mut grouped: Vec<&str> = FLOW.iter().flat_map(|(_, names)| names.iter().copied()).collect();
        all.sort_unstable();
        grouped.sort_unstable();
        assert_eq!(all, grouped);
    }
}
