//! What must hold of any logbook: it is read, judged, counted and shown in every form, and the counts agree.
//!
//! The bytes are files laid over a small logbook: `=== PATH` on a line of its own, and what the file holds below it.

use pinindex::bedside::{board, page, paper, readiness};
use pinindex::contents::{self, Contents, Standing};
use pinindex::diagnostic::{Severity, human, short};
use pinindex::logbook::{FileContent, Snapshot, Source};
use pinindex::record::{Moment, places};
use pinindex::report::document::{Block, Report};
use pinindex::report::{self, Basis, LeftOut, Period, questions};
use pinindex::rule::{self, Facts};
use pinindex::timeline::{self, Lives};
use std::collections::BTreeMap;

const NOW: &str = "2026-11-25T12:00:00+01:00";

macro_rules! ground {
    ($($path:literal),*) => { [$(($path, include_str!(concat!("../pages-base/", $path)))),*] };
}

/// The small logbook of the rule pages.
const GROUND: [(&str, &str); 12] = ground!(
    "site.yaml",
    "people.yaml",
    "machines/theatre-1.yaml",
    "machines/theatre-2.yaml",
    "procedures/daily/1.yaml",
    "procedures/each-patient/1.yaml",
    "calendar/2026.yaml",
    "records/2026/11/23/065200-theatre-1.check.yaml",
    "records/2026/11/23/091500-theatre-2.fault.yaml",
    "records/2026/11/24/104000-theatre-2.repair.yaml",
    "records/2026/11/24/112000-theatre-2.check.yaml",
    "records/2026/11/24/113000-theatre-2.release.yaml"
);

/// More files than this say nothing new, and take long.
const MOST_FILES: usize = 40;

/// Reads, judges, counts and shows the logbook that the bytes make.
pub fn try_out(bytes: &[u8]) {
    let snapshot = snapshot(bytes);
    let now: Moment = NOW.parse().expect("a moment");
    let (contents, mut faults) = contents::read(&snapshot, &mut |_| {});
    for path in snapshot.files.keys() {
        let told = faults.iter().any(|fault| fault.place.path == *path);
        let read = !contents.unreadable.contains(path);
        assert!(read || told || contents.standing(path) != Standing::Counts, "{path} is passed over in silence");
    }
    faults.extend(judged(&contents, &timeline::lives(&contents), now));
    let text = |path: &str| snapshot.bytes(path).map(<[u8]>::to_vec);
    for located in places::locate(faults, &text) {
        human::render(&located, &|path| text(path).map(|bytes| String::from_utf8_lossy(&bytes).into_owned()), true);
        assert_eq!(short::render(&located).lines().count(), 1);
    }
    let (contents, lives, left_out) = without_faulty(contents, now);
    shown_at_the_machine(&contents, &lives, now, left_out.len());
    counted(&contents, &lives, now, &left_out);
}

fn snapshot(bytes: &[u8]) -> Snapshot {
    let mut files: BTreeMap<String, FileContent> =
        GROUND.iter().map(|(path, text)| ((*path).to_owned(), FileContent::Bytes(text.as_bytes().into()))).collect();
    let mut open: Option<(String, Vec<u8>)> = None;
    for line in bytes.split_inclusive(|b| *b == b'\n') {
        match line.strip_prefix(b"=== ") {
            Some(path) => {
                files.extend(open.take().map(|(path, bytes)| (path, FileContent::Bytes(bytes.into()))));
                open = Some((String::from_utf8_lossy(path).trim_end_matches('\n').to_owned(), Vec::new()));
            }
            None => open.iter_mut().for_each(|(_, bytes)| bytes.extend(line)),
        }
        if files.len() > MOST_FILES {
            break;
        }
    }
    files.extend(open.map(|(path, bytes)| (path, FileContent::Bytes(bytes.into()))));
    Snapshot { files, source: Source::WorkingFiles { head: None, uncommitted: false } }
}

fn judged(contents: &Contents, lives: &Lives, now: Moment) -> Vec<pinindex::diagnostic::Diagnostic> {
    rule::judge(&Facts { contents, lives, now, came: None })
}

/// Takes out every record that a rule finds fault with, once, as a report does.
fn without_faulty(contents: Contents, now: Moment) -> (Contents, Lives, Vec<LeftOut>) {
    let lives = timeline::lives(&contents);
    let mut reasons: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for d in judged(&contents, &lives, now).into_iter().filter(|d| d.severity == Severity::Problem) {
        reasons.entry(d.place.path).or_default().push(d.headline);
    }
    let contents = contents.without(&reasons.keys().map(String::as_str).collect());
    let lives = timeline::lives(&contents);
    let left_out = reasons.into_iter().map(|(path, reasons)| LeftOut { path, reasons }).collect();
    (contents, lives, left_out)
}

fn shown_at_the_machine(contents: &Contents, lives: &Lives, now: Moment, left_out: usize) {
    let machines = readiness::of(contents, lives, now, &readiness::Uncounted::new());
    board::html(&board::Board { contents, machines: &machines, now, left_out, is_draft: false });
    let Some(site) = &contents.site else { return };
    let today = contents.day(now);
    for (id, machine) in &contents.machines {
        for procedure in contents.procedures.values() {
            let basis = page::Basis { contents, site, id, machine, procedure, commit: None, made: now };
            let state = page::State { word: String::new(), reasons: Vec::new(), withheld: false };
            page::html(&page::page(basis, state)).expect("a page has a form in JSON");
            let made = paper::Made {
                site,
                contents,
                machine: id,
                procedure: &procedure.procedure,
                span: paper::Span::Day(None),
                today,
                commit: None,
                made: now,
            };
            if let Some(form) = paper::build(&made) {
                paper::html::render(&form);
            }
        }
    }
}

fn counted(contents: &Contents, lives: &Lives, now: Moment, left_out: &[LeftOut]) {
    let Some(site) = &contents.site else { return };
    for name in ["2026-11", "2026-10", "2026"] {
        let period = Period::named(name).expect("a period");
        let as_of = Basis::as_of(site, period, now, now);
        let basis = Basis { site, contents, lives, period, as_of, built_from: None, left_out, also: &[], seals: &[] };
        shown(&report::build(&basis), true);
        shown(&questions::build(&basis), false);
    }
}

/// Shows a report in every form, and looks whether the counts can be.
fn shown(report: &Report, counts_are_shares: bool) {
    let csv = report::figures::csv(report);
    assert!(csv.lines().count() > report.figures.len());
    assert!(report::figures::json(report).ends_with("}\n"));
    let html = report::html::render(report);
    assert!(html.ends_with("</html>\n") && !html.contains("<script"));
    assert!(report::markdown::render(report).starts_with("# "));
    for figure in &report.figures {
        let share = counts_are_shares && figure.unit == "%";
        assert!(!share || figure.k.zip(figure.n).is_none_or(|(k, n)| k <= n), "{figure:?}");
    }
    for table in report.sections.iter().flat_map(|section| &section.blocks).filter_map(|block| match block {
        Block::Table(table) => Some(table),
        _ => None,
    }) {
        assert!(table.rows.iter().all(|row| row.len() <= table.width()), "{}", table.caption);
    }
}
