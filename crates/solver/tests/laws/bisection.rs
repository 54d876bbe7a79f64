//! Zero of a rising function, by halving: slow, and free of any derivative under test.

/// Where `rising` passes zero between `low` and `high`.
pub fn zero(mut low: f64, mut high: f64, rising: impl Fn(f64) -> f64) -> f64 {
    assert!(
        rising(low) <= 0.0 && rising(high) >= 0.0,
        "no sign change between {low} and {high}"
    );
    // 200 halvings go below the spacing of floats from any start.
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if rising(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}
