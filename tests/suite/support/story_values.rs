//! Values as the people of the story write them down.

use std::sync::OnceLock;

use serde_json::Value;

/// What a second reading, or that of the other side, comes to beside a first one: no two
/// are alike. None where a step of the instrument is too much.
pub(super) fn beside(first: &str, way: f64, reading: &Value, room: &Value) -> Option<String> {
    let limits = &reading["limits"];
    let (number, unit) = first.split_once(' ')?;
    let (step, places, size) = match limits["kind"].as_str()? {
        "angle" => (0.1 * way, 1, 1.0_f64.to_radians()),
        "length" => (-0.02 * way, 2, 0.0254),
        _ => return None,
    };
    let value = number.parse::<f64>().ok()? + step;
    let inside = |name: &str, sign: f64| {
        limits[name]["si"].as_f64().is_none_or(|end| sign * (value * size - end) > 0.25 * size * step.abs())
    };
    let fits = room["si"].as_f64().is_some_and(|room| room > 2.5 * size * step.abs());
    (fits && (value > 0.0) == (value - step > 0.0) && inside("lower", 1.0) && inside("upper", -1.0))
        .then(|| format!("{value:.places$} {unit}"))
}

/// A printed target as a value to write: `9.3° ± 0.5°` is `9.3 deg`. None for
/// limits and for fractions.
pub(super) fn plain(target: &str) -> Option<String> {
    let first = target.split(" ±").next()?.split(" (").next()?.replace('−', "-").replace('°', " deg");
    let (number, unit) = first.trim().split_once(' ')?;
    number.parse::<f64>().ok()?;
    Some(format!("{number} {unit}"))
}

pub(super) fn table() -> &'static toml::Table {
    static TABLE: OnceLock<toml::Table> = OnceLock::new();
    TABLE.get_or_init(|| toml::from_str(include_str!("../../cases/story.toml")).unwrap())
}

/// What the story says of a reading in a section of its own.
pub(super) fn of(section: &str, id: &str) -> Option<String> {
    written(table().get(section)?, id)
}

/// What a section says of a reading: of its side or joint first.
fn written(section: &toml::Value, id: &str) -> Option<String> {
    let stem = id.split('.').next().unwrap();
    section.get(id).or_else(|| section.get(stem))?.as_str().map(str::to_owned)
}

/// Minutes that pass before a reading can be taken: what is made for it takes them.
pub(super) fn wait_before(id: &str) -> i64 {
    table()["minutes-before"].get(id).and_then(toml::Value::as_integer).unwrap_or(0)
}

/// A share from a fifth to a half, another one for most readings: no two are alike.
pub(super) fn share(operation: &str, id: &str) -> f64 {
    let sum: u32 = operation.bytes().chain(id.bytes()).map(u32::from).sum();
    0.2 + 0.05 * f64::from(sum % 7)
}

/// A value between limits that the story states.
pub(super) fn exact(operation: &Value, id: &str) -> Option<String> {
    written(table()["exact"].get(operation["id"].as_str().unwrap())?, id)
}
