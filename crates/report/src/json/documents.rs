//! Every kind of JSON document.

use super::schema::DocumentSchema;
use super::{
    check, compare, curve, devices, explain, imitate, meters, suspects, translate, unload,
    worksheet,
};
use crate::worksheet::Worksheet;

/// Every kind of document, in the order of the page.
pub fn document_schemas() -> Vec<DocumentSchema> {
    vec![
        DocumentSchema::of::<translate::Body<'_>>(translate::KIND),
        DocumentSchema::of::<compare::Body<'_>>(compare::KIND),
        DocumentSchema::of::<curve::Body<'_>>(curve::KIND),
        DocumentSchema::of::<explain::Body<'_>>(explain::KIND),
        DocumentSchema::of::<check::Body<'_>>(check::KIND),
        DocumentSchema::of::<suspects::Body<'_>>(suspects::KIND),
        DocumentSchema::of::<Worksheet>(worksheet::KIND),
        DocumentSchema::of::<meters::Body<'_>>(meters::KIND),
        DocumentSchema::of::<devices::Body<'_>>(devices::KIND),
        DocumentSchema::of::<unload::Body<'_>>(unload::KIND),
        DocumentSchema::of::<imitate::Body<'_>>(imitate::KIND),
    ]
}
