//! `pinindex history`: a machine's life in order, with who, when and which commit.

use super::Context;
use super::opened::{Opened, Which, open};
use super::show::Lines;
use super::taking_in::message;
use crate::cli::Outcome;
use crate::contents::difference::corrected;
use crate::contents::{Filed, Standing};
use crate::diagnostic::{Severity, hidden, one_line};
use crate::logbook;
use crate::procedure::{ItemJudgement, Measured, Outcome as CheckOutcome, Verdict, When};
use crate::record::kinds::KINDS;
use crate::record::moment::spoken;
use crate::record::{Body, Date, Moment};
use crate::timeline::{self, DayState};
use serde::Serialize;
use std::collections::BTreeSet;
use std::io::Write;

/// Show a machine's life in order: checks, faults, repairs, releases, who, when, which commit
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Example:\n  pinindex history theatre-1\n  pinindex history theatre-1 --from 2026-10-01 --kind fault,repair,release\n  pinindex history theatre-1 --from 2026-11-25 --until 2026-11-25 --readings"
)]
pub struct Arguments {
    /// The machine's id
    machine: String,

    /// Only what happened on or after this day
    #[arg(long, value_name = "DATE")]
    from: Option<Date>,

    /// Only what happened on or before this day
    #[arg(long, value_name = "DATE")]
    until: Option<Date>,

    /// Only these kinds of record
    #[arg(long, value_delimiter = ',', value_parser = clap::builder::PossibleValuesParser::new(KINDS))]
    kind: Vec<String>,

    /// Also show every answer of each check, with the limit it was judged by and its source
    #[arg(long)]
    readings: bool,

    /// How to show it
    #[arg(long, value_enum, default_value_t = Lines::Human)]
    format: Lines,
}

/// What is said of a day on which a check is missing.
const EXPECTED: &str = "no check counts; one was expected";

/// The standing of a record that counts.
const COUNTS: &str = "counts";

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct Line {
    when: Moment,
    recorded: Moment,
    kind: &'static str,
    what: String,
    details: Vec<String>,
    by: Vec<String>,
    standing: String,
    record: String,
    commit: Option<String>,
}

/// Runs the command.
pub fn run(context: &Context, arguments: Arguments) -> anyhow::Result<Outcome> {
    let opened = open(context, Which::Committed)?;
    opened.tell_uncounted()?;
    let zone = opened.site()?.time_zone;
    super::known_machine(&opened.contents, &arguments.machine)?;
    let commits =
        if logbook::has_history(&opened.root)? { logbook::first_commits(&opened.root)? } else { Default::default() };
    let faulty: BTreeSet<&str> =
        opened.diagnostics.iter().filter(|d| d.severity == Severity::Problem).map(|d| d.place.path.as_str()).collect();
    let mut lines: Vec<Line> = Vec::new();
    for filed in opened.contents.records.iter().filter(|f| f.record.common.machine == arguments.machine) {
        let day = Date(filed.record.when().date_in(zone));
        let kind = filed.record.kind();
        let wanted = arguments.kind.is_empty() || arguments.kind.iter().any(|k| k == kind);
        let inside = arguments.from.is_none_or(|from| from <= day) && arguments.until.is_none_or(|until| day <= until);
        if !wanted || !inside {
            continue;
        }
        let subject = message(&opened.contents, filed);
        let what = subject.lines().next().and_then(|l| l.split_once(": ")).map_or("", |(_, what)| what);
        let what = what.rsplit_once(", ").map_or(what, |(what, _)| what).to_owned();
        let what = emergency_start(&opened, filed).unwrap_or(what);
        lines.push(Line {
            when: filed.record.when().in_zone(zone),
            recorded: filed.record.common.recorded.in_zone(zone),
            kind,
            what,
            details: details(&opened, filed, arguments.readings),
            by: filed.record.common.by.clone(),
            standing: match opened.contents.standing(&filed.path) {
                Standing::Counts if faulty.contains(filed.path.as_str()) => {
                    format!("has problems, which `pinindex validate {}` shows", filed.path)
                }
                Standing::Counts => COUNTS.to_owned(),
                Standing::CorrectedBy(by) => format!("corrected by {by}"),
                Standing::VoidedBy(by) => format!("void by {by}"),
            },
            record: filed.path.clone(),
            commit: commits.get(&filed.path).map(|c| c.id.clone()),
        });
    }
    lines.sort_by(|a, b| (a.when, &a.record).cmp(&(b.when, &b.record)));
    let mut out = anstream::stdout().lock();
    let without = days_without_check(&opened, &arguments, context.now());
    let mut days = without.iter().peekable();
    for line in &lines {
        if arguments.format == Lines::Json {
            writeln!(out, "{}", hidden::json(&serde_json::to_string(line)?))?;
            continue;
        }
        let reached = |day: &&(Date, &str)| day.0 <= opened.contents.day(line.when);
        while let Some((day, words)) = days.next_if(reached) {
            writeln!(out, "{day}        {words}")?;
        }
        write_line(&mut out, &opened, line)?;
    }
    if arguments.format == Lines::Human {
        for (day, words) in days {
            writeln!(out, "{day}        {words}")?;
        }
    }
    if lines.is_empty() && without.is_empty() && arguments.format == Lines::Human {
        writeln!(out, "No such record of {}.", arguments.machine)?;
    }
    let unread: Vec<&str> = opened
        .contents
        .unreadable_records()
        .filter(|path| logbook::parse_record_path(path).is_none_or(|name| name.machine == arguments.machine))
        .collect();
    if unread.is_empty() {
        let shown_faulty = lines.iter().any(|line| faulty.contains(line.record.as_str()));
        return Ok(if shown_faulty { Outcome::Problems } else { Outcome::Clean });
    }
    let mut stderr = anstream::stderr().lock();
    for path in unread {
        let path = one_line(path);
        writeln!(stderr, "not shown, because it could not be read: {path}; `pinindex validate {path}` says why")?;
    }
    Ok(Outcome::Problems)
}

/// Returns the days asked for on which no check before the first case counts, and whether one was expected: of a single day
/// in any case, of more days where one was.
fn days_without_check(opened: &Opened, arguments: &Arguments, now: Moment) -> Vec<(Date, &'static str)> {
    let asked = arguments.kind.is_empty() || arguments.kind.iter().any(|kind| kind == "check");
    let (Some(from), Some(until), true) = (arguments.from, arguments.until, asked) else { return Vec::new() };
    let Some(life) = opened.lives.get(&arguments.machine) else { return Vec::new() };
    let after = Date(until.0 + chrono::Days::new(1));
    let days = timeline::expected_days(&opened.contents, life, from, after, now);
    if from != until {
        let missing = days.iter().filter(|day| day.state == DayState::Missing);
        return missing.map(|day| (day.date, EXPECTED)).collect();
    }
    let checked = life.checks.iter().any(|check| check.day == from && check.when != When::EachPatient);
    let words = match days.iter().find(|day| day.date == from).map(|day| &day.state) {
        None if from > opened.contents.day(now) => "this day has not come yet",
        None if checked => return Vec::new(),
        None => "no check counts; none was expected by the calendar",
        Some(DayState::Missing) => EXPECTED,
        Some(DayState::NotYet) => "no check counts yet; one is expected",
        Some(DayState::Withheld) => "no check was expected: withheld from use all day",
        Some(DayState::Done { .. } | DayState::Incomplete { .. }) => return Vec::new(),
    };
    vec![(from, words)]
}

fn write_line(out: &mut dyn Write, opened: &Opened, line: &Line) -> std::io::Result<()> {
    let people: Vec<&str> = line.by.iter().map(|id| opened.contents.person_name(id)).collect();
    let counts = if line.standing == COUNTS { "" } else { " (does not count)" };
    writeln!(out, "{}  {}{counts}", line.when.short(), one_line(&line.what))?;
    for detail in &line.details {
        writeln!(out, "                  {}", one_line(detail))?;
    }
    if line.standing != COUNTS {
        writeln!(out, "                  does not count: {}", one_line(&line.standing))?;
    }
    let commit = line.commit.as_deref().map_or("not committed", logbook::short_commit);
    writeln!(
        out,
        "                  {}, written down {} · {} · {commit}",
        one_line(&people.join(", ")),
        line.recorded.short(),
        line.record
    )
}

/// Returns what else a person wants to know of a record, one line each.
fn details(opened: &Opened, filed: &Filed, readings: bool) -> Vec<String> {
    let mut details = said(opened, filed, readings);
    if let Some(correction) = &filed.record.common.corrects {
        let who = opened.contents.person_name(filed.record.common.recorder());
        let because = format!("corrects {}, by {who}: {}", correction.record, correction.because.trim());
        let differing = corrected(&opened.contents, filed).map_or(Vec::new(), |(_, differing)| differing);
        details.extend(std::iter::once(because).chain(differing.iter().map(|one| format!("corrected: {one}"))));
    }
    details
}

/// Returns an emergency start in one line: `daily check, emergency start: haemorrhage; 18 steps left`.
fn emergency_start(opened: &Opened, filed: &Filed) -> Option<String> {
    let check = opened.lives.get(&filed.record.common.machine)?.check(&filed.path)?;
    if !check.check.emergency_start || check.judgement.complete {
        return None;
    }
    let failed = if check.judgement.outcome == CheckOutcome::Failed { " failed" } else { "" };
    Some(format!("{} check{failed}, emergency start: {}", check.check.procedure, check.left_out_words()))
}

/// Returns what a record of its kind says.
fn said(opened: &Opened, filed: &Filed, readings: bool) -> Vec<String> {
    match &filed.record.body {
        Body::Check(_) => {
            let life = opened.lives.get(&filed.record.common.machine);
            let Some(check) = life.and_then(|life| life.check(&filed.path)) else { return Vec::new() };
            // What an emergency start left undone is told in its heading.
            let is_told = |item: &ItemJudgement<'_>| check.check.emergency_start && item.verdict == Verdict::NotDone;
            let items = check.judgement.items().filter(|item| readings || !is_told(item));
            let answers = items.filter_map(|item| if readings { Some(answer(&item)) } else { exception(&item) });
            let doubts = check
                .judgement
                .doubts()
                .map(|(item, doubt)| format!("hard to believe: {} {}; {}", item.place(), doubt.number, doubt.why));
            let lacking = timeline::lacking(&opened.contents, check).map(|lacking| lacking.words());
            answers.chain(doubts).chain(lacking).collect()
        }
        Body::Fault(fault) => vec![fault.what.trim().to_owned()],
        Body::Repair(repair) => vec![repair.work.trim().to_owned()],
        Body::Release(release) => {
            let life = opened.lives.get(&filed.record.common.machine);
            let cases = release.faults.iter().filter_map(|path| life?.case(path));
            let after = cases.map(|case| {
                let took = spoken(release.released.seconds_since(case.found));
                format!("{took} after the fault was found, {}", opened.at_site(case.found).short())
            });
            after.chain([format!("proved by {}", release.proved_by)]).collect()
        }
        Body::Service(service) => vec![format!("{}; next due {}", service.work.trim(), service.next_due)],
        Body::Void(void) => vec![format!("{}: {}", void.of, void.because.trim())],
    }
}

/// Returns what is worth telling of an answer when not all of them are shown.
fn exception(item: &ItemJudgement<'_>) -> Option<String> {
    match item.verdict {
        Verdict::Fail => {
            let missed: Vec<String> = item.measured().iter().filter(|m| !m.met).map(measured).collect();
            let why = if missed.is_empty() { String::new() } else { format!(": {}", missed.join(", ")) };
            Some(format!("failed: {}{why}", item.place()))
        }
        Verdict::NotDone => Some(format!("not done: {}, {}", item.place(), item.reason().unwrap_or_default())),
        _ => None,
    }
}

/// Returns an answer in full: verdict, item, what was seen, every limit with its source.
fn answer(item: &ItemJudgement<'_>) -> String {
    let verdict = match item.verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "FAIL",
        Verdict::NotDone => "not done",
        Verdict::NotFitted => "not fitted",
        Verdict::Unanswered => "no answer",
        Verdict::Unfit => "unfit",
    };
    let limits: Vec<String> =
        item.measured().iter().map(|m| format!("{}, source: {}", measured(m), m.limit.source_words())).collect();
    let limits = if limits.is_empty() { String::new() } else { format!("; {}", limits.join("; ")) };
    let remark = item.remark().map_or(String::new(), |remark| format!("; remark: {}", remark.trim()));
    let earlier = match item.earlier_failures {
        0 => String::new(),
        1 => "; after a failed try".to_owned(),
        n => format!("; after {n} failed tries"),
    };
    format!("{verdict:<9} {}: {}{earlier}{limits}{remark}", item.place(), item.seen())
}

fn measured(m: &Measured<'_>) -> String {
    format!("{} {}, limit {}", m.of.words(), m.value, m.limit.words())
}
