//! What a weld may not be called or left without: a part that carries is no mere
//! structure, and a weld on it is looked at and judged by a level for it.

use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::job::model::{Acceptance, Joint, Safety, WeldType};
use crate::reference::{electrode, process};
use crate::source::Source;

/// What the uses of the library hold, whatever the job calls it.
const HELD: &[(&str, Safety)] =
    &[("pad", Safety::Suspension), ("hanger", Safety::Suspension), ("knuckle", Safety::Steering)];

/// Words of nobody looking.
const NONE: &[&str] = &["none", "no", "nil", "n/a", "na", "-", "not needed", "not required", "0"];

/// Gases no arc is kept under: they burn, or burn the metal.
const UNFIT: &[&str] = &["oxygen", "o2", "100o2", "air", "acetylene", "propane", "hydrogen", "h2", "100h2"];

/// Which gas a tungsten electrode stands.
const TUNGSTEN: Source =
    Source::standard("ISO 14175:2008", "groups I and R for processes 141 and 143").from_memory();

/// Positions of the standards, in lower case.
const POSITIONS: &[&str] = &[
    "1f", "1fr", "2f", "2fr", "3f", "4f", "5f", "6f", "1g", "1gr", "2g", "3g", "4g", "5g", "6g", "6gr",
    "6gx", "pa", "pb", "pc", "pd", "pe", "pf", "pg", "ph", "pj", "pk",
];

/// Words for a position, one of which stands where no code does.
const POSITION_WORDS: &[&str] =
    &["flat", "downhand", "horizontal", "vertical", "overhead", "inclined", "turned", "rolled", "rotated"];

/// Methods of looking at a weld, by word and by the letters of ISO 9712 and of common
/// practice, and what is looked at with.
const METHODS: &[&str] = &[
    "visual",
    "visually",
    "penetrant",
    "magnetic",
    "ultrasonic",
    "radiographic",
    "radiography",
    "x-ray",
    "eddy",
    "dye",
    "vt",
    "pt",
    "dpi",
    "lpi",
    "mt",
    "mpi",
    "mpt",
    "ut",
    "rt",
    "et",
    "gauge",
    "gauged",
    "eye",
    "magnifier",
    "macro",
    "bend",
    "leak",
    "proof",
];

/// What a joint does for safety, by its word and by what is welded there.
#[must_use]
fn held(joint: &Joint) -> Option<Safety> {
    match joint.safety {
        Safety::Structure | Safety::Lifting => {
            HELD.iter().find(|(usage, _)| **usage == *joint.usage.0).map(|(_, safety)| *safety)
        }
        safety => Some(safety),
    }
}

/// A fillet has positions of fillets (F), a groove those of grooves (G): AWS A3.0, from
/// memory. What is welded round is tested in positions of pipe and said with G.
fn of_its_kind(joint: &Joint, put: &impl Fn(Diagnostic, &str) -> Diagnostic, report: &mut Report) {
    let Some(position) = &joint.position else { return };
    let fillet = joint.kind.value == WeldType::Fillet;
    let words = position.0.to_lowercase();
    let coded = |word: &&str| {
        let other = if fillet { 'g' } else { 'f' };
        POSITIONS.contains(word) && word.chars().nth(1) == Some(other)
    };
    let wrong = words.split(|c: char| !c.is_alphanumeric()).find(coded);
    // A fillet round a tube is made and tested in the positions of pipe, which all say G.
    if let Some(wrong) = wrong.filter(|_| joint.around.is_none() || !fillet) {
        let right =
            wrong.replace(if fillet { 'g' } else { 'f' }, if fillet { "f" } else { "g" }).to_uppercase();
        let wrong = wrong.to_uppercase();
        let (is, of) = if fillet { ("fillet", "grooves") } else { ("groove", "fillets") };
        report.push(put(
            Diagnostic::stop(
                "J141",
                format!("joint {}: {wrong} is a position of {of}, and this is a {is}", joint.id.value),
            )
            .expected("1F to 4F for a fillet, 1G to 6G for a groove")
            .example(format!("position = \"{right}\""))
            .unless_sure(joint.sure.as_deref()),
            "position",
        ));
    }
}

pub(super) fn check(joint: &Joint, report: &mut Report) {
    let field = |key: &str| format!("{}.{key}", joint.id.key.trim_end_matches(".id"));
    let put = |problem: Diagnostic, key: &str| problem.at(Some(joint.id.span.clone())).key(field(key));
    let id = &joint.id.value;
    filler(joint, report);
    if let Some(gas) = &joint.gas {
        let plain = gas.0.trim().to_lowercase().replace([' ', '%'], "");
        let tungsten = joint
            .process
            .as_ref()
            .and_then(|p| process::find(&p.value))
            .is_some_and(|p| p.number.starts_with("14"));
        let burns =
            ["co2", "o2"].iter().any(|g| plain.contains(g)) || plain.starts_with('c') && plain.len() < 4;
        // Steel is welded by wire under active gas (ISO 14175:2008, groups M and C, from
        // memory): pure argon leaves it unfused.
        let inert = ["ar", "argon", "100ar"].contains(&plain.as_str());
        let wire = joint
            .process
            .as_ref()
            .and_then(|p| process::find(&p.value))
            .is_some_and(|p| p.number.starts_with("13"));
        if UNFIT.contains(&plain.as_str()) || tungsten && burns || wire && inert {
            let help = if tungsten { format!("{TUNGSTEN}.") } else { String::new() };
            let problem =
                Diagnostic::stop("J138", format!("joint {id}: no arc is shielded with \"{}\" here", gas.0))
                    .expected("the gas of the welding procedure, as the maker of the filler names it")
                    .example(if tungsten { "gas = \"100Ar\"" } else { "gas = \"75Ar/25CO2\"" });
            let problem = if help.is_empty() { problem } else { problem.help(help) };
            report.push(put(problem, "gas"));
        }
    }
    if let Some(position) = &joint.position {
        let words = position.0.to_lowercase();
        let words: Vec<&str> =
            words.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
        let coded = |word: &&&str| {
            let mut letters = word.chars();
            letters.next().is_some_and(|c| c.is_ascii_digit())
                && letters.next().is_some_and(|c| c.is_ascii_alphabetic())
        };
        let known = |word: &&str| POSITIONS.contains(word) || POSITION_WORDS.contains(word);
        let wrong = words.iter().filter(coded).find(|word| !POSITIONS.contains(*word)).copied();
        let wrong =
            wrong.map(str::to_owned).or_else(|| (!words.iter().any(known)).then(|| position.0.clone()));
        if let Some(wrong) = wrong {
            let near = nearest(&wrong, POSITIONS.iter().chain(POSITION_WORDS).copied()).unwrap_or("2F");
            let problem = Diagnostic::stop("J141", format!("joint {id}: \"{wrong}\" is no welding position"))
                .expected("1F to 4F for a fillet, 1G to 6G for a groove, PA to PK, or flat, horizontal, vertical, overhead")
                .example(format!("position = \"{}\"", if near.len() < 4 { near.to_uppercase() } else { near.to_owned() }));
            report.push(put(problem, "position"));
        }
    }
    of_its_kind(joint, &put, report);
    inspected(joint, report);
    // Every weld is looked at before it is judged (AWS D1.1:2020, 8.9; ISO 17637).
    let unseen =
        joint.inspection.as_ref().is_some_and(|i| NONE.contains(&i.0.trim().to_lowercase().as_str()));
    if unseen {
        let problem = Diagnostic::stop(
            "J148",
            format!("joint {id}: a weld that nobody looks at is accepted to {}", joint.acceptance.printed()),
        )
        .expected("how it is inspected, visual at the least")
        .example("inspection = \"visual\"");
        report.push(put(problem, "inspection"));
    }
    let Some(safety) = held(joint) else { return };
    if safety != joint.safety {
        let problem = Diagnostic::stop(
            "J147",
            format!(
                "joint {id}: a weld with use = \"{}\" is called \"{}\"",
                joint.usage.value,
                joint.safety.word()
            ),
        )
        .expected(format!("safety = \"{}\": the vehicle hangs on it", safety.word()))
        .example(format!("safety = \"{}\"", safety.word()))
        .help("if it is right all the same, write beside it: sure = \"why it is right\"")
        .unless_sure(joint.sure.as_deref());
        report.push(put(problem, "safety"));
    }
    let low = match joint.acceptance {
        Acceptance::Iso5817D => Some("level D of ISO 5817 is for welds of low load"),
        // AWS D1.1:2020, 8.9 and table 8.1: the limits differ for what is loaded over and over.
        Acceptance::D11Static => Some("the static limits of AWS D1.1 are for loads that stand still"),
        _ => None,
    };
    if let Some(low) = low {
        let problem = Diagnostic::stop("J149", format!("joint {id}: {low}, not for {}", safety.word()))
            .expected("level B or C, or the cyclic limits of AWS D1.1")
            .example("acceptance = \"AWS D1.1 cyclic\"")
            .help("if it is right all the same, write beside it: sure = \"whose specification says so\"")
            .unless_sure(joint.sure.as_deref());
        report.push(put(problem, "acceptance"));
    }
}

/// An inspection is of a method somebody can do and sign for.
fn inspected(joint: &Joint, report: &mut Report) {
    let Some(inspection) = &joint.inspection else { return };
    let text = inspection.0.trim().to_lowercase();
    let words: Vec<&str> =
        text.split(|c: char| !(c.is_alphanumeric() || c == '-')).filter(|w| !w.is_empty()).collect();
    if NONE.contains(&text.as_str()) || words.iter().any(|w| METHODS.contains(w)) {
        return;
    }
    let near = words.iter().find_map(|w| nearest(w, METHODS.iter().copied())).unwrap_or("visual");
    let problem = Diagnostic::stop(
        "J188",
        format!("joint {}: \"{}\" is no way a weld is inspected", joint.id.value, inspection.0),
    )
    .expected("visual, dye penetrant, magnetic particle, ultrasonic, radiographic, or their letters: VT, PT, MT, UT, RT")
    .example(format!("inspection = \"{near}\""))
    .help("if it is right all the same, write beside it: sure = \"whose specification says so\"")
    .unless_sure(joint.sure.as_deref());
    report.push(
        problem
            .at(Some(joint.id.span.clone()))
            .key(format!("{}.inspection", joint.id.key.trim_end_matches(".id"))),
    );
}

/// A filler is made for its process.
fn filler(joint: &Joint, report: &mut Report) {
    let (Some(named), Some(text)) = (&joint.process, &joint.filler) else { return };
    let (Some(process), Some(filler)) = (process::find(&named.value), electrode::find(&text.value)) else {
        return;
    };
    let fits: &[&str] = match filler.electrode.process {
        "SMAW" => &["111", "112"],
        // One wire is drawn for both: on a spool or cut as a rod.
        "GMAW" => &["131", "135", "141", "143", "15"],
        "MCAW" => &["133", "135", "138", "139"],
        "FCAW-G" => &["132", "136", "137"],
        "FCAW-S" => &["114", "136"],
        "SAW" => &["121", "122", "125"],
        _ => return,
    };
    let judged = process.number.starts_with('1') && process.number != "1";
    if judged && !fits.contains(&process.number) {
        let problem = Diagnostic::stop(
            "J137",
            format!(
                "joint {}: {} is a filler for {}, not for {}",
                joint.id.value, text.value, filler.electrode.process, named.value
            ),
        )
        .expected(format!("a filler for {}, or the process of this filler", named.value))
        .example(format!(
            "process = \"{}\"",
            filler.electrode.process.trim_end_matches("-G").trim_end_matches("-S")
        ));
        report.push(super::at(problem, text));
    }
}
