//! What the everyday commands remember of the history, written by somebody else: they believe it, the audit does not.

use super::copy::{Copy, MEMORY};
use super::said::{ask, left_out};
use std::fs;

/// Commits another reading, and writes into what is remembered that the record came in with it.
const HIDE: &str = r#"
change "$RECORD"
git commit --quiet --all --message 'tidy up'
forge "s,^\([0-9a-f]*\) [0-9a-f]* file - alone,\1 $(git rev-parse "HEAD:$RECORD") file - alone,"
"#;

/// Writes into what is remembered that the record came in as another one and was touched by the last commit.
const ACCUSE: &str = r#"
other=$(git rev-parse "HEAD:$LATER")
forge "s,^\([0-9a-f]*\) [0-9a-f]* file - alone,\1 $other file $(git rev-parse HEAD) alone,"
"#;

/// Changes the line of `$RECORD`, and makes the commit up to which it is remembered and the digest fit, as everybody can.
const FORGE: &str = r#"
forge() {
    sed -e '$d' .git/pinindex.lives > .git/was
    sed -e "2s/.*/$(git rev-parse HEAD)/" -e "\, $RECORD\$, $1" .git/was > .git/forged
    test "$(diff .git/was .git/forged | grep -c "^> .* $RECORD\$")" = 1
    sha256sum < .git/forged | cut -d ' ' -f 1 >> .git/forged
    mv .git/forged .git/pinindex.lives
    rm .git/was
}
"#;

fn is_told(copy: &Copy, command: &str) -> bool {
    let (answer, _) = ask(&copy.root(), &[command, "--format", "json"]);
    assert_eq!(answer.refusal, None);
    answer.names.iter().any(|name| name == "record-altered")
}

fn number_left_out(copy: &Copy) -> Option<usize> {
    left_out(copy).map(|records| records.len())
}

#[test]
fn a_forged_memory_hides_an_altered_record_from_the_report_until_it_is_taken_away_and_never_from_the_audit() {
    let copy = Copy::new();
    copy.attack("hidden", &format!("{FORGE}{HIDE}"));
    assert!(is_told(&copy, "audit"));
    assert_eq!((is_told(&copy, "validate"), number_left_out(&copy)), (false, Some(0)), "the forgery is not one");
    assert!(is_told(&copy, "audit"), "what the report read changes nothing");
    fs::remove_file(copy.root().join(MEMORY)).unwrap();
    assert_eq!((is_told(&copy, "validate"), number_left_out(&copy)), (true, Some(1)));
}

#[test]
fn a_forged_memory_accuses_a_good_record_until_it_is_taken_away_and_the_audit_does_not() {
    let copy = Copy::new();
    copy.attack("accused", &format!("{FORGE}{ACCUSE}"));
    assert!(!is_told(&copy, "audit"));
    assert_eq!((is_told(&copy, "validate"), number_left_out(&copy)), (true, Some(1)), "the forgery is not one");
    fs::remove_file(copy.root().join(MEMORY)).unwrap();
    assert_eq!((is_told(&copy, "validate"), number_left_out(&copy)), (false, Some(0)));
}
