//! A public key of a person, and on which days a signature made with it counts.
//!
//! Days are civil days at the site, the first and the last one included. A key that was revoked ends with the day before:
//! what was signed on the day itself may have been signed by whoever has the key now.

use crate::record::Date;
use crate::signature::{Fingerprint, PublicKey, Unreadable};
use serde::{Deserialize, Serialize};

/// One of a person's `signing-keys`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct SigningKey {
    /// The line of the `.pub` file, as it was typed.
    pub key: String,
    pub from: Date,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until: Option<Date>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub revoked: Option<Revoked>,
}

/// That a key is not to be trusted any more.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Revoked {
    pub on: Date,
    pub because: String,
}

/// How a key stands on a day.
#[derive(Clone, Debug, PartialEq)]
pub enum KeyStanding {
    InForce,
    /// Not before this day.
    NotYet(Date),
    /// Not after this day.
    NoLonger(Date),
    Revoked(Revoked),
}

impl SigningKey {
    /// Reads the key.
    pub fn public(&self) -> Result<PublicKey, Unreadable> {
        PublicKey::read(&self.key)
    }

    /// Returns whether this is the key with a fingerprint.
    pub fn is(&self, fingerprint: &Fingerprint) -> bool {
        self.public().is_ok_and(|key| key.fingerprint() == *fingerprint)
    }

    /// Returns how the key stands on a day, for a person who is here from and until a day.
    pub(super) fn standing(&self, here_from: Option<Date>, here_until: Option<Date>, day: Date) -> KeyStanding {
        let (first, last) = self.days(here_from, here_until);
        match &self.revoked {
            Some(revoked) if revoked.on <= day => KeyStanding::Revoked(revoked.clone()),
            _ if day < first => KeyStanding::NotYet(first),
            _ => match last.filter(|last| *last < day) {
                Some(last) => KeyStanding::NoLonger(last),
                None => KeyStanding::InForce,
            },
        }
    }

    /// Returns the first day and the last one, if there is one, for a person who is here from and until a day.
    pub(super) fn days(&self, here_from: Option<Date>, here_until: Option<Date>) -> (Date, Option<Date>) {
        let first = here_from.map_or(self.from, |here| here.max(self.from));
        let revoked = self.revoked.as_ref().map(|revoked| Date(revoked.on.0.pred_opt().unwrap_or(revoked.on.0)));
        (first, [self.until, here_until, revoked].into_iter().flatten().min())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Date {
        text.parse().unwrap()
    }

    fn key() -> SigningKey {
        SigningKey { key: String::new(), from: day("2026-02-01"), until: Some(day("2026-10-31")), revoked: None }
    }

    fn on(key: &SigningKey, text: &str) -> KeyStanding {
        key.standing(None, None, day(text))
    }

    #[test]
    fn both_the_first_and_the_last_day_count() {
        assert_eq!(on(&key(), "2026-01-31"), KeyStanding::NotYet(day("2026-02-01")));
        assert_eq!(on(&key(), "2026-02-01"), KeyStanding::InForce);
        assert_eq!(on(&key(), "2026-10-31"), KeyStanding::InForce);
        assert_eq!(on(&key(), "2026-11-01"), KeyStanding::NoLonger(day("2026-10-31")));
    }

    #[test]
    fn a_revoked_key_ends_with_the_day_before() {
        let revoked = Revoked { on: day("2026-06-15"), because: "the stick was lost".to_owned() };
        let key = SigningKey { revoked: Some(revoked.clone()), ..key() };
        assert_eq!(on(&key, "2026-06-14"), KeyStanding::InForce);
        assert_eq!(on(&key, "2026-06-15"), KeyStanding::Revoked(revoked.clone()));
        assert_eq!(on(&key, "2026-12-01"), KeyStanding::Revoked(revoked));
    }

    #[test]
    fn nobody_signs_before_coming_or_after_leaving() {
        let of = |text| key().standing(Some(day("2026-03-01")), Some(day("2026-09-30")), day(text));
        assert_eq!(of("2026-02-15"), KeyStanding::NotYet(day("2026-03-01")));
        assert_eq!(of("2026-03-01"), KeyStanding::InForce);
        assert_eq!(of("2026-10-01"), KeyStanding::NoLonger(day("2026-09-30")));
    }
}
