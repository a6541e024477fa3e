//! What a commit says of itself, read from its bytes without trusting them.
//!
//! Whoever writes a commit byte by byte can give it headers that no program of git writes, and git takes it all the same. As
//! much is read of it as can be, as git itself reads it; what is odd is named, so that one such commit hides no other.

use chrono::{DateTime, Datelike, FixedOffset};
use gix::ObjectId;
use gix::bstr::ByteSlice;

/// The headers that stand in a commit once or not at all.
const ONCE: [&str; 6] = ["tree", "author", "committer", "encoding", "gpgsig", "gpgsig-sha256"];
/// The last year that four digits can write.
const LAST_YEAR: i32 = 9999;

/// What a commit says.
pub(super) struct Headers<'a> {
    /// The folder of its files; nothing where it names none.
    pub(super) tree: Option<ObjectId>,
    /// The commits that it stands on, as git follows them.
    pub(super) parents: Vec<ObjectId>,
    /// Commits that it names as its parents where git does not look for them.
    strays: Vec<ObjectId>,
    pub(super) author: Ident,
    pub(super) committer: Ident,
    pub(super) message: &'a [u8],
    /// What no program of git writes, in words that go on after "commit `X` is odd:".
    pub(super) flaws: Vec<String>,
}

/// Who did something, and when they say it was.
#[derive(Default)]
pub(super) struct Ident {
    pub(super) name: String,
    pub(super) email: String,
    /// Nothing where no date of the years 1970 to 9999 can be read.
    pub(super) time: Option<DateTime<FixedOffset>>,
}

impl Headers<'_> {
    /// Returns every commit that it names as its parent, those that git does not follow only where they are there.
    pub(super) fn stands_on(&self, repo: &gix::Repository) -> Vec<ObjectId> {
        let there = self.strays.iter().filter(|id| repo.find_header(**id).is_ok());
        self.parents.iter().chain(there).copied().collect()
    }
}

/// Reads a commit.
pub(super) fn read(commit: &[u8]) -> Headers<'_> {
    let (head, message) = match commit.find("\n\n") {
        Some(at) => (&commit[..=at], Some(&commit[at + 2..])),
        None => (commit, None),
    };
    let mut read = Headers {
        tree: None,
        parents: Vec::new(),
        strays: Vec::new(),
        author: Ident::default(),
        committer: Ident::default(),
        message: message.unwrap_or_default(),
        flaws: Vec::new(),
    };
    // A line that begins with a space goes on with the header before it.
    let lines: Vec<(&[u8], &[u8])> = head
        .lines()
        .filter(|line| !line.starts_with(b" "))
        .map(|line| line.split_once_str(" ").unwrap_or((line, b"")))
        .collect();
    for name in ONCE {
        if lines.iter().filter(|(header, _)| *header == name.as_bytes()).count() > 1 {
            read.flaws.push(format!("its `{name}` stands twice"));
        }
    }
    let first = |name: &str| lines.iter().find(|(header, _)| *header == name.as_bytes()).map(|(_, value)| *value);
    read.tree = first("tree").and_then(|digits| ObjectId::from_hex(digits).ok());
    read.take_parents(&lines);
    let flaws = &mut read.flaws;
    read.author = ident("author", first("author"), flaws);
    read.committer = ident("committer", first("committer"), flaws);
    if head.contains(&0) {
        flaws.push("a zero byte stands in its headers".to_owned());
    }
    if message.is_none() {
        flaws.push("it ends before its message".to_owned());
    }
    read
}

impl Headers<'_> {
    /// Git looks for parents in the lines after the first one, until there is another line.
    fn take_parents(&mut self, lines: &[(&[u8], &[u8])]) {
        let mut is_followed = true;
        for (name, value) in lines.iter().skip(1) {
            if *name != b"parent" {
                is_followed = false;
                continue;
            }
            match ObjectId::from_hex(value) {
                Ok(id) if self.parents.contains(&id) => self.flaws.push("a parent stands twice".to_owned()),
                Ok(id) if is_followed => self.parents.push(id),
                Ok(id) => self.strays.push(id),
                Err(_) => self.flaws.push("a parent is no commit".to_owned()),
            }
        }
        if !self.strays.is_empty() {
            self.flaws.push("a parent stands where git does not look for one".to_owned());
        }
    }
}

/// Reads `Name <address> 1764068400 +0100`: as git does, the address is the first one and the date stands after the last.
fn ident(what: &str, value: Option<&[u8]>, flaws: &mut Vec<String>) -> Ident {
    let Some(value) = value else {
        flaws.push(format!("it has no {what}"));
        return Ident::default();
    };
    let text = |bytes: &[u8]| bytes.trim().to_str_lossy().into_owned();
    let parts = value.split_once_str("<").and_then(|(name, rest)| Some((name, rest.split_once_str(">")?)));
    let Some((name, (email, rest))) = parts else {
        flaws.push(format!("its {what} has no address"));
        return Ident { name: text(value), ..Ident::default() };
    };
    if email.contains(&b'<') || rest.iter().any(|byte| b"<>".contains(byte)) {
        flaws.push(format!("its {what} has more than one address"));
    }
    let time = time(rest.rsplit_once_str(">").map_or(rest, |(_, last)| last));
    if time.is_none() {
        flaws.push(format!("its {what} has no date that can be read"));
    }
    Ident { name: text(name), email: text(email), time }
}

/// Reads ` 1764068400 +0100`.
fn time(text: &[u8]) -> Option<DateTime<FixedOffset>> {
    let (seconds, zone) = text.trim().to_str().ok()?.split_once(' ')?;
    if !seconds.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let time = DateTime::from_timestamp(seconds.parse().ok()?, 0).filter(|time| time.year() <= LAST_YEAR)?;
    let local = time.with_timezone(&offset(zone)?);
    (local.year() <= LAST_YEAR).then_some(local)
}

fn offset(zone: &str) -> Option<FixedOffset> {
    let (sign, digits) =
        zone.strip_prefix('-').map(|digits| (-1, digits)).or(zone.strip_prefix('+').map(|d| (1, d)))?;
    if digits.len() != 4 || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let number: i32 = digits.parse().ok()?;
    let (hours, minutes) = (number / 100, number % 100);
    (minutes < 60).then(|| FixedOffset::east_opt(sign * (hours * 3600 + minutes * 60))).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    const TREE: &str = "4b825dc642cb6eb9a060e54bf8d69288fbee4904";
    const WHO: &str = "First Example <first@hospital.example> 1764068400 +0100";

    fn parent(digit: char) -> String {
        format!("parent {}\n", digit.to_string().repeat(40))
    }

    fn commit(author: &str, committer: &str) -> String {
        format!("tree {TREE}\n{}author {author}\ncommitter {committer}\n\nSubject\n\nmore\n", parent('1'))
    }

    #[test]
    fn a_commit_as_git_writes_it_has_no_flaw() {
        let text = commit(WHO, WHO);
        let read = read(text.as_bytes());
        assert_eq!(read.flaws, Vec::<String>::new());
        assert_eq!(read.tree.unwrap().to_string(), TREE);
        assert_eq!(read.parents.len(), 1);
        assert_eq!(
            (read.author.name.as_str(), read.author.email.as_str()),
            ("First Example", "first@hospital.example")
        );
        assert_eq!(read.committer.time.unwrap().to_rfc3339(), "2025-11-25T12:00:00+01:00");
        assert_eq!(read.message, b"Subject\n\nmore\n");
    }

    #[test]
    fn years_of_four_digits_count_and_no_others() {
        let of = |date: &str| time(date.as_bytes()).map(|time| time.to_rfc3339());
        // By `date --utc --date=@253402300799`, the last second of the year 9999.
        assert_eq!(of(" 253402300799 +0000").as_deref(), Some("9999-12-31T23:59:59+00:00"));
        assert_eq!(of(" 0 +0000").as_deref(), Some("1970-01-01T00:00:00+00:00"));
        assert_eq!(of(" 1764068400 -0330").as_deref(), Some("2025-11-25T07:30:00-03:30"));
        for date in [
            "253402300800 +0000",
            "253402300799 +0100",
            "8210266876799 +0100",
            "99999999999999999999999 +0000",
            "-1 +0000",
            "+1 +0000",
            "1764068400",
            "1764068400 +xx",
            "1764068400 +9999",
            "1764068400 +0160",
            "1764068400 0100",
            "",
        ] {
            assert_eq!(of(date), None, "{date:?}");
        }
    }

    #[test]
    fn what_no_program_of_git_writes_is_named_and_the_rest_is_read() {
        let good = commit(WHO, WHO);
        let twice = |line: &str| good.replacen(&format!("{line} "), &format!("{line} {WHO}\n{line} "), 1);
        let other = "Other Example <other@hospital.example> 1 +0000";
        for (text, flaw) in [
            (twice("author"), "its `author` stands twice"),
            (twice("committer"), "its `committer` stands twice"),
            (good.replacen("tree", &format!("tree {TREE}\ntree"), 1), "its `tree` stands twice"),
            (good.replace(" +0100", " +xx"), "its author has no date that can be read"),
            (good.replace(" <first@hospital.example>", ""), "its author has no address"),
            (good.replace("First Example", "First <a@b.example> Example"), "its author has more than one address"),
            (good.split("\n\n").next().unwrap().to_owned(), "it ends before its message"),
            (good.replacen(&format!("author {WHO}\n"), "", 1), "it has no author"),
            (good.replacen("parent", &format!("{}parent", parent('1')), 1), "a parent stands twice"),
            (
                good.replacen("\n\n", &format!("\n{}\n", parent('2')), 1),
                "a parent stands where git does not look for one",
            ),
            (good.replacen("First", "Fi\0rst", 1), "a zero byte stands in its headers"),
            (good.replacen("parent 1", "parent x", 1), "a parent is no commit"),
        ] {
            let read = read(text.as_bytes());
            assert!(read.flaws.iter().any(|told| told == flaw), "{flaw}: {:?} of {text}", read.flaws);
            assert_eq!(read.tree.unwrap().to_string(), TREE, "{flaw}");
        }
        // The first of two counts, as for whoever asks git for a header.
        let text = good.replacen("author ", &format!("author {other}\nauthor "), 1);
        assert_eq!(read(text.as_bytes()).author.name, "Other Example");
    }

    #[test]
    fn any_bytes_are_read() {
        for text in [&b""[..], b"\n\n", b"tree", b" \n \n", b"author <>\n\n", b"committer > < 1 +0000", b"\xff\xfe\0"] {
            assert!(!read(text).flaws.is_empty(), "{text:?}");
        }
    }
}
