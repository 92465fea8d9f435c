//! Where the defaults of inputs come from: one row for each number that stands in
//! where nothing was given.
//!
//! A default of nothing (`0`, `1` of a count), a choice and one that is worked out from
//! the other inputs need no row: they are what they say, and every answer names them.

use super::{Family, Input, InputKind, Need};
use crate::source::Source;

const GUM: Source = Source::standard("JCGM 100:2008", "G.3 and 6.3.3: k = 2, about 95 %");
const ROOM: Source = Source::practice("a shop at 20 degC (68 degF); give what the part is read at");
const STEEL_E: Source =
    Source::handbook("Machinery's Handbook", "elastic modulus of steel, 29 to 30 Mpsi").from_memory();
const STEEL_MASS: Source = Source::handbook("Machinery's Handbook", "density of steel").from_memory();
const FINDER: Source = Source::practice("a digital angle finder as sold; its certificate comes first");
const INTERVAL: Source =
    Source::standard("ISO 6789", "12 months or 5000 cycles where no own procedure exists").from_memory();
const LAYOUT: Source = Source::practice("a row or mark spacing that fits a page");
const RIGHT: Source = Source::definition("members that meet square, unless told");
const CUT: Source =
    Source::practice("gauge, stop and guide of a cut-off tool as shops set them; measure your own")
        .from_memory();
const VDI: Source = Source::standard("VDI 2230:2003", "friction class B, mean of its range").from_memory();
const YIELD_USE: Source = Source::standard("VDI 2230:2003", "90 % of yield while tightening");
const ADAMS: Source = Source::handbook("Welding Handbook, heat flow", "constants of plain carbon steel");
const STRIP: Source = Source::practice("room for marks and labels on a strip");
const PAIR: Source = Source::practice("two on one axle, one a side");

/// Input, default as declared, who says so.
const ROWS: &[(&str, &str, Source)] = &[
    ("shackle_share", "0.5", Source::practice("lift at the axle is half the change in shackle length")),
    (
        "tolerance",
        "0.5 deg",
        Source::practice("caster within half a degree; the vehicle's own specification comes first"),
    ),
    ("resolution", "0.1 deg", FINDER),
    ("limit", "0.2 deg", FINDER),
    ("repeatability", "0.1 deg", FINDER),
    ("interval", "12", INTERVAL),
    ("interval_cycles", "5000", INTERVAL),
    ("readings", "3", Source::practice("three readings, the finder lifted off each time")),
    ("step", "0.5 deg", LAYOUT),
    ("step", "15 deg", LAYOUT),
    (
        "limit",
        "0.5 deg",
        Source::practice("sides of a solid axle of a light truck within 0.5 deg; the vehicle's own specification comes first")
            .from_memory(),
    ),
    ("sweep", "20 deg", Source::practice("caster is read over 20 deg to each side")),
    (
        "torsional_limit",
        "400 rad/s2",
        Source::derived(
            "torsional limit 400 rad/s2",
            "published tables of joint angles against speed, which encode it",
        ),
    ),
    (
        "inertial_limit",
        "1000 rad/s2",
        Source::derived(
            "inertial limit 1000 rad/s2",
            "published tables of joint angles against speed, which encode it",
        ),
    ),
    ("modulus", "207 GPa", STEEL_E),
    ("member_modulus", "207 GPa", STEEL_E),
    ("bolt_modulus", "205 GPa", Source::standard("VDI 2230", "modulus of bolt steel, 205 GPa").from_memory()),
    ("bolt_modulus", "30 Mpsi, 207 GPa metric", STEEL_E),
    ("density", "7850 kg/m3", STEEL_MASS),
    ("share", "65 %", Source::practice("operate below 65 to 75 % of the critical speed; the lower end")),
    ("mark_limit", "0.5 mm", Source::practice("a scribed line set off with a rule")),
    ("od_limit", "0.1 mm", Source::practice("a calliper on a cleaned tube")),
    ("gauge_limit", "0.003 in", CUT),
    ("setting_limit", "0.005 in", CUT),
    ("wobble_limit", "0.008 in", CUT),
    ("reserve", "0.010 in", CUT),
    ("coverage", "2", GUM),
    ("confidence", "95.45 %, which is k = 2 for many degrees of freedom", GUM),
    ("groove_offset", "3/8 in", Source::practice("groove about 3/8 in inboard of the knuckle seam weld")),
    ("stock_step", "1 mm", Source::practice("a needed leaf is raised to the next whole millimetre")),
    ("travel", "1 mm", Source::definition("stress per unit of travel")),
    ("slack", "50 mm", Source::practice("25 to 50 mm of slack on the greatest distance; the upper end")),
    (
        "margin",
        "12 mm",
        Source::practice("a shock at least 12 mm longer than its collapsed length at the stop"),
    ),
    (
        "loaded_share",
        "0.96",
        Source::practice("loaded radius 0.96 to 0.97 of the free radius at rated load; the lower end")
            .from_memory(),
    ),
    ("limit", "3 mm", Source::practice("diagonals alike within 1/8 in or 3 mm")),
    ("angle", "90 deg", RIGHT),
    ("bend", "90 deg", RIGHT),
    ("azimuths", "0 to 180 deg by step, with an offset to 360", LAYOUT),
    ("leg", "100 mm", LAYOUT),
    ("width", "70 mm", STRIP),
    ("cut_line", "20 mm", STRIP),
    ("seam_width", "20 mm", STRIP),
    ("readings", "8", Source::practice("wall readings at eight places round a tube")),
    ("bar", "100 mm", Source::practice("print a 100 mm bar both ways")),
    ("angle", "10 deg", LAYOUT),
    ("limit", "0.5 %", Source::practice("a printed bar within half a millimetre in 100 mm")),
    (
        "melting_heat",
        "10 J/mm3",
        Source::handbook("Welding Handbook", "energy to melt a volume of steel").from_memory(),
    ),
    ("ambient", "20 degC", ROOM),
    ("preheat", "20 degC", ROOM),
    ("temperature", "550 degC", Source::handbook("Welding Handbook, heat flow", "cooling rate at 550 degC")),
    ("conductivity", "0.028 W/(mm·K)", ADAMS),
    ("heat_capacity", "0.0044 J/(mm3·K)", ADAMS),
    ("seams", "2", PAIR),
    ("perches", "2", PAIR),
    ("u_bolts", "2", Source::practice("two U-bolts hold one spring seat")),
    ("legs", "4", Source::practice("two U-bolts hold one spring seat, four legs")),
    ("bolts", "4", Source::practice("the smallest usual bolt circle")),
    ("friction", "0.15", Source::practice("clamped steel, dry to lightly oiled, low end").from_memory()),
    ("mu", "0.15", Source::practice("clamped steel, dry to lightly oiled, low end").from_memory()),
    ("mu", "0.12", VDI),
    ("mu_thread", "0.12", VDI),
    ("yield_use", "90 %", YIELD_USE),
    ("gamma_m2", "1.25", Source::standard("EN 1993-1-8:2005", "2.2, table 2.1")),
    ("lines", "1, or 2 for both sides", Source::definition("one line of weld")),
    ("angle", "0 deg, or as direction says", Source::definition("along the weld, the lowest strength")),
    ("reinforcement", "10 %", Source::practice("5 to 10 % of extra metal in a fillet or cap; the upper end")),
    (
        "efficiency",
        "93 %",
        Source::handbook("Welding Handbook", "deposition efficiency of solid wire").from_memory(),
    ),
    ("stages", "30, 60, 100 %", Source::practice("30, 60 and 100 %, then one check pass")),
    (
        "roughness",
        "16 um",
        Source::standard("VDI 2230", "embedding by roughness, the middle class").from_memory(),
    ),
    ("seats", "2", Source::definition("a bolt has a head and a nut")),
    (
        "relaxation",
        "20 %",
        Source::practice("a clamp loses a tenth to a fifth of its preload; the upper end").from_memory(),
    ),
    ("deceleration", "0.6 g", Source::practice("hard braking on a dry road").from_memory()),
    ("clearance", "1/16 in", Source::practice("inside width is the tube diameter plus about 1/16 in")),
    (
        "past_nut",
        "1/4 in",
        Source::standard("COMAR 11.14.05.03", "less than 1/4 in past the tight nut is rejected"),
    ),
    ("wanted", "4", Source::standard("ANSI/NCSL Z540.3", "test uncertainty ratio of at least 4").from_memory()),
    ("signs", "1, -1, 1, ... (each joint works against the one before)", Source::practice("joints phased to cancel")),
];

/// A default and where it comes from.
#[derive(Debug, Clone, Copy)]
pub struct Usual {
    /// Family it belongs to.
    pub family: &'static Family,
    /// Input it stands in for.
    pub input: &'static Input,
    /// The default as declared.
    pub text: &'static str,
    /// Who says so; none where it is a choice, nothing, or worked out from other inputs.
    pub source: Option<Source>,
}

impl Usual {
    /// What stands beside it in a listing.
    #[must_use]
    pub fn basis(&self) -> String {
        match (self.source, self.input.kind) {
            (Some(source), _) => source.to_string(),
            (None, InputKind::Choice(_)) => "a choice: the usual case, named with every answer".to_owned(),
            (None, _) if is_nothing(self.text) => "nothing of it".to_owned(),
            (None, _) => "worked out from the other inputs".to_owned(),
        }
    }
}

/// Whether a default adds nothing: none of a size, one of a count.
fn is_nothing(text: &str) -> bool {
    let number = text.split(' ').next().and_then(|n| n.parse::<f64>().ok());
    text == "none" || number == Some(0.0) || text == "1"
}

/// Every default there is, in the order of the listing.
pub fn all() -> impl Iterator<Item = Usual> {
    super::registry::families().flat_map(|family| {
        family.inputs.iter().filter_map(move |input| {
            let Need::Default(text) = input.need else { return None };
            let row = ROWS.iter().find(|(name, usual, _)| *name == input.name && *usual == text);
            Some(Usual { family, input, text, source: row.map(|(.., source)| *source) })
        })
    })
}

/// Defaults that are numbers and have no source, and rows no default uses.
#[must_use]
pub fn unsourced() -> Vec<String> {
    let numbers = |usual: &Usual| {
        usual.source.is_none()
            && !matches!(usual.input.kind, InputKind::Choice(_) | InputKind::Flag)
            && !is_nothing(usual.text)
            && usual.text.starts_with(|c: char| c.is_ascii_digit())
    };
    let bare = all().filter(numbers).map(|u| format!("{}.{} = {}", u.family.name, u.input.name, u.text));
    let idle = ROWS
        .iter()
        .filter(|(name, text, _)| !all().any(|u| u.input.name == *name && u.text == *text))
        .map(|(name, text, _)| format!("{name} = {text} is nobody's default"));
    bare.chain(idle).collect()
}
