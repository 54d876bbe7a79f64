//! The schema of each document, derived from the records that it is written from.

use schemars::generate::SchemaSettings;
use schemars::transform::{transform_subschemas, Transform};
use schemars::{JsonSchema, Schema};
use serde_json::{json, Value};

use super::kind::Kind;
use super::Document;

/// One kind of document, described by a JSON Schema (draft 2020-12).
#[derive(Clone, Debug)]
pub struct DocumentSchema {
    pub(super) kind: Kind,
    /// The schema.
    pub schema: Value,
}

impl DocumentSchema {
    /// Of the document with this body.
    pub(super) fn of<Body: JsonSchema>(kind: Kind) -> Self {
        let settings = SchemaSettings::draft2020_12()
            .for_serialize()
            .with(|settings| settings.inline_subschemas = true)
            .with_transform(Closed);
        let mut schema = settings
            .into_generator()
            .into_root_schema_for::<Document<'static, Body>>();
        schema.insert("title".into(), kind.schema.into());
        schema.insert("description".into(), kind.about.into());
        let mut schema = Value::from(schema);
        schema["properties"]["schema"] = json!({
            "description": schema["properties"]["schema"]["description"],
            "const": kind.schema,
        });
        DocumentSchema { kind, schema }
    }

    /// The name of the kind, such as `translate`.
    pub fn name(&self) -> &'static str {
        self.kind.schema.split('/').nth(1).unwrap_or_default()
    }
}

/// Objects allow no further fields, and the names of the language's own number types are left out.
#[derive(Clone, Debug)]
struct Closed;

impl Transform for Closed {
    fn transform(&mut self, schema: &mut Schema) {
        transform_subschemas(self, schema);
        schema.remove("format");
        if schema.get("properties").is_some() {
            schema.insert("additionalProperties".into(), false.into());
        }
    }
}
