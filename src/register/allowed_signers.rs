//! Who may sign with which key and when, in the words of OpenSSH: so that plain git can judge the signatures of a logbook.
//!
//! The format is that of ssh-keygen(1), section ALLOWED SIGNERS. Times are in UTC with a `Z`, which OpenSSH reads since 9.1.

use super::Person;
use crate::record::moment::start_of_day;
use crate::record::{Date, Moment};
use chrono_tz::Tz;
use std::collections::BTreeMap;

/// What stands at the head of the file.
const HEAD: &str = "\
# Who may sign in this logbook, with which key, from when until when. `pinindex keep` writes this file from people.yaml.
# To look at the signatures, type in this folder:
#   git -c gpg.ssh.allowedSignersFile=allowed-signers log --show-signature
";

/// Returns the text of the file; nothing when nobody has a key that counts on any day.
pub fn text(people: &BTreeMap<String, Person>, zone: Tz) -> Option<String> {
    let lines: String = people.values().flat_map(|person| lines(person, zone)).collect();
    (!lines.is_empty()).then(|| format!("{HEAD}{lines}"))
}

fn lines(person: &Person, zone: Tz) -> impl Iterator<Item = String> {
    person.signing_keys.iter().filter_map(move |entry| {
        let key = entry.public().ok()?;
        let (first, last) = entry.days(person.from, person.until);
        if last.is_some_and(|last| last < first) {
            return None;
        }
        let mut options = "namespaces=\"git\"".to_owned();
        // OpenSSH knows no moment before 1970.
        if let Some(after) = stamp(start_of_day(first.0, zone)) {
            options += &format!(",valid-after=\"{after}\"");
        }
        if let Some(last) = last {
            options += &format!(",valid-before=\"{}\"", stamp(end_of_day(last, zone))?);
        }
        Some(format!("{} {options} {}\n", principal(&person.email), key.line()))
    })
}

/// Returns the last whole second of a day.
fn end_of_day(day: Date, zone: Tz) -> Moment {
    let next = day.0.succ_opt().unwrap_or(day.0);
    Moment(start_of_day(next, zone).0 - chrono::Duration::seconds(1))
}

fn stamp(moment: Moment) -> Option<String> {
    let utc = moment.0.to_utc();
    (utc.timestamp() > 0).then(|| utc.format("%Y%m%d%H%M%SZ").to_string())
}

/// Returns an address as this format may hold it: signs that mean something here become `_`.
fn principal(email: &str) -> String {
    email.chars().map(|sign| if sign.is_alphanumeric() || "@.-_+".contains(sign) { sign } else { '_' }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono_tz::Europe::Berlin;

    const KEY: &str = "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAIAevnEBRxDbPOiCKMi1uEAeOSGyykh91pEK858u4YBrD";

    fn people(yaml: &str) -> BTreeMap<String, Person> {
        let keys = yaml.replace("KEY", &format!("key: {KEY} her own words"));
        let text = format!("m-okafor:\n  name: M\n  role: provider\n  email: m,o@h.example\n  {keys}\n");
        serde_yaml::from_str(&text).unwrap()
    }

    fn line(yaml: &str) -> String {
        let text = text(&people(yaml), Berlin).unwrap();
        text.strip_prefix(HEAD).unwrap().to_owned()
    }

    #[test]
    fn days_of_the_site_become_moments_in_utc() {
        // Berlin is one hour before UTC in winter and two in summer (the tz database).
        assert_eq!(
            line("signing-keys: [{KEY, from: 2026-02-01, until: 2026-07-31}]"),
            format!(
                "m_o@h.example namespaces=\"git\",valid-after=\"20260131230000Z\",valid-before=\"20260731215959Z\" {KEY}\n"
            )
        );
    }

    #[test]
    fn a_revoked_key_ends_before_its_day_and_one_that_never_counted_is_left_out() {
        let revoked =
            |on: &str| format!("signing-keys: [{{KEY, from: 2026-02-01, revoked: {{on: {on}, because: lost}}}}]");
        assert!(line(&revoked("2026-03-01")).contains(",valid-before=\"20260228225959Z\" "));
        assert_eq!(text(&people(&revoked("2026-02-01")), Berlin), None);
        assert_eq!(text(&people("from: 2026-01-01"), Berlin), None);
    }

    #[test]
    fn a_time_before_1970_is_left_out() {
        let line = line("signing-keys: [{KEY, from: 1950-01-01, until: 9999-12-31}]");
        assert!(line.contains(" namespaces=\"git\",valid-before=\"99991231225959Z\" "), "{line}");
    }
}
