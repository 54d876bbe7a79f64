//! The sockets that bases fit, and where their contacts stand.
//!
//! The designation of a base comes in. Its leading figure counts connected pins and does not tell
//! the socket: 7BZ is a miniature base and 7S an octal one. So every base of the catalogue is named
//! here; another one, of a tube that a job describes, is known where it says its socket in words.

use circuit::TubeType;

/// What a base plugs into.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Socket {
    /// Seven-pin miniature.
    Miniature,
    /// Octal, with a key.
    Octal,
    /// Loctal: eight thin pins round a key that locks.
    Loctal,
    /// Nine-pin miniature.
    Noval,
    /// Eight thin pins, and a lug at the rim of the bulb.
    B8a,
    /// So many pins of an old base, evenly spaced, the two of the heater at the bottom.
    Old(u8),
}

/// Bases by socket, as receiving-tube manuals have them (from memory).
const BASES: [(Socket, &[&str]); 9] = [
    (
        Socket::Miniature,
        &[
            "5BO", "5BQ", "5BS", "6BG", "6BT", "7BD", "7BK", "7BT", "7BZ", "7CH", "7CV", "6AR",
            "6AU", "6BW", "6BX", "7AT", "7BA", "7BF", "7CM", "7DB", "5CE", "7DQ",
        ],
    ),
    (
        Socket::Loctal,
        &[
            "4Z", "5AB", "5AC", "5AD", "5AG", "6AA", "6AE", "7AO", "8AC", "8AE", "8AL", "8U", "8V",
            "8W", "8X",
        ],
    ),
    (
        Socket::Octal,
        &[
            "4AJ", "5DA", "5T", "6AD", "6Q", "6S", "7AC", "7S", "8BD", "8EP", "8N", "8Q", "5L",
            "5M", "5Y", "5Z", "6AB", "6X", "5AA", "5Q", "7AP", "7Q", "7R", "7V", "8A", "8BK", "8E",
            "8K", "8R", "7Z", "8Y",
        ],
    ),
    (
        Socket::Noval,
        &[
            "9A", "9AJ", "9BF", "9BJ", "9CV", "9AQ", "9M", "9DE", "9AE", "9DA", "9EX", "9JT",
            "9LZ", "9E", "9BV", "9CQ", "9CA", "9HE", "9T",
        ],
    ),
    (Socket::B8a, &["B8A"]),
    (Socket::Old(4), &["4C", "4D", "4G"]),
    (Socket::Old(5), &["5A", "5B", "5D", "5F"]),
    (Socket::Old(6), &["6B", "6E", "6F", "6G", "6R"]),
    (Socket::Old(7), &["7C", "7D"]),
];

impl Socket {
    /// The socket of a tube; none if its base does not tell it, or a pin is beyond it.
    pub(crate) fn of(tube: &TubeType) -> Option<Socket> {
        let base = designation(&tube.base).to_ascii_uppercase();
        let words = tube.base.to_ascii_lowercase();
        // `7-pin` is part of `7-pin miniature`, `octal` of `loctal`: those stand before them.
        let mut sockets = BASES.iter();
        let socket = sockets
            .clone()
            .find(|(_, bases)| bases.contains(&base.as_str()))
            .or_else(|| sockets.find(|(socket, _)| words.contains(socket.words())))
            .map(|(socket, _)| *socket)?;
        let highest = tube.pins.iter().map(|pin| pin.number).max();
        // A pin that the socket does not have would be lost from the drawing.
        (highest <= Some(socket.contacts())).then_some(socket)
    }

    /// Its name in words.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Socket::Miniature => "7-pin miniature",
            Socket::Octal => "octal",
            Socket::Loctal => "loctal",
            Socket::Noval => "9-pin miniature",
            Socket::B8a => "B8A",
            Socket::Old(4) => "4-pin",
            Socket::Old(5) => "5-pin",
            Socket::Old(6) => "6-pin",
            Socket::Old(_) => "7-pin",
        }
    }

    /// How many contacts it has.
    pub(crate) fn contacts(self) -> u8 {
        match self {
            Socket::Miniature => 7,
            Socket::Octal | Socket::Loctal | Socket::B8a => 8,
            Socket::Noval => 9,
            Socket::Old(pins) => pins,
        }
    }

    /// What stands at the bottom, between the last contact and the first.
    pub(crate) fn bottom(self) -> &'static str {
        match self {
            Socket::Miniature | Socket::Noval => "gap",
            Socket::Old(_) => "thick pins",
            Socket::Octal | Socket::Loctal => "key",
            Socket::B8a => "lug",
        }
    }

    /// Degrees clockwise from the bottom at which a contact stands, seen from below.
    pub(crate) fn degrees(self, number: u8) -> f64 {
        let number = f64::from(number);
        match self {
            // Eight places, the last of them left out.
            Socket::Miniature => 45.0 * number,
            // Ten places, the last of them left out.
            Socket::Noval => 36.0 * number,
            Socket::Octal | Socket::Loctal | Socket::B8a => 45.0 * number - 22.5,
            Socket::Old(pins) => (number - 0.5) * 360.0 / f64::from(pins),
        }
    }
}

/// The designation alone, without what is said beside it in brackets.
pub(crate) fn designation(base: &str) -> &str {
    base.split_whitespace().next().unwrap_or("")
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::{tube_type, tube_types};

    #[test]
    fn every_base_of_the_catalogue_has_its_socket_by_name() {
        for tube in tube_types() {
            let base = designation(&tube.base);
            assert!(
                BASES.iter().any(|(_, bases)| bases.contains(&base)),
                "{}: {base}",
                tube.name
            );
            assert!(Socket::of(tube).is_some(), "{}", tube.name);
        }
    }

    #[test]
    fn the_count_in_a_designation_is_not_the_socket() {
        for (name, want) in [
            ("12AX7", Socket::Noval),
            ("6AQ5", Socket::Miniature),
            ("6V6", Socket::Octal),
            ("6SN7", Socket::Octal),
            ("0A2", Socket::Miniature),
            ("0D3", Socket::Octal),
            ("6X4", Socket::Miniature),
            ("5U4GB", Socket::Octal),
            ("7C5", Socket::Loctal),
        ] {
            assert_eq!(Socket::of(tube_type(name).unwrap()), Some(want), "{name}");
        }
    }

    #[test]
    fn another_base_goes_by_its_words_or_is_not_drawn() {
        let of = |base: &str, highest: u8| {
            let mut tube = tube_type("12AX7").unwrap().clone();
            base.clone_into(&mut tube.base);
            tube.pins.retain(|pin| pin.number <= highest);
            Socket::of(&tube)
        };
        // Nine pins may also stand in a ring of nine places, so that no number tells the socket.
        for base in ["", "9ZZ", "side contact"] {
            assert_eq!(of(base, 9), None, "{base}");
        }
        assert_eq!(of("9a", 9), Some(Socket::Noval));
        assert_eq!(of("9ZZ, 9-pin Miniature", 9), Some(Socket::Noval));
        assert_eq!(of("7-pin miniature", 7), Some(Socket::Miniature));
        assert_eq!(of("7-pin", 7), Some(Socket::Old(7)));
        assert_eq!(of("Octal", 8), Some(Socket::Octal));
        assert_eq!(of("loctal", 8), Some(Socket::Loctal));
        // A pin that the socket does not have.
        assert_eq!(of("7BZ", 9), None);
        assert_eq!(of("octal", 9), None);
    }
}
