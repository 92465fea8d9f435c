//! `rules`: what the safety rules ask, for whoever has to satisfy or waive one.

use serde_json::json;

use crate::app::Host;
use crate::app::shop;
use crate::cli::args::Rules;
use crate::cli::{Ending, terminal};

pub(super) fn run(host: &dyn Host, args: &Rules) -> Ending {
    let path = shop::find(host, args.shop.as_deref(), None);
    let rules = match shop::rules(host, path.as_deref()) {
        Ok(rules) => rules,
        Err(failure) if args.json => return terminal::failure_json(&failure),
        Err(failure) => return terminal::failure(&failure),
    };
    if args.json {
        let rows: Vec<_> = rules
            .iter()
            .map(|r| json!({ "id": r.id, "title": r.title, "reason": r.reason, "satisfy": r.satisfy, "source": r.source, "of_the_shop": r.own }))
            .collect();
        terminal::json(&json!({ "rules": rows }));
        return Ending::Done;
    }
    for rule in rules {
        terminal::out(format!("{}{}", rule.id, if rule.own { " (the shop's own)" } else { "" }));
        terminal::out(format!("  {}", rule.title));
        terminal::out(format!("  Why: {}", rule.reason));
        terminal::out(format!("  To satisfy it: {}", rule.satisfy));
        if !rule.source.is_empty() {
            terminal::out(format!("  Source: {}", rule.source));
        }
    }
    Ending::Done
}
