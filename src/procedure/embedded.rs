//! The procedures that ship with the program.

/// What the names of their files begin with; no file of a shop's is given such a name.
pub const FOLDER: &str = "templates/procedures/";

macro_rules! files {
    ($($name:literal,)*) => {
        /// Files under `templates/procedures`, by name; states and shared
        /// operations first.
        pub const FILES: &[(&str, &str)] = &[$((
            concat!("templates/procedures/", $name),
            include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/templates/procedures/", $name)),
        ),)*];
    };
}

files! {
    "states.toml",
    "shared.toml",
    "axle-position.toml",
    "bolt-on.toml",
    "driveshaft.toml",
    "final.toml",
    "housing-rotation.toml",
    "knuckle-reindex.toml",
    "linkage.toml",
    "shackle-move.toml",
    "spring-clamp.toml",
    "spring-over.toml",
    "spring-pack.toml",
    "trailer-springs.toml",
    "weldment.toml",
}
