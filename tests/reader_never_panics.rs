//! Whatever bytes lie in a file, reading them ends with a record or with faults that can be shown, never with a panic.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "a test reads its files, and stops at what it did not expect"
)]

use pinindex::diagnostic::{human, short};
use pinindex::record::{self, places};
use proptest::prelude::*;
use std::fs;
use std::path::PathBuf;

const BASE: [&str; 5] = [
    "records/2026/11/23/065200-theatre-1.check.yaml",
    "records/2026/11/23/091500-theatre-2.fault.yaml",
    "records/2026/11/24/104000-theatre-2.repair.yaml",
    "records/2026/11/24/112000-theatre-2.check.yaml",
    "records/2026/11/24/113000-theatre-2.release.yaml",
];

/// Pieces that mean something to YAML, to the reader or to a quantity.
const PIECES: [&str; 24] = [
    "\n", ":", ": ", "- ", "{", "}", "[", "]", "\"", "'", "&a", "*a", "!t ", "<<: ", "---\n", "\t", "\r\n", "\u{feff}",
    "\u{202e}", "#", "|\n", "\0", "1e999", "-0 psi",
];

/// Reads bytes and shows every fault; returns whether there is a record, and how many faults.
fn read(bytes: &[u8]) -> (bool, usize) {
    let (record, faults) = record::read("records/2026/11/25/064210-theatre-1.check.yaml", bytes);
    let count = faults.len();
    for located in places::locate(faults, &|_| Some(bytes.to_vec())) {
        let text = String::from_utf8_lossy(bytes).into_owned();
        assert!(human::render(&located, &|_| Some(text.clone()), false).contains(located.diagnostic.rule));
        assert!(short::render(&located).contains(located.diagnostic.rule));
    }
    (record.is_some(), count)
}

fn base(n: usize) -> Vec<u8> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/pages-base");
    fs::read(folder.join(BASE[n % BASE.len()])).unwrap()
}

#[test]
fn the_records_that_are_mutated_can_be_read() {
    for (n, path) in BASE.iter().enumerate() {
        assert_eq!(read(&base(n)), (true, 0), "{path}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn any_bytes_give_a_record_or_a_fault(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let (is_record, faults) = read(&bytes);
        prop_assert_eq!(is_record, faults == 0);
    }

    #[test]
    fn any_text_of_meaningful_pieces_gives_a_record_or_a_fault(
        pieces in prop::collection::vec(prop::sample::select(&PIECES[..]), 0..60),
        start in prop::sample::select(&["", "record: check\n", "record: fault\nuse: ", "results: "][..]),
    ) {
        let (is_record, faults) = read(format!("{start}{}", pieces.concat()).as_bytes());
        prop_assert_eq!(is_record, faults == 0);
    }

    #[test]
    fn a_damaged_record_gives_a_record_or_a_fault(
        which in 0..BASE.len(),
        cuts in prop::collection::vec((any::<prop::sample::Index>(), 0..6usize, prop::sample::select(&PIECES[..])), 1..6),
        byte in prop::option::of((any::<prop::sample::Index>(), any::<u8>())),
    ) {
        let mut bytes = base(which);
        for (at, length, piece) in cuts {
            let at = at.index(bytes.len());
            let end = (at + length).min(bytes.len());
            bytes.splice(at..end, piece.bytes());
        }
        if let Some((at, value)) = byte {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        let (is_record, faults) = read(&bytes);
        prop_assert_eq!(is_record, faults == 0);
    }
}
