//! The code of a form: eight signs that tell what a sheet asks for.
//!
//! A page or a paper is made once and filled in later. When its check comes in, its code is compared with that of the
//! sheet that the logbook would make now for that revision and machine; if they differ, the form asked for other things or
//! showed other limits.

use crate::procedure::{Procedure, Sheet};
use serde_json::json;
use sha2::{Digest, Sha256};

/// Crockford's 32 signs in small letters: no `i`, `l`, `o` and `u`, which are read as other signs.
const SIGNS: &[u8; 32] = b"0123456789abcdefghjkmnpqrstvwxyz";

/// Returns the code of a procedure for a machine: the first 40 bits of a SHA-256, `k7f3-q2x9`.
///
/// It changes with what is asked, by whom and by which limits; words alone, such as an instruction or the source of a
/// limit, change nothing.
pub fn of(procedure: &Procedure, machine: &str, sheet: &Sheet) -> String {
    let lines: Vec<_> = sheet
        .lines
        .iter()
        .map(|line| {
            let limits: Vec<_> =
                line.limits.iter().map(|l| json!([l.of, l.at_least, l.at_most, l.above, l.below])).collect();
            let item = &line.item;
            json!([item.id, line.each, item.answer, item.measures, item.choices, item.by, item.fails, limits])
        })
        .collect();
    let what = json!([procedure.procedure, procedure.revision, machine, lines, sheet.compliance]).to_string();
    let digest = Sha256::digest(what.as_bytes());
    let bits = digest.iter().take(5).fold(0_u64, |bits, byte| bits << 8 | u64::from(*byte));
    let sign = |n: u32| SIGNS.get((bits >> (35 - 5 * n) & 31) as usize).map_or('0', |sign| char::from(*sign));
    (0..8).flat_map(|n| (n == 4).then_some('-').into_iter().chain([sign(n)])).collect()
}
