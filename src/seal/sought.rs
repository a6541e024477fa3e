//! A seal as somebody names it: the digits of a printed page, all or the first of them, or the text of its code.

use super::digest::Digest;
use super::file::NumberedSeal;
use super::month::Month;

/// The fewest digits that name a seal.
const FEWEST: usize = 16;

/// A seal that is looked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sought {
    /// The month, where it was named.
    pub month: Option<Month>,
    /// The first digits of its number, or all.
    pub digits: String,
}

/// What stands before the month in the text of a seal's code, and before the digits.
const CODE: [&str; 2] = ["pinindex seal ", "sha256:"];

impl Sought {
    /// Returns the text of a seal's code.
    pub fn code(seal: &NumberedSeal) -> String {
        format!("{}{} {}{}", CODE[0], seal.seal.seal, CODE[1], seal.number)
    }

    /// Reads what somebody typed or a camera read; blanks and dashes between digits say nothing. Nothing when it is
    /// neither the text of a code nor 16 to 64 digits.
    pub fn read(text: &str) -> Option<Sought> {
        let text = text.trim();
        let (month, digits) = match text.strip_prefix(CODE[0]) {
            Some(rest) => {
                let (month, digits) = rest.split_once(' ')?;
                (Some(month.parse().ok()?), digits.trim_start().strip_prefix(CODE[1])?)
            }
            None => (None, text.strip_prefix(CODE[1]).unwrap_or(text)),
        };
        let says_nothing = |c: &char| c.is_whitespace() || matches!(c, '-' | '\u{2010}'..='\u{2015}');
        let digits: String = digits.chars().filter(|c| !says_nothing(c)).map(|c| c.to_ascii_lowercase()).collect();
        let is_number = (FEWEST..=64).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_hexdigit());
        is_number.then_some(Sought { month, digits })
    }

    /// Returns whether a number begins with the digits.
    pub fn is(&self, number: Digest) -> bool {
        number.to_string().starts_with(&self.digits)
    }

    /// Returns the seal among some.
    pub fn among<'a>(&self, seals: impl IntoIterator<Item = &'a NumberedSeal>) -> Option<&'a NumberedSeal> {
        let is_month = |seal: &NumberedSeal| self.month.is_none_or(|month| month == seal.seal.seal);
        seals.into_iter().find(|seal| self.is(seal.number) && is_month(seal))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_read_as_people_write_them() {
        let all = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        let number: Digest = all.parse().unwrap();
        for text in [
            all,
            &all.to_uppercase(),
            &number.in_groups(),
            &number.short(),
            "  ba78-16bf-8f01-cfea ",
            "ba78 16bf\n8f01 cfea",
            "sha256:ba7816bf8f01cfea",
            "ba78\u{2013}16bf\u{2013}8f01\u{2013}cfea",
        ] {
            let sought = Sought::read(text).unwrap_or_else(|| panic!("{text}"));
            assert!(sought.is(number) && sought.month.is_none(), "{text}");
        }
        let code = format!("pinindex seal 2026-10 sha256:{all}");
        let sought = Sought::read(&code).unwrap();
        assert!(sought.is(number) && sought.month == "2026-10".parse().ok());
        let none = [
            "",
            "ba7816bf8f01cfe",
            &format!("{all}0"),
            "october 2026",
            "pinindex seal 2026-10",
            "pinindex seal 2026-13 sha256:ba7816bf8f01cfea",
            "ba7816bf8f01cfeg",
            "éééééééééééééééé",
        ];
        for text in none {
            assert_eq!(Sought::read(text), None, "{text}");
        }
        assert!(!Sought::read("ba7816bf8f01cfeb").unwrap().is(number));
    }
}
