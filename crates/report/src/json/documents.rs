//! Every kind of JSON document.

use super::schema::DocumentSchema;
use super::{
    check, compare, curve, devices, explain, imitate, meters, suspects, translate, unload,
    worksheet,
};

/// Every kind of document, in the order of the page.
pub fn document_schemas() -> Vec<DocumentSchema> {
    vec![
        translate::schema(),
        compare::schema(),
        curve::schema(),
        explain::schema(),
        check::schema(),
        suspects::schema(),
        worksheet::schema(),
        meters::schema(),
        devices::schema(),
        unload::schema(),
        imitate::schema(),
    ]
}
