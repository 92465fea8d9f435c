//! What the part words of operations mean to the rules: which parts steer,
//! carry or brake, and which lie so close together that heat reaches both.

/// What a part does for safety.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Class {
    /// Turns the wheels.
    Steering,
    /// Carries or guides the axle.
    Suspension,
    /// Stops the vehicle.
    Brake,
}

impl Class {
    /// The word for it in data rules and in `at` lists.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Steering => "steering",
            Self::Suspension => "suspension",
            Self::Brake => "brake",
        }
    }
}

/// One part word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    /// The word, singular.
    pub word: &'static str,
    /// What it does for safety.
    pub class: Option<Class>,
    /// Parts of one group lie within reach of each other's heat; empty for none.
    pub group: &'static str,
}

const fn part(word: &'static str, class: Option<Class>, group: &'static str) -> Part {
    Part { word, class, group }
}

const STEERING: Option<Class> = Some(Class::Steering);
const SUSPENSION: Option<Class> = Some(Class::Suspension);
const BRAKE: Option<Class> = Some(Class::Brake);

/// Known part words (common practice). A word that is not here is near itself
/// only and has no class.
pub const PARTS: &[Part] = &[
    part("steering", STEERING, ""),
    part("suspension", SUSPENSION, ""),
    part("brake", BRAKE, ""),
    part("housing", SUSPENSION, "axle"),
    part("axle", SUSPENSION, "axle"),
    part("tube", SUSPENSION, "axle"),
    part("pad", SUSPENSION, "axle"),
    part("perch", SUSPENSION, "axle"),
    part("spring", SUSPENSION, "axle"),
    part("u-bolt", SUSPENSION, "axle"),
    part("spring-plate", SUSPENSION, "axle"),
    part("shock-mount", SUSPENSION, "axle"),
    part("knuckle", STEERING, "axle"),
    part("king-pin", STEERING, "axle"),
    part("spindle", STEERING, "axle"),
    part("steering-arm", STEERING, "axle"),
    part("tie-rod", STEERING, "axle"),
    part("drag-link", STEERING, "axle"),
    part("steering-box", STEERING, "frame"),
    part("pitman-arm", STEERING, "frame"),
    part("hub", None, "axle"),
    part("wheel", None, "wheel"),
    part("rim", None, "wheel"),
    part("tyre", None, "wheel"),
    part("brake-line", BRAKE, "axle"),
    part("caliper", BRAKE, "axle"),
    part("drum", BRAKE, "axle"),
    part("anchor-plate", BRAKE, "axle"),
    part("hanger", SUSPENSION, "frame"),
    part("shackle", SUSPENSION, "frame"),
    part("track-bar", SUSPENSION, "frame"),
    part("radius-arm", SUSPENSION, "frame"),
    part("frame", None, "frame"),
    part("crossmember", None, "frame"),
    part("tank", None, "frame"),
    part("driveshaft", None, "driveshaft"),
    part("yoke", None, "driveshaft"),
    part("u-joint", None, "driveshaft"),
];

/// A part word as the table spells it: lower case, hyphens, singular.
#[must_use]
pub fn spelled(word: &str) -> String {
    let word = word.trim().to_lowercase().replace([' ', '_'], "-");
    let plural = word.len() > 3 && word.ends_with('s') && !word.ends_with("ss") && !word.ends_with("is");
    if plural { word[..word.len() - 1].to_owned() } else { word }
}

fn known(word: &str) -> Option<&'static Part> {
    named(&spelled(word))
}

/// The part of a word that is spelled as the table does.
fn named(word: &str) -> Option<&'static Part> {
    PARTS.iter().find(|p| p.word == word)
}

/// Whether the part word `word` is meant by `wanted`: the same part, or a part
/// of the class `wanted` names.
#[must_use]
pub fn is(word: &str, wanted: &str) -> bool {
    let (word, wanted) = (spelled(word), spelled(wanted));
    word == wanted || named(&word).and_then(|p| p.class).is_some_and(|c| c.word() == wanted)
}

/// Whether work at `a` can reach what is at `b`. A list without words says
/// nothing about the place, so it counts as near everything.
#[must_use]
pub fn near(a: &[String], b: &[String]) -> bool {
    let touches = |x: &String, y: &String| {
        let group = |w: &String| known(w).map_or("", |p| p.group);
        is(x, y) || is(y, x) || !group(x).is_empty() && group(x) == group(y)
    };
    a.is_empty() || b.is_empty() || a.iter().any(|x| b.iter().any(|y| touches(x, y)))
}

/// Whether heat or current at `word` reaches a part `wanted`: the same group.
/// A word that says nothing of its distance (a class, or none that is known)
/// counts as within reach.
#[must_use]
pub fn in_reach(word: &str, wanted: &str) -> bool {
    let group = |w: &str| known(w).map_or("", |p| p.group);
    group(word).is_empty() || group(word) == group(wanted)
}
