//! Tubes drawn by their sections, each a part of its own: `V1A` and `V1B` of one socket.

use crate::circuit::{Circuit, PartId};
use crate::part::{Part, PartKind};
use crate::place::socket;

impl Circuit {
    /// All sections drawn for the socket of a part, itself included. A part that is no device, such as one
    /// capacitor `C1A` of a can, has no other sections.
    pub fn sections_of(&self, id: PartId) -> Vec<PartId> {
        let is_device = |part: &Part| matches!(part.kind, PartKind::Device(_));
        let own = socket(&self.part(id).designator).filter(|_| is_device(self.part(id)));
        let Some(own) = own else {
            return vec![id];
        };
        let same = |part: &Part| is_device(part) && socket(&part.designator) == Some(own);
        let parts = self.parts().iter().enumerate();
        parts
            .filter(|(_, part)| same(part))
            .map(|(index, _)| PartId(index))
            .collect()
    }
}
