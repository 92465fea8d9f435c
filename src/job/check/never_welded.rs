//! Parts that are replaced and never welded: what steers, springs, and what holds them.
//!
//! Common practice, as the procedures say of the linkage: made parts only, no weld and no
//! flame on any. Such a part is hardened, forged or under load that comes and goes, and a weld
//! on it breaks without a sign.

use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Id, Located};
use crate::job::JobFile;
use crate::job::model::{Act, Joint};

/// Names of such parts, and what each is.
const PARTS: &[(&str, &str)] = &[
    ("drag link", "a steering link"),
    ("draglink", "a steering link"),
    ("tie rod", "a steering link"),
    ("track rod", "a steering link"),
    ("relay rod", "a steering link"),
    ("centre link", "a steering link"),
    ("center link", "a steering link"),
    ("steering link", "a steering link"),
    ("steering rod", "a steering link"),
    ("pitman arm", "a steering arm"),
    ("drop arm", "a steering arm"),
    ("idler arm", "a steering arm"),
    ("steering arm", "a steering arm"),
    ("ball joint", "a joint that steers or guides"),
    ("rod end", "a joint that steers or guides"),
    ("kingpin", "a joint that steers or guides"),
    ("leaf spring", "a spring"),
    ("spring leaf", "a spring"),
    ("coil spring", "a spring"),
    ("main leaf", "a spring"),
    ("torsion bar", "a spring"),
    ("wheel rim", "a wheel"),
    ("wheel disc", "a wheel"),
    ("wheel stud", "a fastener under load"),
    ("brake line", "a line under pressure"),
    ("brake hose", "a line under pressure"),
    ("brake caliper", "a part of the brakes"),
];

/// What stands behind the name of a part that only carries or guards it.
const BESIDE: &[&str] = &[
    "boss",
    "bracket",
    "bush",
    "clamp",
    "clip",
    "crossmember",
    "gusset",
    "hanger",
    "holder",
    "mount",
    "pad",
    "perch",
    "plate",
    "pocket",
    "seat",
    "shackle",
    "skid",
    "stop",
    "support",
    "tab",
    "tower",
];

/// The part that a text names as the one that is worked on, and what it is.
fn named(text: &str) -> Option<(&'static str, &'static str)> {
    let plain: String =
        text.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    let words: Vec<&str> = plain.split_whitespace().collect();
    PARTS.iter().copied().find(|(part, _)| {
        let part: Vec<&str> = part.split(' ').collect();
        words.windows(part.len()).enumerate().any(|(at, window)| {
            let own = window.iter().zip(&part).all(|(word, part)| word.trim_end_matches('s') == *part);
            // One of them or several: a boss, brackets.
            let beside = |word: &&str| {
                BESIDE.contains(word) || word.strip_suffix('s').is_some_and(|w| BESIDE.contains(&w))
            };
            own && !words.get(at + part.len()).is_some_and(beside)
        })
    })
}

pub(super) fn check(job: &JobFile, report: &mut Report) {
    for joint in &job.joint {
        if let Some(found) = part_of(job, joint) {
            report.push(refused(&format!("joint {}", joint.id.value), &joint.id, found));
        }
    }
    let hot = |act: &Act| matches!(act, Act::Arc | Act::Tack);
    for own in job.operation.iter().filter(|own| own.acts().iter().any(hot)) {
        if let Some(found) = named(&own.title.0) {
            report.push(refused(&format!("operation \"{}\"", own.id.value), &own.id, found));
        }
    }
}

/// Such a part among what a joint joins: by its own words, or those of what it is on.
fn part_of(job: &JobFile, joint: &Joint) -> Option<(&'static str, &'static str)> {
    let on = job.weldment.iter().find(|w| w.id.value == joint.on.value);
    let of = |w: &crate::job::model::Weldment| {
        named(&w.id.value.to_string()).or_else(|| named(w.name.as_ref()?.0.as_str()))
    };
    named(&joint.title.0).or_else(|| of(on?))
}

fn refused(what: &str, id: &Located<Id>, (part, kind): (&str, &str)) -> Diagnostic {
    Diagnostic::stop("J285", format!("{what} is a weld on {kind}, \"{part}\""))
        .at(Some(id.span.clone()))
        .key(id.key.clone())
        .expected("a made part in its place: what steers, springs or holds is replaced, never welded, heated or bent (common practice)")
        .help("bolt the new part on by its maker's torque: procedure = \"bolt-on\", or \"linkage\" for the links of a lifted axle")
        .help("where another part is welded beside it, the title names that one: \"drag link bracket to axle\"")
}

#[cfg(test)]
mod tests {
    use super::named;

    #[test]
    fn the_part_itself_is_told_from_what_carries_it() {
        for text in [
            "drag-link",
            "sleeve to tie rod",
            "Pitman arm",
            "tie rods",
            "leaf spring, cracked",
            "rod end to bar",
        ] {
            assert!(named(text).is_some(), "{text}");
        }
        for text in [
            "drag link bracket to axle",
            "leaf spring hanger to frame",
            "spring pad to tube",
            "brake line clip",
            "ball joint boss",
            "frame rail, left",
            "knuckle seam, left",
            "shock mount",
        ] {
            assert!(named(text).is_none(), "{text}");
        }
    }
}
