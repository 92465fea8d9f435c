//! Figures for machines: stable JSON shapes, documented in `DEVELOPERS.md`.

use serde_json::{Value as Json, json};

use super::{kind_words, names, unused, used, warnings};
use crate::figure::{Family, Figure, Given, Need, Used, Value};
use crate::quantity::{Quantity, Style};

/// A value as JSON: SI value at full precision, SI unit, and display text.
fn value_json(value: &Value, text: &str, style: Option<Style>) -> Json {
    match value {
        Value::Quantity { quantity, uncertainty } => {
            let mut object = quantity_json(*quantity);
            object["text"] = json!(text);
            if *uncertainty > 0.0 {
                object["standard_uncertainty"] = json!(uncertainty);
                object["expanded_uncertainty"] = json!(2.0 * uncertainty);
                object["coverage_factor"] = json!(2);
            }
            object
        }
        Value::Word(word) => json!({ "word": word, "text": text }),
        Value::Flag(flag) => json!({ "flag": flag, "text": text }),
        Value::List(list) => json!({
            "list": list.iter().map(|v| value_json(v, &v.show_with(style), style)).collect::<Vec<_>>(),
            "text": text,
        }),
    }
}

fn quantity_json(quantity: Quantity) -> Json {
    json!({ "value": quantity.si(), "unit": quantity.kind().si_symbol() })
}

/// One figure as JSON. The shape is documented in `DEVELOPERS.md`.
#[must_use]
pub fn figure_json(figure: &Figure) -> Json {
    let mut object = json!({ "id": figure.id, "title": figure.title });
    if let (Some(target), Json::Object(value)) =
        (object.as_object_mut(), value_json(&figure.value, &figure.show(), figure.style))
    {
        target.extend(value);
        target.insert("formula".to_owned(), json!(figure.formula));
        target.insert("source".to_owned(), json!(figure.source.to_string()));
        target.insert("from_memory".to_owned(), json!(figure.source.from_memory));
        target.insert("range".to_owned(), json!(figure.range));
        target.insert("rounded".to_owned(), json!(figure.style.map(|s| s.toward)));
    }
    object
}

/// Inputs by name, each with whether it is the default because none was given.
#[must_use]
pub fn inputs_json<'a>(inputs: impl IntoIterator<Item = &'a Used>) -> Json {
    let object = |used: &Used| {
        let mut object = value_json(&used.value, &used.show(), None);
        object["default"] = json!(used.default.is_some());
        object
    };
    Json::Object(inputs.into_iter().map(|used| (used.name.to_owned(), object(used))).collect())
}

/// The answer of a family as JSON.
#[must_use]
pub fn answer_json(family: &Family, given: &Given, figures: &[Figure]) -> Json {
    json!({
        "figure": family.name,
        "title": family.title,
        "inputs": inputs_json(used(given, figures)),
        "results": figures.iter().map(figure_json).collect::<Vec<_>>(),
        "not_used": unused(given, figures),
        "warnings": warnings(given, figures),
    })
}

/// A family's listing as JSON.
#[must_use]
pub fn listing_json(family: &Family) -> Json {
    json!({
        "name": family.name,
        "other_names": family.declared.other_names,
        "group": family.group,
        "title": family.title,
        "inputs": family.inputs.iter().map(|i| json!({
            "name": i.name,
            "aliases": names::all_names(i).skip(1).collect::<Vec<_>>(),
            "kind": kind_words(i),
            "needed": i.need == Need::Required,
            "default": if let Need::Default(text) = i.need { json!(text) } else { Json::Null },
            "range": i.range.words(),
            "help": i.help,
        })).collect::<Vec<_>>(),
        "outputs": family.outputs.iter().map(|o| json!({
            "id": o.id, "title": o.title, "formula": o.formula,
            "source": o.source.to_string(), "range": o.range,
        })).collect::<Vec<_>>(),
        "example": format!("tackwright reckon {} {}", family.name, family.example),
    })
}
