//! Writes `docs/schema` and `docs/json.md` anew from the records that the documents are made of.
//!
//! `cargo run -p report --example write-json-docs`, from the root of the repository.

use std::{fs, io};

use report::{document_schemas, json_page};

fn main() -> io::Result<()> {
    for document in document_schemas() {
        let path = format!("docs/schema/{}.schema.json", document.name());
        fs::write(path, format!("{:#}\n", document.schema))?;
    }
    fs::write("docs/json.md", json_page())
}
