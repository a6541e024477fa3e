//! What must hold of any bytes that lie in a logbook as one file: a record or a fault, and every fault can be drawn.

use pinindex::diagnostic::{human, json, short};
use pinindex::record::{self, places, write};

const PATH: &str = "records/2026/11/25/064210-theatre-1.check.yaml";

/// Reads the bytes as a record, and shows what there is to say in every form.
pub fn try_out(bytes: &[u8]) {
    let (record, faults) = record::read(PATH, bytes);
    assert_eq!(record.is_none(), !faults.is_empty(), "a record or a fault, and never both");
    let text = String::from_utf8_lossy(bytes).into_owned();
    for located in places::locate(faults, &|_| Some(bytes.to_vec())) {
        assert!(located.spot.line >= 1 && located.spot.column >= 1);
        assert!(located.spot.line <= text.matches('\n').count() + 1, "a line that the file does not have");
        let drawn = human::render(&located, &|_| Some(text.clone()), false);
        assert!(drawn.contains(PATH) && drawn.contains(located.diagnostic.rule));
        assert!(!drawn.contains(|c: char| c.is_control() && c != '\n'), "a control character in {drawn:?}");
        assert_eq!(short::render(&located).lines().count(), 1);
        assert_eq!(json::render(&located).lines().count(), 1);
    }
    // What was read and is written again says the same.
    if let Some(record) = record {
        let written = write::text(&record).expect("a record that was read can be written");
        let (again, faults) = record::read(PATH, written.as_bytes());
        assert_eq!(again.as_ref(), Some(&record), "{written}\n{faults:?}");
    }
}
