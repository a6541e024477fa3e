//! What the walk through the history found up to a commit, kept in git's folder: everyday commands walk only what is new.
//!
//! It saves time and proves nothing: whoever can write into git's folder can write here too. What is damaged or of another
//! format is left aside, and the whole history is walked. `pinindex audit` never looks here.

use std::collections::BTreeMap;
use std::path::PathBuf;

use gix::ObjectId;
use sha2::{Digest, Sha256};

use super::files;
use super::git_folder;
use super::lives::Life;
use super::walk::Content;

const FILE_NAME: &str = "pinindex.lives";
/// More is not read: half a million records.
const LARGEST: u64 = 128 * 1024 * 1024;
/// Changes with what a line means, and with what a walk finds.
const FORMAT: &str = "pinindex lives 2";

fn place(repo: &gix::Repository) -> PathBuf {
    repo.common_dir().join(FILE_NAME)
}

/// Returns the lives that were found up to a commit, and that commit.
pub(super) fn read(repo: &gix::Repository) -> Option<(ObjectId, BTreeMap<String, Life>)> {
    let (commit, lives) = parse(&git_folder::text(&place(repo), LARGEST))?;
    repo.find_commit(commit).is_ok().then_some((commit, lives))
}

/// Keeps the lives that were found up to a commit. Where nothing can be written, the next walk is as long as this one.
pub(super) fn write(repo: &gix::Repository, commit: ObjectId, lives: &BTreeMap<String, Life>) {
    if let Some(text) = text(commit, lives) {
        let _ = files::replace(&place(repo), text.as_bytes(), false);
    }
}

/// Returns the text of the file; nothing for a path that does not fit on a line.
fn text(commit: ObjectId, lives: &BTreeMap<String, Life>) -> Option<String> {
    let mut text = format!("{FORMAT}\n{commit}\n");
    for (path, life) in lives {
        if path.contains('\n') {
            return None;
        }
        let touched = life.touched.map_or_else(|| "-".to_owned(), |id| id.to_string());
        let kind = if life.content.is_file { "file" } else { "other" };
        let rivals = match life.rivals.as_slice() {
            [] => "alone".to_owned(),
            rivals => rivals.iter().map(rival_text).collect::<Vec<_>>().join(","),
        };
        text.push_str(&format!("{} {} {kind} {touched} {rivals} {path}\n", life.added, life.content.id));
    }
    let digest = digest(&text);
    Some(text + &digest + "\n")
}

fn parse(text: &str) -> Option<(ObjectId, BTreeMap<String, Life>)> {
    let (body, last) = text.strip_suffix('\n')?.rsplit_once('\n')?;
    if digest(&format!("{body}\n")) != last {
        return None;
    }
    let mut lines = body.split('\n');
    if lines.next()? != FORMAT {
        return None;
    }
    let commit = id(lines.next()?)?;
    lines.map(life).collect::<Option<_>>().map(|lives| (commit, lives))
}

fn life(line: &str) -> Option<(String, Life)> {
    let mut words = line.splitn(6, ' ');
    let added = id(words.next()?)?;
    let content = id(words.next()?)?;
    let is_file = one_of(words.next()?, "file", "other")?;
    let touched = match words.next()? {
        "-" => None,
        digits => Some(id(digits)?),
    };
    let rivals = match words.next()? {
        "alone" => Vec::new(),
        rivals => rivals.split(',').map(rival).collect::<Option<_>>()?,
    };
    let life = Life { added, content: Content { id: content, is_file }, touched, rivals };
    Some((words.next()?.to_owned(), life))
}

fn rival_text(rival: &Content) -> String {
    format!("{}:{}", if rival.is_file { "file" } else { "other" }, rival.id)
}

fn rival(word: &str) -> Option<Content> {
    let (kind, digits) = word.split_once(':')?;
    Some(Content { id: id(digits)?, is_file: one_of(kind, "file", "other")? })
}

fn one_of(word: &str, yes: &str, no: &str) -> Option<bool> {
    (word == yes || word == no).then_some(word == yes)
}

fn id(digits: &str) -> Option<ObjectId> {
    ObjectId::from_hex(digits.as_bytes()).ok()
}

fn digest(text: &str) -> String {
    Sha256::digest(text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn some_id(digit: char) -> ObjectId {
        id(&digit.to_string().repeat(40)).unwrap()
    }

    fn some_lives() -> BTreeMap<String, Life> {
        let content = Content { id: some_id('2'), is_file: true };
        let life = Life { added: some_id('1'), content, touched: None, rivals: Vec::new() };
        let other = Life {
            content: Content { is_file: false, ..content },
            touched: Some(some_id('3')),
            rivals: vec![content, Content { is_file: false, ..content }],
            ..life.clone()
        };
        BTreeMap::from([("records/a b.yaml".to_owned(), life), ("records/\u{e4}".to_owned(), other)])
    }

    #[test]
    fn what_was_written_is_read() {
        let written = text(some_id('4'), &some_lives()).unwrap();
        assert_eq!(parse(&written), Some((some_id('4'), some_lives())));
        let none = text(some_id('4'), &BTreeMap::new()).unwrap();
        assert_eq!(parse(&none), Some((some_id('4'), BTreeMap::new())));
    }

    #[test]
    fn what_is_damaged_is_left_aside() {
        let written = text(some_id('4'), &some_lives()).unwrap();
        for (at, _) in written.char_indices() {
            assert_eq!(parse(&written[..at]), None, "the first {at} bytes");
        }
        assert_eq!(parse(&written.replacen("alone", "other", 1)), None);
        let other_format = written.replacen(FORMAT, "pinindex lives 1", 1);
        let body = other_format.rsplitn(3, '\n').last().unwrap().to_owned() + "\n";
        assert_eq!(parse(&format!("{body}{}\n", digest(&body))), None);
    }

    #[test]
    fn a_name_of_two_lines_is_not_kept() {
        let lives = some_lives().into_iter().map(|(path, life)| (path.replace(' ', "\n"), life)).collect();
        assert_eq!(text(some_id('4'), &lives), None);
    }
}
