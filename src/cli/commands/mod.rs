//! One file per command.

mod asked;
mod boxes;
mod check;
mod close;
mod copies;
mod desk;
mod figures;
mod issue;
mod key;
mod look;
mod measure;
mod new;
mod reckon;
mod record;
mod revise;
mod route;
mod rules;
mod sheet;
mod shop;
mod shop_table;
mod status;
mod template;
mod verify;

use clap::CommandFactory;

use super::{Cli, Ending, args::Command, terminal};
use crate::app::System;

/// Runs the parsed command.
pub(super) fn run(cli: &Cli) -> Ending {
    if let Some(problem) = crate::app::record::files::no_clock() {
        terminal::problem(&problem);
        return Ending::Refused;
    }
    match &cli.command {
        Command::New(args) => new::run(&System, args),
        Command::Check(args) => check::run(&System, args),
        Command::Figures(args) => figures::run(&System, args),
        Command::Route(args) => route::run(&System, args),
        Command::Issue(args) => issue::run(&System, args),
        Command::Record(command) => record::run(&System, command),
        Command::Rules(args) => rules::run(&System, args),
        Command::Shop(args) => shop::run(&System, args),
        Command::Reckon(args) => reckon::run(args),
        Command::Template(args) => template::run(&System, args),
        Command::Schema { shop } => {
            terminal::json(&if *shop { crate::app::shop::schema() } else { crate::app::plan::schema() });
            Ending::Done
        }
        Command::Completions { shell } => {
            let mut text = Vec::new();
            clap_complete::generate(*shell, &mut Cli::command(), "tackwright", &mut text);
            terminal::out(String::from_utf8_lossy(&text).trim_end());
            Ending::Done
        }
        Command::Manual => manual(),
    }
}

/// One page for the program and all its commands.
fn manual() -> Ending {
    let mut text = Vec::new();
    let command = Cli::command();
    if let Err(error) = clap_mangen::Man::new(command.clone()).render(&mut text) {
        terminal::note(format!("error: {error}"));
        return Ending::SystemFailed;
    }
    for sub in command.get_subcommands() {
        let man = clap_mangen::Man::new(sub.clone());
        let heading = format!(".SH COMMAND: {}\n", sub.get_name().to_uppercase());
        text.extend_from_slice(heading.as_bytes());
        let parts = [
            man.render_description_section(&mut text),
            man.render_options_section(&mut text),
            man.render_extra_section(&mut text),
        ];
        if let Some(error) = parts.into_iter().find_map(Result::err) {
            terminal::note(format!("error: {error}"));
            return Ending::SystemFailed;
        }
    }
    terminal::out(String::from_utf8_lossy(&text).trim_end());
    Ending::Done
}
