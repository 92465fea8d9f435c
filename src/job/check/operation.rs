//! Words of the job's own operations against what they say they do: the safety rules
//! read the verb and the acts, people read the words, and both must mean the same work.

use crate::diagnostic::{Diagnostic, Report};
use crate::job::model::{Act, OwnOperation, Verb};

/// Work that can hurt, how a step that orders it begins, what else gives it away, and
/// which acts say it to the safety rules.
struct Work {
    /// Verb to write.
    verb: Verb,
    /// Act to write where the verb stays.
    act: Act,
    /// Words a sentence that orders it begins with.
    orders: &'static [&'static str],
    /// Tools and phrases of nothing else.
    signs: &'static [&'static str],
    /// Any of these acts says it.
    acts: &'static [Act],
}

/// The trade's words for work with heat, sparks or a lasting cut (common practice).
const WORK: &[Work] = &[
    Work {
        verb: Verb::Weld,
        act: Act::Arc,
        orders: &[
            "weld",
            "reweld",
            "re-weld",
            "braze",
            "plug-weld",
            "stitch-weld",
            "hardface",
            "hard-face",
            "mig",
            "tig",
            "stitch",
        ],
        signs: &[
            "mig",
            "tig",
            "stick weld",
            "stick electrode",
            "stick electrodes",
            "stick rod",
            "with stick",
            "plug weld",
            "stitch weld",
            "build up the",
            "build it up",
            "build up with weld",
            "hard face the",
            "run a bead",
            "lay a bead",
            "weld it",
            "weld up",
            "weld on",
            "weld the",
            "weld all",
            "weld both",
            "by welding",
            "be welded",
            "is welded",
            "are welded",
        ],
        acts: &[Act::Arc, Act::Tack],
    },
    Work {
        verb: Verb::Tack,
        act: Act::Tack,
        orders: &["tack", "tack-weld"],
        signs: &["tack it", "tack the", "be tacked", "is tacked", "are tacked"],
        acts: &[Act::Tack, Act::Arc],
    },
    Work {
        verb: Verb::Cut,
        act: Act::CutPermanent,
        orders: &[
            "cut",
            "burn",
            "saw",
            "gouge",
            "sever",
            "scarf",
            "lance",
            "arc-gouge",
            "air-arc",
            "sawzall",
            "hacksaw",
        ],
        signs: &[
            "cutting torch",
            "arc gouge",
            "arc gouged",
            "gouge out",
            "gouge the",
            "air arc",
            "carbon arc",
            "scarf the",
            "scarf out",
            "scarf off",
            "thermal lance",
            "with a lance",
            "with the lance",
            "with lance",
            "zip disc",
            "zip disk",
            "zip wheel",
            "cutting disc",
            "cutting wheel",
            "cutoff wheel",
            "chop saw",
            "band saw",
            "hacksaw",
            "hack saw",
            "reciprocating saw",
            "recip saw",
            "sawzall",
            "sabre saw",
            "plasma",
            "oxy-fuel",
            "oxy-acetylene",
            "cut off",
            "cut out",
            "cut through",
            "cut the",
            "burn off",
            "burn out",
            "cut-off wheel",
        ],
        acts: &[Act::CutPermanent, Act::Grind],
    },
    Work {
        verb: Verb::Cut,
        act: Act::Grind,
        orders: &["grind", "regrind", "dremel"],
        signs: &[
            "die grinder",
            "dremel",
            "flap disc",
            "flap wheel",
            "grinding disc",
            "grinding wheel",
            "grind off",
            "grind out",
            "grind the",
            "grind it",
            "with a grinder",
            "with the grinder",
            "angle grinder",
        ],
        acts: &[Act::Grind, Act::CutPermanent],
    },
    Work {
        verb: Verb::Weld,
        act: Act::Heat,
        orders: &["heat", "preheat", "anneal", "flame"],
        signs: &[
            "heat the",
            "heat it",
            "heat to",
            "with heat",
            "with a flame",
            "with the flame",
            "with flame",
            "flame straighten",
            "red hot",
            "cherry red",
            "rosebud",
            "induction heater",
            "heating tip",
        ],
        // An arc brings its own preheat with it.
        acts: &[Act::Heat, Act::Arc, Act::Tack],
    },
    Work {
        verb: Verb::Weld,
        act: Act::Heat,
        orders: &["torch", "oxy"],
        signs: &[
            "with a torch",
            "with the torch",
            "with torch",
            "torch off",
            "torch out",
            "torch the",
            "torch it",
            "oxy",
            "gas axe",
            "blowlamp",
            "blow lamp",
            "blowtorch",
            "blow torch",
            "smoke wrench",
            "hot wrench",
        ],
        // A flame warms, cuts or brazes.
        acts: &[Act::Heat, Act::CutPermanent, Act::Arc, Act::Tack],
    },
];

/// Words that show the work a verb names, whatever form they stand in.
const SHOWN: &[(Verb, &[&str])] = &[
    (Verb::Weld, &["weld", "bead", "seam", "fillet", "plug", "braz", "root", "pass", "run", "arc"]),
    (Verb::Tack, &["tack"]),
    (
        Verb::Cut,
        &[
            "cut", "saw", "slot", "grind", "gouge", "trim", "drill", "burn", "torch", "flame", "remove",
            "off", "open", "bevel", "groove", "mill", "shear", "part",
        ],
    ),
    (Verb::Torque, &["torque", "tighten", "nut", "bolt", "screw", "stud", "turn", "clamp"]),
];

/// Words before an order that take it back, or tell of another time.
const NOT: &[&str] =
    &["not", "never", "no", "don't", "before", "after", "until", "without", "if", "when", "where"];

pub(super) fn check(own: &OwnOperation, report: &mut Report) {
    let texts: Vec<String> =
        std::iter::once(&own.title).chain(&own.step).map(|text| text.0.to_lowercase()).collect();
    let acts = own.acts();
    let put = |problem: Diagnostic| {
        problem
            .at(Some(own.id.span.clone()))
            .key(format!("{}.verb", own.id.key.trim_end_matches(".id")))
            .help("if it is right all the same, write beside it: sure = \"why it is right\"")
            .unless_sure(own.sure.as_deref())
    };
    for work in WORK.iter().filter(|work| !work.acts.iter().any(|act| acts.contains(act))) {
        let Some(words) = texts.iter().find_map(|text| ordered(text, work)) else { continue };
        report.push(put(Diagnostic::stop(
            "J164",
            format!(
                "operation \"{}\" says \"{words}\", and for the safety rules it is \"{}\" work alone",
                own.id.value,
                own.verb.word()
            ),
        )
        .expected("a verb or an act for all the work its words order, or words for its verb")
        .example(match work.act {
            Act::Heat | Act::Grind => format!("act = [\"{}\"]", work.act.word()),
            _ => format!("verb = \"{}\"", work.verb.word()),
        })));
        return;
    }
    let Some((_, shown)) = SHOWN.iter().find(|(verb, _)| *verb == own.verb) else { return };
    if !texts.iter().any(|text| shown.iter().any(|word| begins_a_word(text, word))) {
        report.push(put(Diagnostic::stop(
            "J165",
            format!(
                "operation \"{}\" is \"{}\" work, and no word of it says so",
                own.id.value,
                own.verb.word()
            ),
        )
        .expected("a step that says what is done, or the verb of what the steps say")
        .example(format!(
            "step = [\"{}{} …\"]",
            own.verb.word()[..1].to_uppercase(),
            &own.verb.word()[1..]
        ))));
    }
}

/// The words of a text that order the work, if any do.
fn ordered(text: &str, work: &Work) -> Option<String> {
    for clause in clauses(text) {
        let words: Vec<&str> = clause
            .split(|c: char| !(c.is_alphanumeric() || matches!(c, '-' | '\'')))
            .filter(|w| !w.is_empty())
            .collect();
        let [first, rest @ ..] = words.as_slice() else { continue };
        if NOT.contains(first) {
            continue;
        }
        // "Weld toes dressed" speaks of a weld; "weld the toes" orders one.
        let noun = rest.first().is_some_and(|next| NOUNS.contains(next));
        if work.orders.contains(first) && !noun {
            return Some(words.iter().take(4).copied().collect::<Vec<_>>().join(" "));
        }
        // "Lay two passes", "run a bead": metal is laid, whatever stands between.
        let lays = work.act == Act::Arc && LAY.contains(first);
        if lays && rest.iter().any(|word| RUNS.contains(word)) {
            return Some(words.iter().take(4).copied().collect::<Vec<_>>().join(" "));
        }
        let joined = format!(" {} ", words.join(" ")).replace('-', " ");
        let signs = work.signs.iter().map(|sign| sign.replace('-', " "));
        let Some(found) = signs.into_iter().find(|sign| joined.contains(&format!(" {sign} "))) else {
            continue;
        };
        let before = joined.split(&format!(" {found} ")).next().unwrap_or_default();
        // "The old repair weld on the tube" speaks of one that is there.
        let orders = found.split(' ').next().is_some_and(|first| THINGS.contains(&first));
        if orders && before.split(' ').next_back().is_some_and(|word| THERE.contains(&word)) {
            continue;
        }
        if !before.split(' ').any(|word| NOT.contains(&word) || LOOKS.contains(&word)) {
            return Some(found);
        }
    }
    None
}

/// Words that make a thing that is there of the `weld`, `cut` or `tack` behind them.
const THINGS: &[&str] = &["weld", "tack", "braze", "slot", "bevel", "groove"];
const THERE: &[&str] = &[
    "the", "a", "an", "each", "every", "this", "that", "old", "existing", "original", "repair", "factory",
    "fillet", "butt", "groove", "plug", "seam", "spot", "root", "cap", "finished", "made", "cracked",
    "broken",
];

/// Words that lay weld metal, and what is laid.
const LAY: &[&str] = &["lay", "run", "put", "deposit", "make"];
const RUNS: &[&str] = &["bead", "beads", "pass", "passes", "stringer", "stringers"];

/// Words that take apart what holds.
const LOOSENS: &[&str] = &[
    "loosen",
    "remove",
    "undo",
    "slacken",
    "shorten",
    "rethread",
    "re-thread",
    "disconnect",
    "unbolt",
    "unscrew",
    "dismount",
    "dismantle",
    "disassemble",
    "detach",
];
/// The same in two words.
const LOOSENS_TWO: &[[&str; 2]] =
    &[["take", "off"], ["take", "out"], ["back", "off"], ["re", "thread"], ["cut", "short"], ["pull", "off"]];

/// The words by which an operation orders that something be loosened, taken off or made
/// shorter, if any do.
#[must_use]
pub fn loosens(own: &OwnOperation) -> Option<String> {
    std::iter::once(&own.title).chain(&own.step).find_map(|text| {
        let text = text.0.to_lowercase();
        clauses(&text).find_map(|clause| {
            let words: Vec<&str> = clause.split(' ').filter(|w| !w.is_empty()).collect();
            let first = words.first()?;
            let two =
                LOOSENS_TWO.iter().any(|[a, b]| first == a && words.iter().skip(1).take(4).any(|w| w == b));
            let found = LOOSENS.contains(first) || two;
            found.then(|| words.iter().take(4).copied().collect::<Vec<_>>().join(" "))
        })
    })
}

/// Words behind `weld`, `cut` or `heat` that make a thing of it.
const NOUNS: &[&str] = &[
    "toe",
    "toes",
    "bay",
    "map",
    "size",
    "sizes",
    "length",
    "lengths",
    "gauge",
    "metal",
    "looks",
    "is",
    "was",
    "schedule",
    "symbol",
    "visually",
    "visual",
    "inspection",
    "inspected",
    "line",
    "lines",
    "edge",
    "edges",
    "face",
    "end",
    "ends",
    "affected",
    "treatment",
    "tint",
    "number",
    "mark",
    "marks",
    "of",
    "cap",
    "root",
    "reinforcement",
    "joint",
    "seam",
];

/// Words of looking: what follows them is looked at, not done.
const LOOKS: &[&str] =
    &["inspect", "look", "measure", "check", "read", "photograph", "record", "compare", "see"];

/// Sentences and what a comma, `and` or `then` puts beside them.
fn clauses(text: &str) -> impl Iterator<Item = &str> {
    text.split(['.', ';', ':', ',', '\n', '(', ')', '!'])
        .flat_map(|part| part.split(" and "))
        .flat_map(|part| part.split(" then "))
        .map(|part| part.trim().trim_start_matches("then "))
}

fn begins_a_word(text: &str, word: &str) -> bool {
    text.match_indices(word).any(|(at, _)| !text[..at].chars().next_back().is_some_and(char::is_alphanumeric))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str) -> bool {
        WORK.iter().any(|work| ordered(&text.to_lowercase(), work).is_some())
    }

    #[test]
    fn an_order_is_told_from_a_thing() {
        for text in [
            "Weld the gusset on.",
            "Clean, then weld both ends.",
            "Grind the gusset off, not into the tube.",
            "Heat to cherry red and bend",
            "Burn off the old pad",
            "Cut through the perch with the torch",
            "The bracket is welded all round",
            "Remove the bracket with a grinder",
            "tack the plate",
            "MIG the gusset to the tube",
            "Arc-gouge the old bead out",
            "Carbon-arc the root",
            "Scarf the plate",
            "Off with a zip disc",
            "Slit it with a cut-off wheel",
            "Warm it with the rosebud",
            "Use the smoke wrench on the nut",
            "Lay two passes over it",
            "Run a hot pass",
            "Build up the worn seat",
            "Take it off with a sawzall",
            "Open the hole with a die grinder",
            "Straighten with heat",
            "Free the bush with an induction heater",
        ] {
            assert!(told(text), "{text}");
        }
        for text in [
            "Weld toes smooth, no undercut.",
            "Inspect the weld all round.",
            "Look at the weld, visual and penetrant.",
            "Measure the heat affected zone.",
            "Never weld on a tank.",
            "Cut edges free of burrs.",
            "Penetrant test of the place.",
            "Before welding: photograph.",
            "Wash twice.",
            "Bolt the plate up hand tight",
            "Look into the tube with a torch",
            "Run the engine warm",
            "Inspect the plug weld",
            "Check that no gouge is left",
        ] {
            assert!(!told(text), "{text}");
        }
    }
}
