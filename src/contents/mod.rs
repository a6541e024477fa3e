//! The contents of a logbook as typed data: everything that could be read, and every problem of what could not.
//!
//! Takes a [`Snapshot`] of files and gives [`Contents`]. A file that does not fit its schema is left out and named; the
//! rest goes on. Nothing that lies in the logbook's folders is passed over in silence. What the records say to each
//! other is judged later.

pub mod difference;
pub mod in_words;
pub mod misfiled;
mod standing;

pub use standing::Standing;

use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::{ALLOWED_SIGNERS_FILE, PEOPLE_FILE, SITE_FILE, parse_record_path};
use crate::logbook::{FileContent, Snapshot};
use crate::procedure::{Procedure, When};
use crate::record::moment::CLOCKS_DIFFER;
use crate::record::{self, Check, Date, Moment, Record, shape, tree};
use crate::register::{Calendar, Machine, Person, Site, allowed_signers};
use crate::seal::{Month, NumberedSeal, Seal, number_of};
use serde::de::DeserializeOwned;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A record and the path it is filed under.
#[derive(Clone, Debug, PartialEq)]
pub struct Filed {
    pub path: String,
    pub record: Record,
}

/// Everything in a logbook that could be read.
#[derive(Clone, Debug, Default)]
pub struct Contents {
    /// Nothing when `site.yaml` is missing or has problems.
    pub site: Option<Site>,
    pub people: BTreeMap<String, Person>,
    /// The text of `allowed-signers`, as it lies there.
    pub allowed_signers: Option<String>,
    pub machines: BTreeMap<String, Machine>,
    /// Machines as they were on earlier days, each with the last day on which it was so, the oldest first.
    earlier_machines: BTreeMap<String, Vec<(Date, Machine)>>,
    /// By procedure id and revision.
    pub procedures: BTreeMap<(String, u32), Procedure>,
    pub calendars: BTreeMap<i32, Calendar>,
    pub seals: BTreeMap<Month, NumberedSeal>,
    /// In the order of their paths, which is the order of days. Shared with the lives of the machines.
    pub records: Vec<Arc<Filed>>,
    /// Paths of files that are there and could not be read as what their place says they are.
    pub unreadable: BTreeSet<String>,
    /// For a record that a later one corrects or voids: that later one.
    replaced: BTreeMap<String, Standing>,
}

impl Contents {
    /// Returns the record filed under a path.
    pub fn record(&self, path: &str) -> Option<&Filed> {
        let at = self.records.binary_search_by(|filed| filed.path.as_str().cmp(path)).ok()?;
        self.records.get(at).map(|filed| &**filed)
    }

    /// Returns a person's name; an id nobody knows stays as it is.
    pub fn person_name<'a>(&'a self, id: &'a str) -> &'a str {
        self.people.get(id).map_or(id, |person| person.name.as_str())
    }

    /// Returns the procedure a check followed, when the logbook has that revision.
    pub fn procedure_of(&self, check: &Check) -> Option<&Procedure> {
        self.procedures.get(&(check.procedure.clone(), check.revision))
    }

    /// Returns a machine as it was on the day of a check: the site's civil day, or that of the check's own offset
    /// when no site is known.
    pub fn machine_of(&self, machine: &str, check: &Check) -> Option<&Machine> {
        self.machine_on(machine, self.day(check.finished))
    }

    /// Returns the civil day of a moment at the site; without a site, in the moment's own offset.
    pub fn day(&self, moment: Moment) -> Date {
        match &self.site {
            Some(site) => Date(moment.date_in(site.time_zone)),
            None => Date(moment.0.date_naive()),
        }
    }

    /// Returns a moment by the clocks of the site; without a site, as it is.
    pub fn at_site(&self, moment: Moment) -> Moment {
        self.site.as_ref().map_or(moment, |site| moment.in_zone(site.time_zone))
    }

    /// Returns a machine as it was on a day.
    pub fn machine_on(&self, machine: &str, date: Date) -> Option<&Machine> {
        let earlier = self.earlier_machines.get(machine).map_or(&[][..], Vec::as_slice);
        earlier.iter().find(|(until, _)| date <= *until).map(|(_, m)| m).or_else(|| self.machines.get(machine))
    }

    /// Returns the text that `allowed-signers` must have; nothing when there must be no such file.
    pub fn due_allowed_signers(&self) -> Option<String> {
        allowed_signers::text(&self.people, self.site.as_ref()?.time_zone)
    }

    /// Returns the revision of a procedure in force on a day: the latest whose day has come.
    pub fn in_force(&self, procedure: &str, date: Date) -> Option<&Procedure> {
        self.procedures
            .values()
            .filter(|p| p.procedure == procedure && p.in_force_from <= date)
            .max_by_key(|p| (p.in_force_from, p.revision))
    }

    /// Returns the procedure in force on a day for an occasion.
    pub fn in_force_when(&self, when: When, date: Date) -> Option<&Procedure> {
        self.procedures
            .values()
            .filter(|p| p.when == when && p.in_force_from <= date)
            .max_by_key(|p| (p.in_force_from, p.revision))
    }

    /// Returns whether the calendar expects a machine in use on a day; nothing when there is no calendar for the year.
    pub fn expects(&self, machine: &str, date: Date) -> Option<bool> {
        use chrono::Datelike;
        self.calendars.get(&date.0.year()).map(|calendar| calendar.expects(machine, date))
    }

    /// Returns when what a record is about was first written down: a correction is as late as the record that it corrects.
    ///
    /// Nobody can have written down what had not happened yet: a record that was written down before the work as it is told
    /// now was about other work.
    pub fn first_recorded(&self, filed: &Filed) -> Moment {
        let corrected = |filed: &Filed| self.record(&filed.record.common.corrects.as_ref()?.record);
        // Each step goes to an earlier record, so that the walk ends within their number; records that name each other
        // in a circle are problems, and end it too.
        let (mut first, mut last) = (filed.record.common.recorded, filed);
        let after_the_work = |earlier: Moment| filed.record.when().seconds_since(earlier) <= CLOCKS_DIFFER;
        while let Some(earlier) = corrected(last)
            .filter(|earlier| earlier.record.common.recorded < first && after_the_work(earlier.record.common.recorded))
        {
            (first, last) = (earlier.record.common.recorded, earlier);
        }
        first
    }

    /// Adds records that were read elsewhere, as if they lay in the logbook under their paths.
    pub fn add(&mut self, records: impl IntoIterator<Item = Filed>) {
        self.records.extend(records.into_iter().map(Arc::new));
        self.records.sort_by(|a, b| a.path.cmp(&b.path));
        self.index();
    }

    /// Returns the paths of files under `records/` that could not be read as records.
    pub fn unreadable_records(&self) -> impl Iterator<Item = &str> {
        self.unreadable.iter().map(String::as_str).filter(|path| path.starts_with("records/"))
    }

    /// Returns the paths of the files that records rest on and that could not be read: all but records and seals.
    pub fn unreadable_ground(&self) -> impl Iterator<Item = &str> {
        let rests_on_it = |path: &&str| !path.starts_with("records/") && !path.starts_with("seals/");
        self.unreadable.iter().map(String::as_str).filter(rests_on_it)
    }

    /// Returns the same contents without some records.
    pub fn without(&self, paths: &BTreeSet<&str>) -> Contents {
        let mut rest = self.clone();
        rest.records.retain(|filed| !paths.contains(filed.path.as_str()));
        rest.index();
        rest
    }

    fn index(&mut self) {
        self.replaced = standing::replaced(&self.records);
    }
}

/// Reads a snapshot.
///
/// `now` is not needed here: whether a time lies in the future is judged later.
pub fn read(snapshot: &Snapshot, progress: &mut dyn FnMut(usize)) -> (Contents, Vec<Diagnostic>) {
    let mut reader = Reader::default();
    for (n, (path, content)) in snapshot.files.iter().enumerate() {
        reader.file(path, content);
        progress(n + 1);
    }
    for (path, what) in [(SITE_FILE, "the site"), (PEOPLE_FILE, "the people")] {
        if !snapshot.files.contains_key(path) {
            reader.problems.push(
                Diagnostic::problem("missing-file", Place::file(path), format!("logbook has no `{path}`"))
                    .help(format!("write {what}: `pinindex init DIR` makes an example to copy")),
            );
        }
    }
    reader.contents.index();
    let Reader { contents, mut problems, misnamed } = reader;
    problems.extend(misnamed.iter().map(|(path, record)| misfiled::under_no_name(path, record, &contents)));
    // A committed file that nobody can read is never edited; a `void` that names it settles it, and the report lists it.
    problems.retain(|problem| contents.standing(&problem.place.path) == Standing::Counts);
    (contents, problems)
}

/// Returns the problem of a file whose bytes were not read.
pub fn unread(path: &str, content: &FileContent) -> Option<Diagnostic> {
    match content {
        FileContent::Bytes(_) => None,
        FileContent::TooLarge(size) => Some(tree::too_large(path, *size)),
        FileContent::Link => Some(
            Diagnostic::problem("not-a-file", Place::file(path), "a link stands where a file belongs")
                .help("put the file itself here"),
        ),
        FileContent::Unreadable(why) => Some(
            Diagnostic::problem("not-a-file", Place::file(path), format!("file cannot be read: {why}"))
                .help("make the file readable, or take it away"),
        ),
    }
}

/// Reads the people of another moment than the rest; nothing when their file has problems.
pub fn read_people(bytes: &[u8]) -> Option<BTreeMap<String, Person>> {
    Reader { contents: Contents::default(), problems: Vec::new(), misnamed: Vec::new() }.typed(
        PEOPLE_FILE,
        bytes,
        shape::Kind::People,
    )
}

/// Reads a seal whose file lies outside the logbook, such as an auditor's copy.
pub fn read_seal(path: &str, bytes: &[u8]) -> (Option<NumberedSeal>, Vec<Diagnostic>) {
    let mut reader = Reader::default();
    let seal = reader.typed::<Seal>(path, bytes, shape::Kind::Seal);
    (seal.map(|seal| NumberedSeal { seal, number: number_of(bytes) }), reader.problems)
}

#[derive(Default)]
struct Reader {
    contents: Contents,
    problems: Vec<Diagnostic>,
    /// Records under names that no record has, by their paths.
    misnamed: Vec<(String, Record)>,
}

impl Reader {
    fn file(&mut self, path: &str, content: &FileContent) {
        let before = self.problems.len();
        match content {
            FileContent::Bytes(bytes) => self.bytes(path, bytes),
            other => self.problems.extend(unread(path, other)),
        }
        let read = match path.strip_prefix("records/") {
            Some(_) => self.contents.records.last().is_some_and(|r| r.path == path),
            None => self.problems.len() == before,
        };
        // No record rests on what only tells git who signs.
        if !read && path != ALLOWED_SIGNERS_FILE {
            self.contents.unreadable.insert(path.to_owned());
        }
    }

    fn bytes(&mut self, path: &str, bytes: &[u8]) {
        let parts: Vec<&str> = path.split('/').collect();
        match parts.as_slice() {
            [SITE_FILE] => self.contents.site = self.typed(path, bytes, shape::Kind::Site),
            [PEOPLE_FILE] => {
                if let Some(people) = self.typed(path, bytes, shape::Kind::People) {
                    self.contents.people = people;
                }
            }
            [ALLOWED_SIGNERS_FILE] => {
                self.contents.allowed_signers = Some(String::from_utf8_lossy(bytes).into_owned());
            }
            ["machines", name] if stem(name).is_some_and(is_id) => {
                if let (Some(id), Some(machine)) =
                    (stem(name), self.typed::<Machine>(path, bytes, shape::Kind::Machine))
                {
                    self.contents.earlier_machines.insert(id.to_owned(), machine.earlier());
                    self.contents.machines.insert(id.to_owned(), machine);
                }
            }
            ["procedures", folder, name] if stem(name).is_some() => self.procedure(path, bytes, folder, name),
            ["calendar", name] if stem(name).is_some() => self.calendar(path, bytes, name),
            ["seals", name] if stem(name).is_some() => self.seal(path, bytes, name),
            // What git looks for is no record, and hides others.
            ["records", .., name] if !name.starts_with(".git") => self.record(path, bytes),
            _ => self.problems.push(
                Diagnostic::problem("stray-file", Place::file(path), "file does not belong in this folder")
                    .help("move it out of the logbook's folders, or give it the name its kind has"),
            ),
        }
    }

    fn typed<T: DeserializeOwned>(&mut self, path: &str, bytes: &[u8], kind: shape::Kind) -> Option<T> {
        let (root, mut problems) = tree::read(path, bytes);
        let value = root.and_then(|root| {
            let json = root.to_json();
            problems.extend(shape::judge(path, kind, &root, &json));
            if !problems.is_empty() {
                return None;
            }
            serde_json::from_value(json).map_err(|error| problems.push(shape::did_not_fit(path, &root, &error))).ok()
        });
        self.problems.append(&mut problems);
        value
    }

    fn procedure(&mut self, path: &str, bytes: &[u8], folder: &str, name: &str) {
        let Some(procedure) = self.typed::<Procedure>(path, bytes, shape::Kind::Procedure) else { return };
        let right = format!("procedures/{}/{}.yaml", procedure.procedure, procedure.revision);
        // A file under a wrong name counts for nothing: it could stand in for the revision whose name it claims.
        if procedure.procedure != folder {
            self.misfiled(path, "/procedure", &right);
        } else if stem(name) != Some(procedure.revision.to_string().as_str()) {
            self.misfiled(path, "/revision", &right);
        } else {
            self.contents.procedures.insert((procedure.procedure.clone(), procedure.revision), procedure);
        }
    }

    fn calendar(&mut self, path: &str, bytes: &[u8], name: &str) {
        let Some(calendar) = self.typed::<Calendar>(path, bytes, shape::Kind::Calendar) else { return };
        if stem(name) == Some(calendar.year.to_string().as_str()) {
            self.contents.calendars.insert(calendar.year, calendar);
        } else {
            self.misfiled(path, "/year", &format!("calendar/{}.yaml", calendar.year));
        }
    }

    fn seal(&mut self, path: &str, bytes: &[u8], name: &str) {
        let Some(seal) = self.typed::<Seal>(path, bytes, shape::Kind::Seal) else { return };
        if stem(name) == Some(seal.seal.to_string().as_str()) {
            self.contents.seals.insert(seal.seal, NumberedSeal { seal, number: number_of(bytes) });
        } else {
            self.misfiled(path, "/seal", &seal.seal.seal_path());
        }
    }

    fn record(&mut self, path: &str, bytes: &[u8]) {
        let (record, mut problems) = record::read(path, bytes);
        self.problems.append(&mut problems);
        match (record, parse_record_path(path)) {
            (Some(record), Some(_)) => self.contents.records.push(Arc::new(Filed { path: path.to_owned(), record })),
            (Some(record), None) => {
                self.misnamed.push((path.to_owned(), record));
            }
            (None, _) => {}
        }
    }

    fn misfiled(&mut self, path: &str, pointer: &str, right: &str) {
        self.problems.push(
            Diagnostic::problem("misfiled-record", Place::value(path, pointer), "file name and content disagree")
                .label(format!("belongs in `{right}`"))
                .help("give the file the name its content says, or correct the content"),
        );
    }
}

fn stem(name: &str) -> Option<&str> {
    name.strip_suffix(".yaml").filter(|stem| !stem.is_empty())
}

/// Returns whether a word can be the id of a machine, person, procedure or item.
pub fn is_id(word: &str) -> bool {
    word.len() <= 40
        && !word.is_empty()
        && word
            .split('-')
            .all(|part| !part.is_empty() && part.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit()))
}
