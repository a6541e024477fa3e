//! The seals of a logbook against its history: which hold, which is meant, and proofs that a file is part of one.

use crate::contents::{self, Contents, Standing};
use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::{self, CommitInfo, Committed, Content, FileContent, PEOPLE_FILE, Snapshot, Trouble};
use crate::record::Moment;
use crate::record::moment::start_of_day;
use crate::seal::{self, Brought, Covered, Digest, Leaves, Month, NotProved, NumberedSeal, Proof, Seal, SealInHistory};
use crate::seal::{Sought, Times};
use anyhow::Context as _;
use chrono_tz::Tz;
use std::collections::{HashMap, HashSet};
use std::path::Path;

/// A history that seals are held against.
pub struct Sealed {
    committed: Committed,
    /// The last commit that counts.
    rev: String,
    /// The commits that lead to it, and that one.
    lead: HashSet<String>,
    now: Leaves,
    /// By path and content: commits share nearly all files.
    known: HashMap<(String, Content), Option<Digest>>,
    /// By path: the commit that brought each seal.
    brought: HashMap<String, CommitInfo>,
}

/// What a copy of a seal is worth that somebody kept outside.
#[derive(Debug)]
pub struct Copy {
    /// The seal of the same month that the logbook has.
    pub ours: Option<NumberedSeal>,
    /// The copy, held against the history as if it were the logbook's.
    pub copy: SealInHistory,
}

impl Copy {
    /// Returns whether the logbook has the very same seal.
    pub fn is_ours(&self) -> bool {
        self.ours.as_ref().is_some_and(|ours| ours.number == self.copy.numbered.number)
    }
}

impl Sealed {
    /// Opens the history of the logbook in `root` up to a commit.
    ///
    /// # Errors
    /// The history cannot be read, or only its latest part is here.
    pub fn open(root: &Path, commit: &str) -> anyhow::Result<Sealed> {
        let committed = Committed::open(root)?;
        let lead = committed.lead_to(commit)?;
        let (now, known, rev) = (Leaves::default(), HashMap::new(), commit.to_owned());
        let brought = committed.brought(commit, "seals")?;
        let mut sealed = Sealed { committed, rev, lead, now, known, brought };
        sealed.now = sealed.leaves(commit)?.with_context(|| format!("there is no commit {commit}"))?;
        Ok(sealed)
    }

    /// Returns the files of the last commit that counts.
    pub fn now(&self) -> &Leaves {
        &self.now
    }

    /// Holds every seal of a logbook against the history.
    pub fn all(&mut self, contents: &Contents) -> anyhow::Result<Vec<SealInHistory>> {
        contents.seals.values().map(|numbered| self.hold(numbered, contents)).collect()
    }

    /// Holds the seals of some months against the history; a month that is not sealed has none.
    pub fn of(&mut self, months: &[Month], contents: &Contents) -> anyhow::Result<Vec<SealInHistory>> {
        months.iter().filter_map(|month| contents.seals.get(month)).map(|seal| self.hold(seal, contents)).collect()
    }

    /// Holds one seal against the history.
    pub fn hold(&mut self, numbered: &NumberedSeal, contents: &Contents) -> anyhow::Result<SealInHistory> {
        let seal = &numbered.seal;
        let before = contents.seals.range(..seal.seal).next_back().map(|(_, before)| before);
        let told = match before {
            Some(before) => self.leading(&before.seal.commit)?,
            None => None,
        };
        let then = self.leading(&seal.commit)?;
        let late = then.as_ref().map(|then| seal::late(seal.seal, then, &self.now, of_other_folders(contents)));
        let elsewhere = match &then {
            Some(_) => None,
            None => match self.committed.before(&self.rev, &seal.seal.seal_path())? {
                Some(commit) => self.leaves(&commit)?,
                None => None,
            },
        };
        let covered = then.as_ref().map_or(Covered::Rewritten(elsewhere.as_ref()), Covered::ByCommit);
        let mut problems = seal::problems(numbered, before, covered, told.as_ref(), &self.now);
        let changed = then.as_ref().map_or(Vec::new(), |then| seal::changed(then, &self.now));
        let replaced = then.as_ref().map_or(Vec::new(), |then| replaced_since(seal.seal, then, contents));
        let mut made = None;
        if then.is_some() {
            let brought = self.bringing(numbered, contents)?;
            let otherwise = self.made_otherwise(seal, brought.as_ref(), contents)?;
            made = brought.filter(|_| !otherwise.is_empty());
            problems.extend(otherwise);
        }
        Ok(SealInHistory { numbered: numbered.clone(), late, changed, replaced, made, problems })
    }

    /// Returns the commit that brings a seal; nothing for a copy that is not the logbook's.
    fn bringing(&self, numbered: &NumberedSeal, contents: &Contents) -> anyhow::Result<Option<Brought>> {
        let seal = &numbered.seal;
        if contents.seals.get(&seal.seal).is_none_or(|ours| ours.number != numbered.number) {
            return Ok(None);
        }
        let Some(info) = self.brought.get(&seal.seal.seal_path()) else { return Ok(None) };
        // An address may have changed since: whose it was is said by the people of that commit.
        let people = self.committed.file(&info.id, PEOPLE_FILE)?.and_then(|file| match file {
            FileContent::Bytes(bytes) => contents::read_people(&bytes),
            FileContent::TooLarge(_) | FileContent::Link | FileContent::Unreadable(_) => None,
        });
        let then = people.as_ref().unwrap_or(&contents.people);
        let is_by_sealer = then.get(&seal.by).is_some_and(|person| person.email == info.author_email);
        let moment = contents.at_site(Moment(info.time));
        Ok(Some(Brought { moment, author: info.author_name.clone(), is_by_sealer }))
    }

    fn made_otherwise(
        &self,
        seal: &Seal,
        brought: Option<&Brought>,
        contents: &Contents,
    ) -> anyhow::Result<Vec<Diagnostic>> {
        let covered = contents.at_site(Moment(self.committed.info(&seal.commit)?.time));
        let zone = contents.site.as_ref().map_or(Tz::UTC, |site| site.time_zone);
        let over = start_of_day(seal.seal.next().first_day(), zone);
        Ok(seal::made_otherwise(seal, Times { covered, over, brought }))
    }

    /// Returns whether the history ever had a seal of a month.
    pub fn ever_sealed(&self, month: Month) -> anyhow::Result<bool> {
        self.committed.ever_had(&self.rev, &month.seal_path())
    }

    /// Returns how many records of sealed months no seal covers yet.
    pub fn late(&mut self, contents: &Contents) -> anyhow::Result<usize> {
        let Some(newest) = contents.seals.values().next_back() else { return Ok(0) };
        let Some(then) = self.leading(&newest.seal.commit)? else { return Ok(0) };
        let months = contents.seals.keys();
        Ok(months.map(|month| seal::late(*month, &then, &self.now, of_other_folders(contents)).len()).sum())
    }

    /// Returns the files of a commit that leads to the last one that counts.
    fn leading(&mut self, commit: &str) -> anyhow::Result<Option<Leaves>> {
        if self.lead.contains(commit) { self.leaves(commit) } else { Ok(None) }
    }

    /// Returns the files of a commit as leaves; nothing when there is no such commit.
    ///
    /// What is no plain file of a size that is read (a link, a file far too large) is no leaf.
    fn leaves(&mut self, commit: &str) -> anyhow::Result<Option<Leaves>> {
        let Some(files) = self.committed.files(commit)? else { return Ok(None) };
        let mut leaves = Leaves::default();
        for file in files {
            let read = || match self.committed.content(&file) {
                FileContent::Bytes(bytes) => Some(Leaves::leaf(&file.path, &bytes)),
                FileContent::TooLarge(_) | FileContent::Link | FileContent::Unreadable(_) => None,
            };
            let leaf = *self.known.entry((file.path.clone(), file.content)).or_insert_with(read);
            if let Some(leaf) = leaf {
                leaves.insert(&file.path, leaf);
            }
        }
        Ok(Some(leaves))
    }

    /// Holds a copy of a seal that somebody kept against the logbook's own and against the history.
    ///
    /// The problems are those of the copy's text, where it is no seal.
    pub fn copy(
        &mut self,
        shown: &str,
        bytes: &[u8],
        contents: &Contents,
    ) -> anyhow::Result<Result<Copy, Vec<Diagnostic>>> {
        let (numbered, problems) = contents::read_seal(shown, bytes);
        let Some(numbered) = numbered.filter(|_| problems.is_empty()) else { return Ok(Err(problems)) };
        let copy = self.hold(&numbered, contents)?;
        Ok(Ok(Copy { ours: contents.seals.get(&numbered.seal.seal).cloned(), copy }))
    }

    /// Makes the proof that a file of the logbook is part of a seal: of its own month's where that covers it, else of
    /// the first that does.
    ///
    /// # Errors
    /// No seal covers it, with what to do.
    pub fn prove(&mut self, path: &str, contents: &Contents) -> anyhow::Result<Proof> {
        let own = contents.seals.values().filter(|seal| path.starts_with(&seal.seal.seal.folder()));
        for numbered in own.chain(contents.seals.values()) {
            let Some(then) = self.leading(&numbered.seal.commit)? else { continue };
            if let Some(proof) = Proof::of(path, &then, numbered) {
                return Ok(proof);
            }
        }
        let (what, help) = if self.now.get(path).is_some() {
            ("is covered by no seal yet", "it will be once the next month is sealed: `pinindex seal MONTH --by ID`")
        } else {
            ("is not in the history of this logbook", "name a file as the logbook does, such as `records/2026/10/...`")
        };
        Err(Trouble::new(format!("`{path}` {what}"), help).into())
    }
}

/// Returns the records that happened in another month, by the days of the site, than the folder they lie in says.
fn of_other_folders(contents: &Contents) -> impl Iterator<Item = (Month, &str)> {
    contents.records.iter().filter_map(|filed| {
        let month = Month::of(contents.day(filed.record.when()).0);
        (!filed.path.starts_with(&month.folder())).then_some((month, filed.path.as_str()))
    })
}

/// Returns the records of a month that a seal covers and that do not count any more, by a record that came after it.
fn replaced_since(month: Month, then: &Leaves, contents: &Contents) -> Vec<String> {
    let sealed = then.below(&month.folder());
    let came_after = |path: &str| match contents.standing(path) {
        Standing::Counts => false,
        Standing::CorrectedBy(by) | Standing::VoidedBy(by) => then.get(&by).is_none(),
    };
    sealed.iter().map(|(path, _)| path).filter(|path| came_after(path)).map(str::to_owned).collect()
}

/// Returns the seal that somebody named by its digits or by the text of its code; nothing when the logbook has no such
/// seal.
///
/// # Errors
/// The text is no number of a seal, with what to do.
pub fn named<'a>(text: &str, contents: &'a Contents) -> Result<Option<&'a NumberedSeal>, Trouble> {
    let Some(sought) = Sought::read(text) else {
        return Err(Trouble::new(
            "this is not the number of a seal",
            "type at least the first 16 digits as they are printed, or the text that the square code holds",
        ));
    };
    Ok(sought.among(contents.seals.values()))
}

/// Checks a proof by the files of the logbook, and returns the seal it climbs to and what it proves.
///
/// # Errors
/// The text is no proof, or the logbook has not the file or the seal that it names.
pub fn check_proof(
    text: &[u8],
    snapshot: &Snapshot,
    contents: &Contents,
) -> Result<(NumberedSeal, Proof, Result<(), NotProved>), Trouble> {
    let proof: Proof = serde_json::from_slice(text).map_err(|error| {
        Trouble::new(format!("this is not a proof: {error}"), "give the file that the proof was written to")
    })?;
    let Some(content) = snapshot.bytes(&proof.path) else {
        return Err(Trouble::new(
            format!("the logbook has no file `{}`, which the proof is about", proof.path),
            "bring the file back as it was committed, or look whether this is the right logbook",
        ));
    };
    let path = proof.seal.seal_path();
    let Some((numbered, file)) = contents.seals.get(&proof.seal).zip(snapshot.bytes(&path)) else {
        return Err(Trouble::new(
            format!("the logbook has no seal of {}, which the proof leads to", proof.seal.words()),
            "bring the seal back as it was committed, or look whether this is the right logbook",
        ));
    };
    let proved = proof.check(content, &numbered.seal, file);
    Ok((numbered.clone(), proof, proved))
}

/// Returns the problems of all seals that an earlier commit does not have in the same way.
pub fn problems_since(
    root: &Path,
    (snapshot, contents): (&Snapshot, &Contents),
    earlier: Option<&str>,
) -> anyhow::Result<Vec<Diagnostic>> {
    let mut problems = problems(root, snapshot, contents)?;
    if let Some(commit) = earlier.filter(|_| !problems.is_empty()) {
        let then = logbook::read_commit(root, commit)?;
        let (contents, _) = contents::read(&then, &mut |_| {});
        let known = self::problems(root, &then, &contents)?;
        problems.retain(|problem| !known.contains(problem));
    }
    Ok(problems)
}

/// Returns the problems of all seals of a commit; none where nothing was ever sealed.
fn problems(root: &Path, snapshot: &Snapshot, contents: &Contents) -> anyhow::Result<Vec<Diagnostic>> {
    let mut problems = unreadable(contents);
    if let Some(commit) = snapshot.commit().filter(|_| !contents.seals.is_empty()) {
        let seals = Sealed::open(root, &commit.id)?.all(contents)?;
        problems.extend(seals.into_iter().flat_map(|seal| seal.problems));
    }
    Ok(problems)
}

/// Returns the problems of files that lie where seals lie and are none.
pub fn unreadable(contents: &Contents) -> Vec<Diagnostic> {
    let seals = contents.unreadable.iter().filter(|path| path.starts_with("seals/"));
    let problem = |path: &String| {
        Diagnostic::problem("seal-broken", Place::file(path), "file cannot be read as a seal")
            .label("no seal")
            .help("bring the committed text back; `pinindex validate seals` says what is wrong with it")
    };
    seals.map(problem).collect()
}
