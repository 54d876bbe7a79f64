//! The page that explains the documents, written from their schemas.

use serde_json::Value;

use super::documents::document_schemas;
use super::schema::DocumentSchema;

const INTRODUCTION: &str = "\
# The JSON documents

`--format json` gives one document for one job and an array of documents for several. Every document is
described by a JSON Schema (draft 2020-12) in `docs/schema/`, against which the tests check it. Names stay as
they are within a version number; fields may be added only together with a new number, for the schemas allow no others.

Numbers are plain SI numbers at full precision (volts, ohms, amperes, farads), never texts with units; only the
worksheet's numbers are rounded, as they are on paper. `null` stands where there is no value, and also where a
computation gives no finite one.
";

/// `docs/json.md`: every field of every document, with its type and its meaning.
pub fn json_page() -> String {
    let mut page = INTRODUCTION.to_owned();
    for document in document_schemas() {
        page.push_str(&section(&document));
    }
    page
}

fn section(document: &DocumentSchema) -> String {
    let (kind, name) = (document.kind, document.name());
    let mut text = format!(
        "\n## {}: `{}`\n\n{} Schema: [{name}.schema.json](schema/{name}.schema.json).\n\n\
         | field | type | content |\n| --- | --- | --- |\n",
        kind.commands, kind.schema, kind.about
    );
    rows(&document.schema, "", &mut text);
    text
}

/// A row for each field of an object, each followed by the fields inside it.
fn rows(object: &Value, prefix: &str, text: &mut String) {
    let Some(fields) = object["properties"].as_object() else {
        return;
    };
    for (name, field) in fields {
        let field = value(field);
        let list = field["items"].is_object() && !is_pair(field);
        let path = format!("{prefix}{name}{}", if list { "[]" } else { "" });
        let content = field["description"].as_str().unwrap_or_default();
        let content = content.split_whitespace().collect::<Vec<_>>().join(" ");
        text.push_str(&format!(
            "| `{path}` | {} | {content} |\n",
            type_words(field)
        ));
        let inner = if list { value(&field["items"]) } else { field };
        rows(inner, &format!("{path}."), text);
    }
}

/// The schema of what may also be null.
fn value(schema: &Value) -> &Value {
    let choices = schema["anyOf"].as_array();
    choices
        .and_then(|choices| choices.iter().find(|choice| choice["type"] != "null"))
        .unwrap_or(schema)
}

/// Two limits, low and high.
fn is_pair(schema: &Value) -> bool {
    schema["maxItems"] == 2
}

fn type_words(schema: &Value) -> String {
    if let Some(only) = schema["const"].as_str() {
        return format!("`\"{only}\"`");
    }
    if let Some(words) = schema["enum"].as_array() {
        let words: Vec<_> = words.iter().map(|word| format!("`{word}`")).collect();
        return words.join(", ");
    }
    if is_pair(schema) {
        return "[low, high]".into();
    }
    match &schema["type"] {
        Value::Array(types) => {
            let types: Vec<_> = types.iter().filter_map(Value::as_str).collect();
            types.join(" or ")
        }
        only => only.as_str().unwrap_or("value").to_owned(),
    }
}
