//! What manual and drawing each say by themselves of a translated point.

use crate::bench::BenchSide;
use crate::drawn_point::Alone;
use crate::point::Carried;
use crate::point_model::PointModel;

/// What manual and drawing each say by themselves; none where that source says nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SourcesAlone {
    /// The printed value carried over by a constant current.
    pub manual: Option<Alone>,
    /// The drawn circuit.
    pub drawing: Option<Alone>,
}

impl Carried {
    /// What manual and drawing each say by themselves of a bench meter's reading.
    pub fn sources(&self, side: &BenchSide) -> SourcesAlone {
        let siemens = 1.0 / side.input_ohms;
        SourcesAlone {
            manual: self.point_model.manual_alone(siemens).ok().flatten(),
            drawing: self.point_model.drawing_alone(siemens).ok().flatten(),
        }
    }

    /// Decimal digits that arithmetic leaves of what a bench meter should show; none where it comes
    /// from a closed form.
    pub fn digits(&self, side: &BenchSide) -> Option<f64> {
        match &self.point_model {
            PointModel::Stated(_) => None,
            PointModel::Drawn(point) => {
                let expected = point.expected(1.0 / side.input_ohms).ok()?;
                Some(point.posterior_reading(&expected).ok()?.digits)
            }
        }
    }
}
