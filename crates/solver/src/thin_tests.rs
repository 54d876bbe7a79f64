//! Tests of `thin`.

use super::*;

/// 40 groups of three rows and five columns that act on each other by two rails, one under the
/// other.
fn two_rails() -> DMatrix<f64> {
    DMatrix::from_fn(120, 200, |row, column| {
        let (group, other) = (row / 3, column / 5);
        let (own, far) = (1.0 + (row % 7) as f64, 0.1 + (column % 11) as f64);
        let rail = if group < 30 || other < 30 { 1e-3 } else { 3e-3 };
        let near = if group == other { own + far } else { 0.0 };
        near + rail * own * far
    })
}

fn of(matrix: &DMatrix<f64>, sizes: (&[f64], &[f64])) -> Option<Thin> {
    let turned = matrix.transpose();
    let rows: Vec<&[f64]> = turned.as_slice().chunks(matrix.ncols()).collect();
    Thin::of(&rows, sizes, 1e-12)
}

fn thin() -> (DMatrix<f64>, Thin) {
    let matrix = two_rails();
    let ones = vec![1.0; 200];
    let thin = of(&matrix, (&ones[..120], &ones)).unwrap();
    (matrix, thin)
}

/// A few hundred sums of numbers up to 200, and entries of 1e-12 left out.
const CLOSE: f64 = 1e-9;

#[test]
fn products_are_those_of_the_whole_matrix() {
    let (matrix, thin) = thin();
    let x = DVector::from_fn(200, |k, _| ((k * 7) % 13) as f64 - 6.0);
    let y = DVector::from_fn(120, |k, _| ((k * 5) % 11) as f64 - 5.0);
    assert!((thin.times(x.as_slice()) - &matrix * &x).amax() < CLOSE);
    assert!((thin.turned_times(&y) - matrix.tr_mul(&y)).amax() < CLOSE);
    let squared = &matrix * matrix.transpose();
    assert!((thin.squared() - &squared).amax() < CLOSE);
    let want = matrix.transpose() * &squared * &matrix;
    let places: Vec<usize> = (0..200).rev().collect();
    for (got, place) in thin.squares(&places, &squared).iter().zip(places) {
        let want = want[(place, place)];
        assert!((got - want).abs() < CLOSE * want.abs(), "{got} {want}");
    }
}

#[test]
fn columns_are_scaled_with_all_they_hold() {
    let (mut matrix, mut thin) = thin();
    let by: Vec<f64> = (0..200).map(|k| 0.5 + (k % 3) as f64).collect();
    for (mut column, by) in matrix.column_iter_mut().zip(&by) {
        column *= *by;
    }
    thin.scale_columns(&by);
    let x = DVector::from_element(200, 1.0);
    assert!((thin.times(x.as_slice()) - &matrix * &x).amax() < CLOSE);
}

#[test]
fn a_matrix_with_nothing_alike_is_left_as_it_is() {
    let matrix = DMatrix::from_fn(60, 60, |i, j| ((i * 31 + j * 17) % 23) as f64 - 11.0);
    let ones = vec![1.0; 60];
    assert!(of(&matrix, (&ones, &ones)).is_none());
}
