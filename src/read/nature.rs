//! Whether a text is meant as the record of a vehicle, told from its outline: a folder of records holds other texts too.

use super::keys::RECORD;

/// What a text is meant as.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Nature {
    /// The record of a vehicle, or something that has to be told that it is none: reading it says what is wrong.
    Record,
    /// Templates for the parts of other records.
    Library,
    /// Something of another kind altogether.
    Other,
}

/// Looks at the keys that start a line. In doubt it is a record: what is passed over is not judged.
#[must_use]
pub fn nature(bytes: &[u8]) -> Nature {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Nature::Record;
    };
    let mut keys = false;
    let mut library = false;
    let mut only_said_to_be_ours = false;
    for line in text.split(['\n', '\r']) {
        if line.starts_with(['{', '&', '!', '?', '\t']) {
            return Nature::Record;
        }
        if line.starts_with(['#', ' ', '-', '%']) {
            continue;
        }
        let Some((key, _)) = line.split_once(':') else {
            continue;
        };
        keys = true;
        match key.trim().trim_matches(['"', '\'']) {
            "keyoff" => only_said_to_be_ours = true,
            "library" => library = true,
            key if RECORD.iter().any(|known| known.name == key) => return Nature::Record,
            _ => {}
        }
    }
    if library {
        Nature::Library
    } else if keys && !only_said_to_be_ours {
        Nature::Other
    } else {
        Nature::Record
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_surely_something_else_is_passed_over() {
        let of = |text: &str| nature(text.as_bytes());
        for record in [
            "keyoff: 1\nparts: {}\n",
            "\u{feff}keyoff: 1\r\nvehicle: {}\r\n",
            "keyoff: 1\n",
            "parts:\n  F1: {kind: fuse}\n",
            "library: shelf.yaml\n\"parts\": {}\n",
            "{keyoff: 1, parts: {}}",
            "",
            "# empty\n",
            "words only\n",
        ] {
            assert_eq!(of(record), Nature::Record, "{record:?}");
        }
        assert_eq!(nature(b"\xff\xfek\0"), Nature::Record);
        assert_eq!(
            of("keyoff: 1\nlibrary:\n  lamp: {kind: load}\n"),
            Nature::Library
        );
        assert_eq!(of("services:\n  db:\n    parts: 1\n"), Nature::Other);
    }
}
