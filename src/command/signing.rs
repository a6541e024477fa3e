//! Signing what is committed: the keys of those who commit are found and unlocked before the turn, and what was signed is
//! told after it.
//!
//! Nothing is ever refused or held up for want of a signature. Whoever has no key in `people.yaml` hears nothing of it.

use super::Context;
use super::terminal::Terminal;
use crate::bedside::console::Console;
use crate::contents::{self, Contents};
use crate::logbook::{
    self, ALLOWED_SIGNERS_FILE, FileContent, Found, LockedKey, PEOPLE_FILE, SITE_FILE, Signer, Snapshot, Source,
    Trouble, Turn,
};
use crate::record::Moment;
use crate::signature::{self, Check, PublicKey};
use std::collections::BTreeMap;
use std::path::Path;
use std::rc::Rc;

/// What comes of a commit without the signature of somebody who has a key.
const ASKED: &str = "`pinindex audit` will ask about it";

/// How often a passphrase may be typed.
const TRIES: usize = 3;

/// The keys of those who will commit.
pub struct Signing {
    hands: Vec<Hand>,
}

/// One person who will commit and has a key in force.
struct Hand {
    id: String,
    name: String,
    /// The key, or why the commit is not signed.
    key: Result<Rc<Signer>, String>,
}

/// Finds the keys of people by what the history says of them, and asks for the passphrases that are needed.
pub fn of_committed<'a>(
    context: &Context,
    root: &Path,
    people: impl IntoIterator<Item = &'a str>,
    now: Moment,
) -> anyhow::Result<Signing> {
    of(context, &in_history(root)?, people, now)
}

/// Finds the key for a change of the people: one that counts before it and after it. The first key can only sign for itself.
pub fn of_change(
    context: &Context,
    before: &Contents,
    after: &Contents,
    by: &str,
    now: Moment,
) -> anyhow::Result<Signing> {
    let Some(person) = before.people.get(by).filter(|person| !person.signing_keys.is_empty()) else {
        return of(context, after, [by], now);
    };
    let mut keys = person.keys_in_force(before.day(now));
    if keys.is_empty() {
        return Ok(Signing::nobody());
    }
    let left = after.people.get(by).map(|person| person.keys_in_force(after.day(now))).unwrap_or_default();
    keys.retain(|key| left.contains(key));
    let key = match keys.as_slice() {
        [] => Err(format!("this ends every key of {}", person.name)),
        keys => find(context, &person.name, keys)?,
    };
    Ok(Signing { hands: vec![Hand { id: by.to_owned(), name: person.name.clone(), key }] })
}

/// Returns what the files of site and people in the history tell; nothing where there is no history.
pub fn in_history(root: &Path) -> anyhow::Result<Contents> {
    if !logbook::has_history(root)? {
        return Ok(Contents::default());
    }
    Ok(who(logbook::read_commit_files(root, "HEAD", &[SITE_FILE, PEOPLE_FILE])?))
}

/// Returns what the files of site, people and signers in the folder tell.
pub fn in_folder(root: &Path) -> Contents {
    let files = [SITE_FILE, PEOPLE_FILE, ALLOWED_SIGNERS_FILE].into_iter();
    who(files.filter_map(|path| Some((path.to_owned(), logbook::read_file(&root.join(path))?))).collect())
}

/// Returns what some files tell; what is wrong with them is told by others.
fn who(files: BTreeMap<String, FileContent>) -> Contents {
    let snapshot = Snapshot { files, source: Source::WorkingFiles { head: None, uncommitted: false } };
    contents::read(&snapshot, &mut |_| {}).0
}

/// Finds the keys of people, and asks for the passphrases that are needed. To be called before the turn is taken.
pub fn of<'a>(
    context: &Context,
    contents: &Contents,
    people: impl IntoIterator<Item = &'a str>,
    now: Moment,
) -> anyhow::Result<Signing> {
    let mut hands: Vec<Hand> = Vec::new();
    for id in people {
        let Some(person) = contents.people.get(id).filter(|_| hands.iter().all(|hand| hand.id != id)) else { continue };
        let keys = person.keys_in_force(contents.day(now));
        if keys.is_empty() {
            continue;
        }
        let key = find(context, &person.name, &keys)?;
        hands.push(Hand { id: id.to_owned(), name: person.name.clone(), key });
    }
    Ok(Signing { hands })
}

/// Finds one of the keys of a person; otherwise says why there is none.
fn find(context: &Context, name: &str, keys: &[PublicKey]) -> anyhow::Result<Result<Rc<Signer>, String>> {
    if let Some(known) = context.unlocked(keys) {
        return Ok(Ok(known));
    }
    Ok(match logbook::find_key(&context.key_places(), keys) {
        Found::Ready(signer) => Ok(Rc::new(signer)),
        Found::Nowhere => Err(format!("the key of {name} is not on this computer")),
        Found::Unreadable(path) => Err(format!("`{}` holds no private key that can be read", path.display())),
        Found::Locked(locked) => match unlock(context, name, &locked)? {
            Ok(signer) => {
                let signer = Rc::new(signer);
                context.keep_unlocked(&signer);
                Ok(signer)
            }
            Err(why) => Err(why),
        },
    })
}

/// Asks for the passphrase of a key.
fn unlock(context: &Context, name: &str, locked: &LockedKey) -> anyhow::Result<Result<Signer, String>> {
    let Some(mut terminal) = Terminal::of(context) else {
        return Ok(Err(format!("the key of {name} is locked, and there is no terminal to ask for its passphrase at")));
    };
    terminal.say(&format!("{name} signs with the key in {}, which is locked.", locked.path().display()))?;
    terminal.say("  Enter: unlock it   Esc: go on without a signature")?;
    for _ in 0..TRIES {
        match terminal.secret("passphrase:")? {
            None => return Ok(Err(format!("no passphrase was given for the key of {name}"))),
            Some(passphrase) => match locked.unlock(&passphrase) {
                Some(signer) => return Ok(Ok(signer)),
                None => terminal.say("  That is not the passphrase of this key.")?,
            },
        }
    }
    Ok(Err(format!("the passphrase of the key of {name} was wrong {TRIES} times")))
}

impl Signing {
    /// Returns the keys of nobody.
    pub fn nobody() -> Signing {
        Signing { hands: Vec::new() }
    }

    /// Has a turn sign what these people commit, as far as their keys still count by what was read in that turn.
    pub fn hand_to(&mut self, turn: &mut Turn, contents: &Contents, now: Moment) {
        for hand in &mut self.hands {
            let Ok(signer) = &hand.key else { continue };
            let person = contents.people.get(&hand.id);
            match person.filter(|person| person.keys_in_force(contents.day(now)).contains(signer.key())) {
                Some(person) => turn.sign_for(&person.name, &person.email, Rc::clone(signer)),
                None => hand.key = Err(format!("the key of {} does not count any more", hand.name)),
            }
        }
    }

    /// Says of each person how what they committed is signed, as the history has it now.
    ///
    /// `commits` are the ids of commits, each with the id of whoever made it.
    pub fn lines<S: AsRef<str>>(&self, root: &Path, commits: &[(S, &str)]) -> anyhow::Result<Vec<String>> {
        let ids: Vec<&str> = commits.iter().map(|(commit, _)| commit.as_ref()).collect();
        let mut lines = Vec::new();
        if self.hands.is_empty() {
            return Ok(lines);
        }
        for (signed, (_, by)) in logbook::signed_commits(root, &ids)?.iter().zip(commits) {
            let Some(hand) = self.hands.iter().find(|hand| hand.id == *by) else { continue };
            let check = signed.as_ref().map(|signed| signature::check(&signed.payload, &signed.armored));
            let line = match (check, &hand.key) {
                (Some(Check::Good(key)), _) => format!("signed with the key {key} of {}", hand.name),
                (_, Err(why)) => format!("not signed: {why}; {ASKED}"),
                (_, Ok(_)) => format!("not signed: the key of {} was there and did not sign; {ASKED}", hand.name),
            };
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
        Ok(lines)
    }
}

/// Returns the failure of a person who stopped at the passphrase.
pub fn stopped() -> Trouble {
    Trouble::new(
        "stopped at the passphrase; nothing was committed",
        "run the same command again; Esc at the passphrase goes on without a signature",
    )
}
