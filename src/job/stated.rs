//! Whether a job states a key itself, so that a shop's preference may stand in
//! for a default and never for what the job says.

use toml::de::{DeTable, DeValue};

/// Whether `[table]` of the file has this key.
#[must_use]
pub fn stated(text: &str, table: &str, key: &str) -> bool {
    let (parsed, _) = DeTable::parse_recoverable(text);
    let root = parsed.into_inner();
    let section = root.iter().find(|(name, _)| {
        let name: &str = name.get_ref();
        name == table
    });
    let Some((_, section)) = section else { return false };
    let DeValue::Table(section) = section.get_ref() else { return false };
    section.iter().any(|(name, _)| {
        let name: &str = name.get_ref();
        name == key
    })
}
