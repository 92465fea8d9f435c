//! Records: a table whose keys are declared once.

use serde_json::{Map, Value as Json, json};
use toml::de::DeValue;

use super::field::last;
use super::text::shorten;
use super::{Field, Node, Reader, mend};
use crate::diagnostic::{Diagnostic, Severity, nearest};

/// One declared key of a record.
#[derive(Debug, Clone, Copy)]
pub struct FieldSpec {
    /// As written in the file, without the path to its table.
    pub key: &'static str,
    /// Whether the record can't do without it.
    pub required: bool,
    /// What it is, one sentence.
    pub help: &'static str,
    /// A right value as written in the file; empty for tables.
    pub example: &'static str,
    /// Makes the JSON schema of its value; help and example are added to it.
    pub schema: fn() -> Json,
}

/// A table with declared keys.
pub trait Record {
    /// What the table is, one sentence.
    const ABOUT: &'static str;

    /// Its keys, in the order a person fills them in.
    fn fields() -> Vec<FieldSpec>;
}

/// JSON schema of a table: its declared keys with help and example, and no other key.
#[must_use]
pub fn record_schema<R: Record>() -> Json {
    let mut properties = Map::new();
    let mut required = Vec::new();
    for field in R::fields() {
        let mut schema = (field.schema)();
        if let Some(object) = schema.as_object_mut() {
            object.insert("description".to_owned(), json!(field.help.trim()));
            if !field.example.is_empty() && !object.contains_key("enum") {
                object.insert("examples".to_owned(), json!([field.example.trim_matches('"')]));
            }
        }
        properties.insert(field.key.to_owned(), schema);
        if field.required {
            required.push(field.key);
        }
    }
    json!({
        "type": "object",
        "description": R::ABOUT.trim(),
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

/// The table behind a node, with unknown keys reported.
pub fn open<'a, R: Record>(node: &Node<'a>, reader: &mut Reader) -> Option<&'a toml::de::DeTable<'a>> {
    let DeValue::Table(table) = node.value else {
        let key = last(&node.key);
        reader.problem(
            node,
            Diagnostic::error("J010", format!("{key} is {}", node.kind()))
                .expected(format!("a table: {}", R::ABOUT.trim()))
                .example(format!("[{}]", without_numbers(&node.key))),
        );
        return None;
    };
    let fields = R::fields();
    for (key, value) in table.iter() {
        let name: &str = key.get_ref();
        if fields.iter().any(|f| f.key == name) {
            continue;
        }
        let place =
            if node.key.is_empty() { "the file itself".to_owned() } else { format!("[{}]", node.key) };
        let mut problem =
            Diagnostic::error("J003", format!("there is no key \"{}\" in {place}", shorten(name)))
                .expected(fields.iter().map(|f| f.key).collect::<Vec<_>>().join(", "));
        if let Some(near) = nearest(name, fields.iter().map(|f| f.key)) {
            problem = problem.help(format!("did you mean \"{near}\"?"));
            problem = problem.example(match mend::written(value.get_ref()) {
                Some(own) => format!("{near} = {own}"),
                None => near.to_owned(),
            });
        }
        let key_node = Node { value: node.value, range: key.span(), key: join(&node.key, name) };
        reader.problem(&key_node, problem);
    }
    Some(table)
}

/// Reads one declared key of a table; says if a required one is missing.
pub fn take<T: Field>(
    node: &Node<'_>,
    table: &toml::de::DeTable<'_>,
    spec: &FieldSpec,
    reader: &mut Reader,
) -> Option<T> {
    let found = table.iter().find(|(key, _)| {
        let name: &str = key.get_ref();
        name == spec.key
    });
    match found {
        Some((_, value)) => {
            let value = Node::new(value, join(&node.key, spec.key));
            if reader.holds(&value) {
                return None;
            }
            let before = reader.report.problems.len();
            let read = T::read(&value, reader);
            if read.is_some() || !spec.required {
                return read;
            }
            let stand_in = T::stand_in(&value, reader);
            if let [blank] = &mut reader.report.problems[before..]
                && blank.severity == Severity::Blank
            {
                // Nothing is issued while this one is open.
                blank.code = "J006";
                blank.message.push_str("; no traveler is issued without it");
                blank.severity = if stand_in.is_none() { Severity::Error } else { Severity::Stop };
                return stand_in;
            }
            None
        }
        None => {
            if spec.required {
                let problem = Diagnostic::error("J004", format!("{} is missing", join(&node.key, spec.key)))
                    .expected(match (T::expected(), spec.help.trim()) {
                        (expected, help) if expected.trim() == help => expected,
                        (expected, help) => format!("{expected} ({help})"),
                    })
                    .example(if spec.example.is_empty() {
                        // What has no example of its own is a table.
                        format!("[{}]", join(&node.key, spec.key))
                    } else {
                        format!("{} = {}", spec.key, spec.example)
                    });
                let head = Node { value: node.value, range: heading(node), key: join(&node.key, spec.key) };
                reader.problem(&head, problem);
            }
            None
        }
    }
}

/// The first byte of a table is where its heading stands; marking the whole
/// table would drown the message.
fn heading(node: &Node<'_>) -> std::ops::Range<usize> {
    node.range.start..node.range.end.min(node.range.start + 1)
}

/// A key path as a table heading says it, without the numbers of list items.
fn without_numbers(path: &str) -> String {
    path.split('.').map(|part| part.split('[').next().unwrap_or(part)).collect::<Vec<_>>().join(".")
}

/// A key path one step longer.
#[must_use]
pub fn join(path: &str, key: &str) -> String {
    if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") }
}

/// Declares a record: Rust struct, reader, schema and help in one place.
///
/// `required` keys have type `T`, `optional` ones `Option<T>`, `many` ones
/// `Vec<T>` (empty if absent), `default` ones `T` with the value named.
#[macro_export]
macro_rules! record {
    ($(#[doc = $about:literal])+ $vis:vis struct $name:ident {
        $($(#[doc = $help:literal])+ $mode:ident $key:ident $(as $written:literal)? : $type:ty $(= $default:expr)? => $example:literal;)+
    }) => {
        $(#[doc = $about])+
        #[derive(Debug, Clone, PartialEq)]
        $vis struct $name {
            $($(#[doc = $help])+ pub $key: $crate::record!(@type $mode $type),)+
            /// Where the table stands.
            pub span: $crate::diagnostic::Span,
        }

        impl $crate::file::Record for $name {
            const ABOUT: &'static str = concat!($($about,)+);
            fn fields() -> Vec<$crate::file::FieldSpec> {
                vec![$($crate::file::FieldSpec {
                    key: $crate::record!(@key $key $($written)?),
                    required: $crate::record!(@required $mode),
                    help: concat!($($help,)+),
                    example: $example,
                    schema: || <$crate::record!(@read $mode $type) as $crate::file::Field>::schema(),
                },)+]
            }
        }

        impl $crate::file::Field for $name {
            fn read(
                node: &$crate::file::Node<'_>,
                reader: &mut $crate::file::Reader,
            ) -> Option<Self> {
                use $crate::file::record as machinery;
                let table = machinery::open::<Self>(node, reader)?;
                let specs = <Self as $crate::file::Record>::fields();
                let mut specs = specs.iter();
                $(
                    let $key: Option<$crate::record!(@read $mode $type)> =
                        specs.next().and_then(|spec| machinery::take(node, table, spec, reader));
                )+
                Some(Self {
                    $($key: $crate::record!(@value $mode $key $($default)?),)+
                    span: reader.span(node.range.clone()),
                })
            }

            fn schema() -> serde_json::Value {
                $crate::file::record::record_schema::<Self>()
            }

            fn numbers(path: &str, into: &mut Vec<(String, $crate::quantity::Kind)>) {
                $(
                    let key = $crate::file::record::join(path, $crate::record!(@key $key $($written)?));
                    <$crate::record!(@read $mode $type) as $crate::file::Field>::numbers(&key, into);
                )+
            }

            fn expected() -> String {
                <Self as $crate::file::Record>::ABOUT.trim().to_owned()
            }
        }
    };
    (@key $key:ident $written:literal) => { $written };
    (@key $key:ident) => { stringify!($key) };
    (@type required $type:ty) => { $type };
    (@type optional $type:ty) => { Option<$type> };
    (@type many $type:ty) => { Vec<$type> };
    (@type default $type:ty) => { $type };
    (@read many $type:ty) => { Vec<$type> };
    (@read $mode:ident $type:ty) => { $type };
    (@required required) => { true };
    (@required $mode:ident) => { false };
    (@value required $key:ident) => { $key? };
    (@value optional $key:ident) => { $key };
    (@value many $key:ident) => { $key.unwrap_or_default() };
    (@value default $key:ident $default:expr) => { $key.unwrap_or($default) };
}
