//! The shape of the sources: which layer may use which, where the file system,
//! the clock, the terminal and each outside crate are allowed, file headers,
//! lengths and names, and that what is embedded is what lies in the folders.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crate::support::rust_paths::{UsedPath, used_paths, without_text};

/// Each layer (a folder under `src`) and the layers it may use, as the table of
/// `DEVELOPERS.md` has them. Every layer may use itself.
fn layers() -> Vec<(String, BTreeSet<String>)> {
    let text = read("DEVELOPERS.md");
    let rows = text.lines().skip_while(|l| !l.starts_with("| layer ")).skip(2);
    let mut layers: Vec<(String, BTreeSet<String>)> = Vec::new();
    for row in rows.take_while(|l| l.starts_with('|')) {
        let cells: Vec<&str> = row.trim_matches('|').split('|').map(str::trim).collect();
        let [layer, _, may] = cells.as_slice() else { panic!("a row of the layer table: {row}") };
        let allowed = |of: &str| {
            let known = layers.iter().find(|(name, _)| name == of);
            known.unwrap_or_else(|| panic!("{layer} may use {of}, which stands not above it")).1.clone()
        };
        let mut uses = BTreeSet::new();
        for part in may.split(", ") {
            match part.strip_suffix(" and what it may use") {
                _ if part == "-" => {}
                _ if part == "all above" => uses.extend(layers.iter().map(|(name, _)| name.clone())),
                Some(one) => {
                    uses.extend(allowed(one));
                    uses.insert(one.to_owned());
                }
                None => {
                    uses.insert(part.to_owned());
                }
            }
        }
        layers.push(((*layer).to_owned(), uses));
    }
    assert!(layers.len() > 15, "the layer table was not found");
    layers
}

/// What may be named only in some places: the start of the path, and the files
/// or folders under `src` where it may stand.
const FENCED: &[(&str, &[&str])] = &[
    ("typst", &["render"]),
    ("typst_layout", &["render"]),
    ("typst_pdf", &["render"]),
    ("qrcode", &["render"]),
    ("typst_as_lib", &["render"]),
    (
        "lopdf",
        &[
            "app/record/pdf.rs",
            "render/fields.rs",
            "render/fill.rs",
            "render/filled.rs",
            "render/rewrite.rs",
            "seal/pdf",
        ],
    ),
    ("hayro_interpret", &["render/drawn.rs"]),
    ("kurbo", &["render/drawn.rs"]),
    ("cms", &["seal"]),
    ("roxmltree", &["seal/pdf/described.rs"]),
    ("x509_cert", &["seal"]),
    ("der", &["seal"]),
    ("p256", &["seal"]),
    ("p384", &["seal"]),
    ("rsa", &["seal"]),
    ("pkcs8", &["seal"]),
    ("p12_keystore", &["seal"]),
    ("ed25519_dalek", &["app/record/key.rs"]),
    ("clap", &["cli"]),
    ("clap_complete", &["cli"]),
    ("clap_mangen", &["cli"]),
    ("annotate_snippets", &["cli"]),
    ("indicatif", &["cli"]),
    ("hayro", &["picture/paper_scan.rs"]),
    ("rqrr", &["picture/code.rs"]),
    ("tiff", &["picture/decode.rs"]),
    ("toml", &["file", "job", "shop", "procedure"]),
    ("minijinja", &["procedure", "plan"]),
    ("csv", &["app/record/sheet"]),
    ("std::fs", &["app/host.rs", "app/record/files.rs", "cli", "build.rs"]),
    ("std::env", &["app/host.rs", "app/record/files.rs", "cli", "build.rs"]),
    ("std::net", &[]),
    ("std::process::Command", &[]),
    ("std::time::SystemTime", &["app/host.rs", "app/record/files.rs", "cli"]),
    ("std::time::Instant", &["app/host.rs", "app/record/files.rs", "cli"]),
    ("chrono::Local", &["app/host.rs", "app/record/files.rs", "cli"]),
    ("chrono::Utc::now", &["app/host.rs", "app/record/files.rs", "cli"]),
    ("Utc::now", &["app/host.rs", "app/record/files.rs", "cli"]),
    ("Local::now", &["app/host.rs", "app/record/files.rs", "cli"]),
];

/// Names that say nothing about what is inside.
const EMPTY_NAMES: &[&str] =
    &["util", "utils", "common", "helper", "helpers", "misc", "type", "types", "stuff"];

/// Longest file, in lines.
const LONGEST: usize = 600;

/// Files that may be longer: nothing but rows of data.
const ONLY_DATA: &[&str] = &["tests/suite/support/sample.rs"];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Files below `folder` with this ending, as paths from the root, sorted.
fn files(folder: &str, ending: &str) -> Vec<String> {
    fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
        for entry in std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display())) {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                walk(&path, found);
            } else {
                found.push(path);
            }
        }
    }
    let mut found = Vec::new();
    walk(&root().join(folder), &mut found);
    let mut names: Vec<String> = found
        .into_iter()
        .filter(|p| ending.is_empty() || p.extension().is_some_and(|e| e == ending))
        .map(|p| {
            let inside = p.strip_prefix(root()).expect("below the root");
            inside.components().map(|c| c.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
        })
        .collect();
    names.sort();
    assert!(!names.is_empty(), "no files in {folder}");
    names
}

fn read(name: &str) -> String {
    std::fs::read_to_string(root().join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// The module path of a source file, from the crate: `["app", "plan"]`.
fn module(file: &str) -> Vec<&str> {
    let inside = file.trim_start_matches("src/").trim_end_matches(".rs");
    let mut parts: Vec<&str> = inside.split('/').collect();
    if parts.last() == Some(&"mod") {
        parts.pop();
    }
    parts
}

/// Macros of the crate by name, with the layer that defines them.
fn macros() -> Vec<(String, String)> {
    let mut found = Vec::new();
    for file in files("src", "rs") {
        let text = without_text(&read(&file));
        for (at, _) in text.match_indices("#[macro_export]") {
            let name = text[at..].split("macro_rules! ").nth(1).unwrap_or_default();
            let name: String = name.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            found.push((name, module(&file)[0].to_owned()));
        }
    }
    found
}

/// The place inside the crate a path leads to, if it leads there: `job::check`.
fn inside_crate(file: &str, used: &UsedPath, macros: &[(String, String)]) -> Option<Vec<String>> {
    let depth = module(file).len();
    let ups = used.parts.iter().take_while(|p| *p == "super").count();
    // One more level for an inline module of tests.
    let inline = used.nested;
    let rest: Vec<String> = match used.parts.first().map(String::as_str) {
        Some("crate") => used.parts[1..].to_vec(),
        Some("super") if ups >= depth + inline => used.parts[ups..].to_vec(),
        _ => return None,
    };
    // `use crate::{choice, record}` names macros; they belong to the layer
    // that defines them, and a layer may bear the same name.
    match (rest.as_slice(), used.called) {
        ([only], called) if called || macros.iter().any(|(name, _)| name == only) => {
            macros.iter().find(|(name, _)| name == only).map(|(_, layer)| vec![layer.clone()])
        }
        _ => Some(rest),
    }
}

#[test]
fn no_layer_imports_what_the_table_does_not_allow() {
    let (macros, layers) = (macros(), layers());
    let mut wrong = Vec::new();
    let mut looked = 0;
    for file in files("src", "rs") {
        let layer = module(&file)[0].to_owned();
        // What runs before the program is compiled is no part of it.
        if ["lib", "main", "build"].contains(&layer.as_str()) {
            continue;
        }
        let Some((_, allowed)) = layers.iter().find(|(name, _)| *name == layer) else {
            wrong.push(format!("{file}: {layer} is no layer"));
            continue;
        };
        for used in used_paths(&read(&file)) {
            let Some(rest) = inside_crate(&file, &used, &macros) else { continue };
            looked += 1;
            let Some(target) = rest.first() else { continue };
            if *target != layer && !allowed.contains(target) {
                wrong.push(format!("{file}:{}: {layer} may not use {}", used.line, rest.join("::")));
            }
        }
    }
    assert!(looked > 500, "only {looked} imports were found; the reader of sources is broken");
    assert!(wrong.is_empty(), "{} imports against the table:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn the_layer_table_has_no_circle_and_every_layer() {
    let layers = layers();
    for (layer, allowed) in &layers {
        assert!(root().join("src").join(layer).is_dir(), "there is no layer {layer}");
        for other in allowed {
            let back = layers.iter().find(|(name, _)| name == other);
            let (_, back) = back.unwrap_or_else(|| panic!("{layer} may use {other}, which is no layer"));
            assert!(!back.contains(layer), "{layer} and {other} may use each other");
        }
    }
}

/// What a layer re-exports of another one, as `(line, other)`.
fn handed_on(file: &str, text: &str) -> Vec<(usize, String)> {
    let public = |line: &str| line.trim_start().starts_with("pub use ");
    let bare = without_text(text);
    let lines: Vec<usize> = bare.lines().enumerate().filter(|(_, l)| public(l)).map(|(n, _)| n + 1).collect();
    let own = module(file)[0];
    used_paths(text)
        .into_iter()
        .filter(|used| lines.contains(&used.line))
        .filter_map(|used| Some((used.line, whole_path(file, &used)?.first()?.clone())))
        .filter(|(_, other)| other != own)
        .collect()
}

/// A `pub use` of another layer's item is a way to it for everybody who may
/// use this layer: they must be allowed both.
#[test]
fn no_layer_hands_on_what_its_users_may_not_use() {
    let layers = layers();
    let mut wrong = Vec::new();
    let mut looked = 0;
    for file in files("src", "rs") {
        let layer = module(&file)[0].to_owned();
        for (line, other) in handed_on(&file, &read(&file)) {
            looked += 1;
            let users = layers.iter().filter(|(name, uses)| uses.contains(&layer) && *name != other);
            for (user, _) in users.filter(|(_, uses)| !uses.contains(&other)) {
                wrong.push(format!("{file}:{line}: {layer} hands {other} on to {user}"));
            }
        }
    }
    assert!(looked > 5, "only {looked} were found; the reader of sources is broken");
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn what_is_handed_on_is_seen() {
    let text = "//! A file.\npub use crate::record::entry::Correction;\nuse crate::seal::key::Kind;\npub use super::desk::Desk;\n";
    assert_eq!(handed_on("src/app/record/mod.rs", text), [(2, "record".to_owned())]);
}

/// The file of a path inside the crate: the longest part of it that is one.
fn file_of(path: &[String], known: &BTreeSet<String>) -> Option<String> {
    (1..=path.len()).rev().map(|n| format!("src/{}.rs", path[..n].join("/"))).find(|f| known.contains(f))
}

/// A path of a source from the root of the crate, `super` resolved.
fn whole_path(file: &str, used: &UsedPath) -> Option<Vec<String>> {
    let ups = used.parts.iter().take_while(|p| *p == "super").count();
    match used.parts.first().map(String::as_str) {
        Some("crate") => Some(used.parts[1..].to_vec()),
        Some("super") if ups > used.nested => {
            let mut base: Vec<String> = module(file).into_iter().map(str::to_owned).collect();
            // A `mod.rs` stands for its folder, a file for itself.
            base.truncate(base.len().checked_sub(ups - used.nested)?);
            base.extend(used.parts[ups..].iter().cloned());
            Some(base)
        }
        _ => None,
    }
}

/// Files of the use cases that import each other in a circle. A `mod.rs` only
/// gathers its files, so it is no member of one.
#[test]
fn use_cases_do_not_import_each_other_in_a_circle() {
    let known: BTreeSet<String> =
        files("src/app", "rs").into_iter().filter(|f| !f.ends_with("/mod.rs")).collect();
    let mut edges: std::collections::BTreeMap<String, BTreeSet<String>> = std::collections::BTreeMap::new();
    for file in &known {
        let targets = used_paths(&read(file)).into_iter().filter_map(|used| whole_path(file, &used));
        let targets = targets.filter_map(|path| file_of(&path, &known)).filter(|t| t != file);
        edges.insert(file.clone(), targets.collect());
    }
    let all: usize = edges.values().map(BTreeSet::len).sum();
    assert!(all > 40, "only {all} imports between use cases were found; the reader of sources is broken");
    // What imports nothing that is left is taken away, until nothing goes.
    loop {
        let free: Vec<String> = edges.iter().filter(|(_, t)| t.is_empty()).map(|(f, _)| f.clone()).collect();
        if free.is_empty() {
            break;
        }
        for file in &free {
            edges.remove(file);
        }
        for targets in edges.values_mut() {
            targets.retain(|t| !free.contains(t));
        }
    }
    assert!(edges.is_empty(), "imports in a circle, or leading to one: {edges:#?}");
}

#[test]
fn outside_crates_files_clock_and_environment_stay_behind_their_fence() {
    let mut wrong = Vec::new();
    let mut met: BTreeSet<&str> = BTreeSet::new();
    for file in files("src", "rs") {
        let inside = file.trim_start_matches("src/");
        for used in used_paths(&read(&file)) {
            let path = used.parts.join("::");
            for (fenced, places) in FENCED {
                if path != *fenced && !path.starts_with(&format!("{fenced}::")) {
                    continue;
                }
                met.insert(fenced);
                let allowed = places.iter().any(|p| inside == *p || inside.starts_with(&format!("{p}/")));
                if !allowed {
                    wrong.push(format!(
                        "{file}:{}: {path} may stand only in {}",
                        used.line,
                        places.join(", ")
                    ));
                }
            }
        }
    }
    for expected in ["typst", "clap", "toml", "std::fs", "minijinja"] {
        assert!(met.contains(expected), "{expected} is met nowhere; the reader of sources is broken");
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_source_says_what_it_is_for() {
    for folder in ["src", "tests"] {
        for file in files(folder, "rs") {
            let text = read(&file);
            let first = text.lines().next().unwrap_or_default();
            assert!(first.starts_with("//! ") && first.len() > 12, "{file} begins with \"{first}\"");
        }
    }
}

#[test]
fn no_file_grows_too_long() {
    for file in ["src", "tests"].iter().flat_map(|folder| files(folder, "rs")) {
        let lines = read(&file).lines().count();
        let data = ONLY_DATA.contains(&file.as_str());
        assert!(data || lines <= LONGEST, "{file} has {lines} lines; split it by purpose");
        assert!(!data || lines > LONGEST, "{file} has {lines} lines; take it off the list of long files");
    }
}

#[test]
fn no_name_says_nothing() {
    for file in ["src", "tests", "templates"].iter().flat_map(|folder| files(folder, "")) {
        for part in file.split('/') {
            let stem = part.split('.').next().unwrap_or(part);
            assert!(!EMPTY_NAMES.contains(&stem), "{file}: \"{stem}\" does not say what is inside");
        }
    }
    for file in files("src", "rs") {
        for word in ["mod", "struct", "enum", "trait"] {
            let text = without_text(&read(&file));
            for name in EMPTY_NAMES {
                assert!(!text.contains(&format!("{word} {name} ")), "{file}: {word} {name}");
            }
        }
    }
}

#[test]
fn public_numbers_carry_no_unit_in_their_name() {
    const ENDINGS: &[&str] =
        &["_mm", "_in", "_inch", "_deg", "_rad", "_kg", "_lb", "_nm", "_kj", "_psi", "_mpa"];
    for file in files("src", "rs").iter().filter(|f| !f.starts_with("src/quantity/")) {
        for (number, line) in without_text(&read(file)).lines().enumerate() {
            let Some((name, kind)) = line.split_once(": ") else { continue };
            let bad = line.trim_start().starts_with("pub")
                && kind.starts_with("f64")
                && ENDINGS.iter().any(|e| name.trim_end().ends_with(e));
            assert!(!bad, "{file}:{}: a bare number with a unit in its name: {line}", number + 1);
        }
    }
}

#[test]
fn conversions_stand_in_the_unit_table_only() {
    for file in files("src", "rs").iter().filter(|f| !f.starts_with("src/quantity/")) {
        for (number, line) in without_text(&read(file)).lines().enumerate() {
            for literal in ["25.4", "0.0254", "4.448", "1.3558", "6.894", "0.4535"] {
                let starts = line.match_indices(literal).any(|(at, _)| {
                    let before = line[..at].chars().next_back();
                    before.is_none_or(|c| !c.is_ascii_alphanumeric() && c != '.' && c != '_')
                });
                assert!(!starts, "{file}:{}: converts by hand: {}", number + 1, line.trim());
            }
        }
    }
}

#[test]
fn templates_place_and_never_compute() {
    for file in files("templates", "typ") {
        let text = read(&file);
        for forbidden in ["calc.", "@preview", "datetime.today", "eval(", "sys.version"] {
            assert!(!text.contains(forbidden), "{file} contains \"{forbidden}\"");
        }
    }
}

/// File names an `include_str!` or `include_bytes!` of `file` names, from the root.
fn included(file: &str) -> BTreeSet<String> {
    let text = read(file);
    ["include_str!(\"", "include_bytes!(\""]
        .iter()
        .flat_map(|mark| text.match_indices(mark).map(|(at, mark)| at + mark.len()).collect::<Vec<_>>())
        .map(|at| text[at..].split('"').next().unwrap_or_default().trim_start_matches("../").to_owned())
        .collect()
}

#[test]
fn what_is_embedded_is_what_lies_in_the_folders() {
    let embedded = included("src/render/assets.rs");
    let templates: BTreeSet<String> = files("templates", "typ").into_iter().collect();
    let fonts: BTreeSet<String> = files("fonts", "otf").into_iter().chain(ttf()).collect();
    let expected: BTreeSet<String> = templates.union(&fonts).cloned().collect();
    assert_eq!(embedded, expected, "templates and fonts");

    let procedures: BTreeSet<String> =
        tackwright::procedure::embedded::FILES.iter().map(|(name, _)| (*name).to_owned()).collect();
    let lying: BTreeSet<String> = files("templates/procedures", "toml").into_iter().collect();
    assert_eq!(procedures, lying, "procedures");
    for (name, text) in tackwright::procedure::embedded::FILES {
        assert_eq!(*text, read(name), "{name}");
    }

    let licences = files("fonts", "txt");
    assert!(
        licences.iter().any(|f| read(f).contains("SIL OPEN FONT LICENSE")),
        "no licence beside the fonts"
    );
}

fn ttf() -> Vec<String> {
    let all = files("fonts", "");
    all.into_iter().filter(|f| f.ends_with(".ttf")).collect()
}

#[test]
fn the_top_level_holds_nothing_else() {
    const KNOWN: &[&str] = &[
        "Cargo.toml",
        "Cargo.lock",
        "LICENSE",
        "README.md",
        "DEVELOPERS.md",
        "src",
        "templates",
        "tests",
        "jobs",
        "fonts",
        "target",
    ];
    for entry in std::fs::read_dir(root()).expect("the root") {
        let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
        assert!(
            name.starts_with('.') || KNOWN.contains(&name.as_str()),
            "{name} does not belong at the top level"
        );
    }
}

/// What an editor, a merge or a typesetter leaves behind (`.orig`, `.rej`, `.bak`, `~`) is
/// nobody's source, and goes into a commit unseen.
#[test]
fn every_folder_holds_files_of_its_kinds_only() {
    const KINDS: &[(&str, &[&str])] = &[
        ("src", &["rs"]),
        ("templates", &["toml", "typ"]),
        ("fonts", &["otf", "txt"]),
        ("jobs", &["toml", "pdf", "png"]),
        (
            "tests",
            &[
                "rs", "toml", "txt", "csv", "cms", "key", "p12", "pdf", "pem", "tsq", "tsr", "py", "sh",
                "jpg", "png",
            ],
        ),
    ];
    for (folder, kinds) in KINDS {
        let all = files(folder, "");
        let ending = |name: &String| name.rsplit('/').next()?.rsplit_once('.').map(|(_, e)| e.to_owned());
        let known = |name: &&String| ending(name).is_some_and(|e| kinds.contains(&&*e));
        let stray: Vec<&String> = all.iter().filter(|name| !known(name)).collect();
        assert!(stray.is_empty(), "nothing of {folder}: {stray:?}");
        let kept: BTreeSet<String> = all.iter().filter_map(ending).collect();
        let unused: Vec<_> = kinds.iter().filter(|kind| !kept.contains(**kind)).collect();
        assert!(unused.is_empty(), "{folder} has no files of these kinds any more: {unused:?}");
    }
}

/// A name with a blank or a placeholder is none of a file.
fn is_path(name: &str) -> bool {
    let ours = ["src/", "tests/", "templates/", "jobs/", "fonts/"].iter().any(|top| name.starts_with(top));
    let plain = !name.contains([' ', '<', '>', '*', '$']);
    plain && (ours || name.ends_with(".rs") && name != "mod.rs")
}

#[test]
fn every_file_the_documents_name_is_there() {
    let mut seen = 0;
    for document in ["README.md", "DEVELOPERS.md"] {
        let text = read(document);
        // Blocks are typed by a test of their own.
        let prose: String = text.split("```").step_by(2).collect();
        for name in prose.split('`').skip(1).step_by(2).filter(|name| is_path(name)) {
            seen += 1;
            let there = ["", "src", "tests/suite"].iter().any(|below| root().join(below).join(name).exists());
            assert!(there, "{document} names `{name}`, and there is no such file");
        }
    }
    assert!(seen > 20, "{seen} names were found");
}
