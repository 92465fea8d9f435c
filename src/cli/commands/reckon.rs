//! `reckon`: one figure at the bench.

use clap::CommandFactory;
use serde_json::json;

use crate::app::reckon::{Reply, Unanswered, ask};
use crate::cli::args::{Cli, Reckon};
use crate::cli::{Ending, terminal};

pub(super) fn run(args: &Reckon) -> Ending {
    if args.help && args.figure.is_none() {
        terminal::out(general_help());
        return Ending::Done;
    }
    let inputs: &[String] = if args.help { &[] } else { &args.inputs };
    let reply = match &args.figure {
        None if args.sources => Ok(Reply::Sources),
        None if args.defaults => Ok(Reply::Defaults),
        None => Ok(Reply::List),
        Some(name) => ask(name, inputs),
    };
    match reply {
        Ok(reply) if args.json => terminal::json(&reply.json()),
        Ok(reply) => terminal::out(reply.lines().join("\n")),
        Err(why) => return refuse(&why, args.json),
    }
    Ending::Done
}

fn general_help() -> String {
    let mut cli = Cli::command();
    // Built, so that it has its whole name in the usage line.
    cli.build();
    cli.find_subcommand_mut("reckon").map_or_else(String::new, |reckon| reckon.render_help().to_string())
}

fn refuse(why: &Unanswered, json: bool) -> Ending {
    let report = why.report();
    if json {
        terminal::json(&json!({ "ok": false, "problems": terminal::report_json(&report, &[]) }));
    } else {
        report.problems.iter().for_each(terminal::problem);
    }
    match why {
        Unanswered::Misasked(_) => Ending::Misused,
        Unanswered::Refused(_) => Ending::Refused,
    }
}
