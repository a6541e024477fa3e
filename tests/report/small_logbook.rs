//! A small logbook whose numbers can be counted by hand: the ground of `tests/pages-base` with one machine and no
//! records, made in memory. Everything in it is of 2026, in the zone UTC+01:00.

use pinindex::contents;
use pinindex::logbook::{FileContent, Snapshot, Source};
use pinindex::record::Moment;
use pinindex::report::document::Figure;
use pinindex::report::{self, Also, Basis, Period, Report};
use pinindex::timeline;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

pub const MACHINE: &str = "theatre-2";

/// An answer for every item that the machine has.
pub const ALL_PASSED: &str = "
  suction: pass
  low-pressure-leak: {held: 12 s}
  circuit-leak: {from: 30 cmH2O, to: 30 cmH2O, in: 10 s}
  absorbent: {choice: fresh}
  vaporizers-filled: {sevoflurane: pass}";

/// A moment long after the month.
pub const LATER: &str = "2026-12-20T12:00:00+01:00";

/// A logbook in memory, and what is added to it.
pub struct Logbook {
    pub files: BTreeMap<String, String>,
    /// The figures that are asked for.
    pub also: Vec<Also>,
}

impl Logbook {
    /// Returns a logbook whose one machine is expected on every Monday.
    pub fn new() -> Logbook {
        let mut logbook = Logbook { files: BTreeMap::new(), also: Vec::new() };
        let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pages-base");
        for path in [
            "site.yaml",
            "people.yaml",
            "machines/theatre-2.yaml",
            "procedures/daily/1.yaml",
            "procedures/each-patient/1.yaml",
        ] {
            logbook.files.insert(path.to_owned(), fs::read_to_string(base.join(path)).unwrap());
        }
        let complete = logbook.files["procedures/daily/1.yaml"]
            .replace("procedure: daily", "procedure: complete")
            .replace("when: first-case", "when: after-service");
        logbook.put("procedures/complete/1.yaml", &complete);
        logbook.put("calendar/2026.yaml", "year: 2026\nweekly:\n  theatre-2: [mon]\n");
        logbook
    }

    pub fn put(&mut self, path: &str, text: &str) {
        self.files.insert(path.to_owned(), text.to_owned());
    }

    /// Files a record under its moment, `11-02T07:00`, and returns its path. It was written down a minute later.
    pub fn record(&mut self, kind: &str, when: &str, fields: &str) -> String {
        let moment = moment(when);
        let recorded = Moment(moment.0 + chrono::Duration::minutes(1));
        let path = format!("records/{}-{MACHINE}.{kind}.yaml", moment.0.format("%Y/%m/%d/%H%M%S"));
        let recorded =
            if fields.contains("\nrecorded: ") { String::new() } else { format!("recorded: \"{recorded}\"\n") };
        self.put(
            &path,
            &format!("record: {kind}\nmachine: {MACHINE}\nby: [r-castellanos]\n{recorded}{}\n", fields.trim_start()),
        );
        path
    }

    pub fn check(&mut self, procedure: &str, when: &str, results: &str) -> String {
        let finished = moment(when);
        let started = Moment(finished.0 - chrono::Duration::minutes(10));
        let fields = format!(
            "procedure: {procedure}\nrevision: 1\nstarted: \"{started}\"\nfinished: \"{finished}\"\nresults:{results}"
        );
        self.record("check", when, &fields)
    }

    pub fn fault(&mut self, when: &str, what: &str, usage: &str) -> String {
        let found = moment(when);
        self.record(
            "fault",
            when,
            &format!("found: \"{found}\"\nfound-during: {{way: in-use}}\nwhat: {what}\nuse: {usage}"),
        )
    }

    pub fn release(&mut self, when: &str, faults: &[&str], proof: &str) -> String {
        let released = moment(when);
        let fields = format!("faults: [{}]\nproved-by: {proof}\nreleased: \"{released}\"", faults.join(", "));
        self.record("release", when, &fields)
    }

    pub fn november(&self) -> Report {
        self.report("2026-11", LATER, LATER)
    }

    pub fn report(&self, month: &str, now: &str, records_end: &str) -> Report {
        self.with_basis(month, now, records_end, report::build)
    }

    /// Gives what is counted from to a function.
    pub fn with_basis<T>(&self, month: &str, now: &str, records_end: &str, then: impl FnOnce(&Basis<'_>) -> T) -> T {
        let bytes = |(path, text): (&String, &String)| (path.clone(), FileContent::Bytes(text.as_bytes().into()));
        let snapshot = Snapshot {
            files: self.files.iter().map(bytes).collect(),
            source: Source::WorkingFiles { head: None, uncommitted: false },
        };
        let (contents, faults) = contents::read(&snapshot, &mut |_| {});
        assert_eq!(faults, []);
        let lives = timeline::lives(&contents);
        let site = contents.site.as_ref().unwrap();
        let period = Period::named(month).unwrap();
        then(&Basis {
            site,
            contents: &contents,
            lives: &lives,
            period,
            as_of: Basis::as_of(site, period, now.parse().unwrap(), records_end.parse().unwrap()),
            built_from: None,
            left_out: &[],
            seals: &[],
            also: &self.also,
        })
    }
}

/// Returns a moment of 2026 from its month, day, hour and minute.
pub fn moment(text: &str) -> Moment {
    format!("2026-{text}:00+01:00").parse().unwrap()
}

pub fn figure<'a>(report: &'a Report, name: &str) -> &'a Figure {
    let found = report.figures.iter().find(|figure| figure.figure == name && figure.of == "all");
    found.unwrap_or_else(|| panic!("no figure `{name}`"))
}

#[track_caller]
pub fn count(report: &Report, name: &str, expected: u64) {
    assert_eq!(figure(report, name).k, Some(expected), "{name}");
}

#[track_caller]
pub fn says(report: &Report, words: &str) {
    let text = report::markdown::render(report);
    assert!(text.contains(words), "`{words}` is not in\n{text}");
}

#[track_caller]
pub fn does_not_say(report: &Report, words: &str) {
    let text = report::markdown::render(report);
    assert!(!text.contains(words), "`{words}` is in\n{text}");
}
