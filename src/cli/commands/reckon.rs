//! `reckon`: one figure at the bench.

use serde_json::json;

use crate::app::reckon::{Reply, Unanswered, ask};
use crate::cli::args::Reckon;
use crate::cli::{Ending, terminal};

pub(super) fn run(args: &Reckon) -> Ending {
    let reply = match &args.figure {
        None if args.sources => Ok(Reply::Sources),
        None => Ok(Reply::List),
        Some(name) => ask(name, &args.inputs),
    };
    match reply {
        Ok(reply) if args.json => terminal::json(&reply.json()),
        Ok(reply) => terminal::out(reply.lines().join("\n")),
        Err(why) => return refuse(&why, args.json),
    }
    Ending::Done
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
