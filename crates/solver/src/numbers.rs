//! How a device's currents follow each of its own numbers.
//!
//! By central differences on the law alone, good to about 1e-9 of the derivative. In the solved
//! state they are made once, with how they follow the volts, which the law's slopes give at no cost.

use circuit::DeviceParameter;
use nalgebra::DVector;

use crate::device::Device;
use crate::law::{self, MOST_TERMINALS};
use crate::solution::Solution;

/// Where a device's slopes have moved by less than this share since the solved state, what its
/// currents do with its numbers is taken on a straight line from there. That errs by about the
/// square, of a device that the reading hardly follows.
const STRAIGHT: f64 = 3e-3;

/// How a device's currents follow each of its numbers in the solved state, and how that follows
/// its volts.
#[derive(Clone, Debug)]
pub(crate) struct DrawnSlopes {
    /// `∂f/∂θ`
    slopes: [f64; MOST_TERMINALS],
    /// `∂²f/∂θ∂u`
    bends: [[f64; MOST_TERMINALS]; MOST_TERMINALS],
}

/// For every number of a device at a state.
fn drawn_slopes(device: &Device, x: &DVector<f64>) -> Vec<DrawnSlopes> {
    let volts = device.terminal_volts(x);
    let parameters = device.characteristic.parameters().iter();
    parameters
        .map(|parameter| {
            let step = parameter.step();
            let at = |change: f64| {
                law::evaluate(&device.characteristic.varied(*parameter, change), &volts)
            };
            let (above, below) = (at(step), at(-step));
            let by_volts = |t: usize, o: usize| above.conductance[t][o] - below.conductance[t][o];
            DrawnSlopes {
                slopes: std::array::from_fn(|t| {
                    (above.current[t] - below.current[t]) / (2.0 * step)
                }),
                bends: std::array::from_fn(|t| {
                    std::array::from_fn(|o| by_volts(t, o) / (2.0 * step))
                }),
            }
        })
        .collect()
}

/// Derivatives of a device's currents by each of its numbers.
pub(crate) fn device_slopes(
    device: &Device,
    x: &DVector<f64>,
) -> Vec<(DeviceParameter, [f64; MOST_TERMINALS])> {
    let volts = device.terminal_volts(x);
    let parameters = device.characteristic.parameters().iter();
    parameters
        .map(|parameter| {
            let step = parameter.step();
            let at = |change: f64| {
                law::evaluate(&device.characteristic.varied(*parameter, change), &volts).current
            };
            let (above, below) = (at(step), at(-step));
            let slope = |terminal: usize| (above[terminal] - below[terminal]) / (2.0 * step);
            (*parameter, std::array::from_fn(slope))
        })
        .collect()
}

impl Solution {
    /// Derivatives of a device's currents by each of its numbers at some volts: on a straight line
    /// from the solved state where its own slopes have hardly moved.
    pub(crate) fn slopes_of(
        &self,
        place: usize,
        volts: &DVector<f64>,
    ) -> Vec<[f64; MOST_TERMINALS]> {
        let device = &self.reduced.devices[place];
        let origin = DVector::zeros(0);
        let departure = self.departure(&origin, None);
        if departure.has_moved(place, &device.at(volts), STRAIGHT) {
            let each = device_slopes(device, volts).into_iter();
            return each.map(|(_, slopes)| slopes).collect();
        }
        let every = self.reduced.devices.iter();
        let make = || {
            every
                .map(|device| drawn_slopes(device, &self.kept))
                .collect()
        };
        let drawn: &Vec<Vec<DrawnSlopes>> = self.drawn_slopes.get_or_init(make);
        let (now, then) = (
            device.terminal_volts(volts),
            device.terminal_volts(&self.kept),
        );
        let moved: [f64; MOST_TERMINALS] = std::array::from_fn(|other| now[other] - then[other]);
        let at = |number: &DrawnSlopes| {
            std::array::from_fn(|terminal| {
                let bends = number.bends[terminal].iter().zip(moved);
                number.slopes[terminal] + bends.map(|(bend, volts)| bend * volts).sum::<f64>()
            })
        };
        drawn[place].iter().map(at).collect()
    }
}
