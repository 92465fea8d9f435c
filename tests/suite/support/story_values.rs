//! Values as the people of the story write them down.

use std::sync::OnceLock;

use serde_json::Value;

use super::story::CASTER;

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
fn share(operation: &str, id: &str) -> f64 {
    let sum: u32 = operation.bytes().chain(id.bytes()).map(u32::from).sum();
    0.2 + 0.05 * f64::from(sum % 7)
}

/// A value between limits that the story states.
pub(super) fn exact(operation: &Value, id: &str) -> Option<String> {
    written(table()["exact"].get(operation["id"].as_str().unwrap())?, id)
}

/// Whether a length is read by what shows thousandths, and its limit asks for them.
fn fine(reading: &Value) -> bool {
    let named = reading["instrument"].as_str().unwrap_or_default();
    let small = reading["limits"]["upper"]["si"].as_f64().is_some_and(|high| high < 0.004);
    let fine = ["feeler", "caliper", "ultrasonic", "bore", "dial", "micrometer"];
    let coarse = ["tape", "rule", "string", "bar", "trammel"];
    small && fine.iter().any(|f| named.contains(f)) && !coarse.iter().any(|c| named.contains(c))
}

/// A value inside the limits, as a person would read it off.
pub(crate) fn value(operation: &Value, reading: &Value) -> String {
    let (id, limits) = (reading["id"].as_str().unwrap(), &reading["limits"]);
    match (operation["id"].as_str().unwrap(), id) {
        ("read-caster", "first.left") => return format!("{} deg", CASTER.0),
        ("read-caster", "second.left") => return format!("{} deg", CASTER.1),
        _ => {}
    }
    let si = |name: &str| limits[name]["si"].as_f64();
    // Well inside: the instruments have their uncertainty. No two joints are read alike.
    let part = match limits["kind"].as_str() {
        Some("length") if id.starts_with("size") => 0.15,
        Some("length") => 0.1 + share(operation["id"].as_str().unwrap(), id),
        Some("temperature") if id.ends_with("J3") => 0.04,
        _ => 0.05,
    };
    let best = match (si("lower"), si("upper")) {
        (Some(low), Some(high)) => Some((low + high) / 2.0),
        (Some(low), None) => Some(low + part * low.abs()),
        // What is read over a travel, far inside.
        (None, Some(high)) if id == "bump" => Some(0.5 * high),
        // Next to nothing: no gauge shows it.
        (None, Some(high)) if limits["kind"] == "length" && high < 0.0002 => Some(0.0),
        (None, Some(high)) if limits["kind"] == "length" && high < 0.004 => Some(part * high),
        (None, Some(high)) if limits["kind"] == "angle" && high < 0.01 => Some(0.0),
        (None, Some(high)) => Some(high - part * high.abs()),
        (None, None) => si("target"),
    };
    let half = si("lower").zip(si("upper")).map(|(low, high)| (high - low) / 2.0);
    // Size of the unit in SI, its zero, its name, what is read where nothing is asked.
    let (size, zero, unit, usual, least) = match limits["kind"].as_str().unwrap() {
        "angle" => (1.0_f64.to_radians(), 0.0, "deg", 1.0, 1),
        "length" => (0.0254, 0.0, "in", 0.15, if fine(reading) { 3 } else { 2 }),
        "torque" => (1.355_817_948_331_4, 0.0, "lbf-ft", 100.0, 0),
        "temperature" => (5.0 / 9.0, 459.67, "degF", 68.0, 0),
        "current" => (1.0, 0.0, "A", 180.0, 0),
        "voltage" => (1.0, 0.0, "V", 19.0, 1),
        "time" => (60.0, 0.0, "min", 10.0, 1),
        "mass" => (0.453_592_37, 0.0, "lb", 2200.0, 0),
        "stress" => (6_894.757_293_168, 0.0, "psi", 35.0, 0),
        "speed" => (0.0254 / 60.0, 0.0, "in/min", 10.0, 1),
        _ => (1.0, 0.0, "", 1.0, 1),
    };
    // Where that is not usual of it, the middle of what is.
    let end = |name: &str| reading["usual"][name]["si"].as_f64().map(|si| si / size - zero);
    let plain = match end("least").zip(end("most")) {
        Some((low, high)) if usual < low || usual > high => f64::midpoint(low, high),
        _ => usual,
    };
    let exact = best.map_or(plain, |b| b / size - zero);
    // As few places as keep it well inside.
    let room = half.map_or(f64::INFINITY, |h| 0.2 * h / size);
    let places = (least..5_i32).find(|p| {
        let tidy = (exact * 10_f64.powi(*p)).round() / 10_f64.powi(*p);
        (tidy - exact).abs() <= room
    });
    format!("{exact:.*} {unit}", usize::try_from(places.unwrap_or(4)).unwrap()).trim().to_owned()
}
