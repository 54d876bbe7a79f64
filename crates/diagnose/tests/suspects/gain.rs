//! Entropies and expected gains: noise-free cases by hand, and mixtures by adaptive quadrature
//! (`vectors/expected_gain.py`).

use diagnose::{entropy_bits, expected_gain_bits, Predicted};

const PRIOR: [f64; 4] = [0.4, 0.3, 0.2, 0.1];

#[test]
fn entropy_of_four_faults() {
    // −Σ p log₂ p, printed to five decimals.
    assert!((entropy_bits(&PRIOR) - 1.84644).abs() < 5e-6);
}

#[test]
fn a_test_without_noise_tells_the_entropy_of_its_outcome() {
    // Faults that the test flags, and the entropy of (Σ flagged, rest), printed to six decimals.
    let cases: [(&[usize], f64); 3] = [(&[0], 0.970951), (&[0, 1], 0.881291), (&[0, 2], 0.970951)];
    for (flags, want) in cases {
        let predicted: Vec<Predicted> = (0..4)
            .map(|fault| Predicted {
                probability: PRIOR[fault],
                volts: if flags.contains(&fault) { 1.0 } else { 0.0 },
                sigma: 1e-3,
            })
            .collect();
        let got = expected_gain_bits(&predicted);
        assert!((got - want).abs() < 1e-6, "{flags:?}: {got} {want}");
    }
}

#[test]
fn mixtures_as_by_adaptive_quadrature() {
    let text = include_str!("../vectors/expected_gain.csv");
    let mut cases: Vec<(String, Vec<Predicted>, f64)> = Vec::new();
    for line in text.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |place: usize| cells[place].parse::<f64>().unwrap();
        let one = Predicted {
            probability: number(1),
            volts: number(2),
            sigma: number(3),
        };
        match cases.last_mut() {
            Some((case, all, _)) if case == cells[0] => all.push(one),
            _ => cases.push((cells[0].to_owned(), vec![one], number(4))),
        }
    }
    assert_eq!(cases.len(), 12);
    for (case, predicted, want) in cases {
        let got = expected_gain_bits(&predicted);
        // Midpoints an eighth of a standard deviation apart; the narrowest is a tenth of the
        // widest, so a step of the wide one is about the narrow one's own deviation.
        assert!((got - want).abs() < 2e-3, "case {case}: {got} {want}");
    }
}
