//! `pinindex seal`: closes months, each in a commit of whoever seals it.
//!
//! What is sealed is the last commit. A record that comes later is filed as ever, and the next seal covers it.

use super::Context;
use super::board;
use super::opened::{Opened, open_in_turn, text_of};
use super::sealed::{self, Sealed};
use super::show::{self, Format};
use super::signing;
use crate::cli::Outcome;
use crate::diagnostic::{Diagnostic, Severity, counted};
use crate::logbook::{self, Addition, Author, Durability, Trouble, Turn};
use crate::record::Moment;
use crate::record::moment::{CLOCKS_DIFFER, start_of_day};
use crate::seal::{Leaves, MADE_OTHERWISE, Month, NumberedSeal, Seal, number_of};
use anyhow::Context as _;
use std::io::Write;

/// How many files are named one by one where the rest can be counted.
const NAMED: usize = 10;

/// Close a month: fix its records, and everything before it, by one number
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Example:\n  pinindex seal 2026-10 --by r-castellanos\n  pinindex seal 2026-02..2026-10 --by r-castellanos\n\n\
    The seal is a small file in the logbook; its number stands in the report of the month. Whoever has that page can\n\
    tell at any later time whether a record was changed. Records of the month that come later are filed as ever."
)]
pub struct Arguments {
    /// The month (2026-10), or a first and a last one (2026-02..2026-10)
    #[arg(value_name = "MONTH")]
    months: String,

    /// Who seals: an id of people.yaml
    #[arg(long, value_name = "ID")]
    by: Option<String>,
}

/// Runs the command.
pub fn run(context: &Context, arguments: &Arguments) -> anyhow::Result<Outcome> {
    let mut months = asked(&arguments.months)?;
    let root = context.find_logbook()?;
    let mut keys = signing::of_committed(context, &root, arguments.by.as_deref(), context.now())?;
    let (mut turn, opened) = open_in_turn(context, &root)?;
    let sealed_before = sealed_before(&opened, &mut months);
    let mut out = anstream::stdout().lock();
    for numbered in &sealed_before {
        writeln!(out, "{} is sealed already\n  number {}", numbered.seal.seal.words(), numbered.number.in_groups())?;
    }
    if months.is_empty() {
        return Ok(Outcome::Clean);
    }
    refuse_months(context, &opened, &months)?;
    refuse_uncommitted(&opened, &months)?;
    let command = format!("seal {}", arguments.months);
    let (id, person) = super::answers_for(context, &opened.contents, arguments.by.as_deref(), &command)?;

    let Some(commit) = opened.snapshot.commit().filter(|_| opened.commit_moment().is_some()) else {
        let help = "put its files into the history with `pinindex keep --by ID`";
        return Err(Trouble::new("this logbook has no history that could be sealed", help).into());
    };
    let mut tip = commit.id.clone();
    let mut history = Sealed::open(&root, &tip)?;
    refuse_made_anew(&history, &months)?;
    refuse_clock_behind(&opened, context.at_commit())?;
    let of_seals = history.all(&opened.contents)?.into_iter().flat_map(|seal| seal.problems);
    // Who made a seal and when can never be put right; were it to stop the next one, a single false seal would end them all.
    let of_seals = of_seals.filter(|problem| problem.rule != MADE_OTHERWISE);
    let broken: Vec<Diagnostic> = sealed::unreadable(&opened.contents).into_iter().chain(of_seals).collect();
    if !broken.is_empty() {
        show::diagnostics(&mut out, Format::Human, &opened.located(broken), &|path| text_of(&opened.snapshot, path))?;
        writeln!(out, "an earlier seal does not hold; nothing was sealed")?;
        return Ok(Outcome::Problems);
    }

    let late = history.late(&opened.contents)?;
    keys.hand_to(&mut turn, &opened.contents, context.at_commit());
    let (mut made, mut stopped) = (Vec::new(), None);
    let mut files = history.now().clone();
    let mut before = opened.contents.seals.values().next_back().cloned();
    let moment = opened.at_site(context.at_commit());
    for month in &months {
        let sealing = Sealing { month: *month, moment, id: &id, person: &person };
        match sealing.put(&mut turn, &mut files, &tip, before.as_ref(), Durability::Synced) {
            Ok(put) => {
                tip.clone_from(&put.commit);
                before = Some(put.numbered.clone());
                made.push(put);
            }
            // What is sealed by now stays so, and its number is told before why the rest is not.
            Err(error) => {
                stopped = Some(error);
                break;
            }
        }
    }
    drop(turn);
    board::refresh(context);
    for put in &made {
        tell(&mut out, &put.numbered, &put.commit)?;
    }
    let commits: Vec<(&str, &str)> = made.iter().map(|put| (put.commit.as_str(), id.as_str())).collect();
    for line in keys.lines(&root, &commits)? {
        writeln!(out, "{line}")?;
    }
    if let Some(error) = stopped {
        let open = months.get(made.len()..).unwrap_or_default();
        if let Some((first, last)) = open.first().zip(open.last()).filter(|_| !made.is_empty()) {
            writeln!(
                out,
                "not sealed: {}; what is sealed stays so, and the same command goes on",
                span(*first, *last)
            )?;
        }
        return Err(error);
    }
    let problems = tell_rest(&mut out, &opened, &months, late)?;
    Ok(if problems { Outcome::Problems } else { Outcome::Clean })
}

/// Takes the months off the beginning of a span that are sealed already, and returns their seals: a command that was stopped
/// half-way goes on from there, and says the numbers that it could not say.
fn sealed_before(opened: &Opened, months: &mut Vec<Month>) -> Vec<NumberedSeal> {
    let sealed = &opened.contents.seals;
    // A single month that is sealed was asked for by mistake.
    let single = months.len() == 1;
    let open = months.iter().position(|month| !sealed.contains_key(month)).unwrap_or(months.len());
    if single { Vec::new() } else { months.drain(..open).filter_map(|month| sealed.get(&month).cloned()).collect() }
}

/// Refuses to seal a month whose seal was taken away: the number that was printed is the one that counts.
fn refuse_made_anew(history: &Sealed, months: &[Month]) -> anyhow::Result<()> {
    for month in months {
        if history.ever_sealed(*month)? {
            return Err(Trouble::new(
                format!("{} was sealed before, and its seal was taken away", month.words()),
                format!(
                    "bring `{}` back as it was committed; `pinindex audit` says who took it away",
                    month.seal_path()
                ),
            )
            .into());
        }
    }
    Ok(())
}

/// Refuses a seal with a time before the last commit, which it covers.
fn refuse_clock_behind(opened: &Opened, now: Moment) -> anyhow::Result<()> {
    match opened.commit_moment() {
        Some(last) if last.seconds_since(now) > CLOCKS_DIFFER => Err(Trouble::new(
            format!("this computer's clock says {}, and the last commit is later", opened.at_site(now).short()),
            "set the clock right, then seal",
        )
        .into()),
        _ => Ok(()),
    }
}

/// One month to be sealed, by whom and when.
pub struct Sealing<'a> {
    pub month: Month,
    pub moment: Moment,
    pub id: &'a str,
    pub person: &'a Author,
}

/// A seal that was committed.
pub struct Put {
    pub numbered: NumberedSeal,
    /// The commit that holds it.
    pub commit: String,
}

impl Sealing<'_> {
    /// Seals the files of the last commit in a commit of its own, and adds the seal to the files.
    pub fn put(
        &self,
        turn: &mut Turn,
        files: &mut Leaves,
        tip: &str,
        before: Option<&NumberedSeal>,
        durability: Durability,
    ) -> anyhow::Result<Put> {
        let seal = Seal::of(self.month, (self.moment, self.id), tip, files, before);
        let (path, text) = (self.month.seal_path(), seal.text()?);
        files.add(&path, text.as_bytes());
        let number = number_of(text.as_bytes());
        let records = counted(seal.month.records, "record");
        let message = format!("Seal {}, {records}\n\n{path}\nsha256 {number}\n", self.month.words());
        let (author, committer) = (self.person.clone(), self.person.clone());
        let addition = Addition { path, text, author, committer, message };
        let commits = turn.commit_each(&[addition], durability, &mut |_| {})?;
        let commit = commits.into_iter().next().context("one commit was asked for and none was made")?;
        Ok(Put { numbered: NumberedSeal { seal, number }, commit })
    }
}

fn asked(text: &str) -> Result<Vec<Month>, Trouble> {
    let (first, last) = text.split_once("..").unwrap_or((text, text));
    let months = match (first.parse::<Month>(), last.parse::<Month>()) {
        (Ok(first), Ok(last)) => first.through(last),
        _ => Vec::new(),
    };
    if months.is_empty() {
        return Err(Trouble::new(
            format!("`{text}` is not a month"),
            "write a month, or a first and a last one: `pinindex seal 2026-10`, `pinindex seal 2026-02..2026-10`",
        ));
    }
    Ok(months)
}

/// Refuses months that are not over, sealed already, before the first record, or not next in the chain.
fn refuse_months(context: &Context, opened: &Opened, months: &[Month]) -> anyhow::Result<()> {
    let (Some(first), Some(last)) = (months.first(), months.last()) else { return Ok(()) };
    let zone = opened.site()?.time_zone;
    let refused = |what: String, help: String| Err(Trouble::new(what, help).into());
    let day = last.next().first_day();
    if context.now() < start_of_day(day, zone) {
        return refused(format!("{} is not over", last.words()), format!("seal it on {day} or later"));
    }
    let sealed = &opened.contents.seals;
    if let Some(seal) = months.iter().find_map(|month| sealed.get(month)) {
        let next = format!("its number is {}; print it with `pinindex report {}`", seal.number.short(), seal.seal.seal);
        return refused(format!("{} is sealed already", seal.seal.seal.words()), next);
    }
    match sealed.keys().next_back() {
        Some(newest) if *first < *newest => refused(
            format!("{} comes before the first month that is sealed here", first.words()),
            format!(
                "its records are covered by every seal, the newest is that of {}; seal later months",
                newest.words()
            ),
        ),
        Some(newest) if newest.next() < *first => refused(
            format!("{} follows no sealed month", first.words()),
            format!("seal the months between as well: `pinindex seal {}`", span(newest.next(), *last)),
        ),
        Some(_) => Ok(()),
        None => {
            let records = opened.snapshot.files.keys().filter_map(|path| logbook::parse_record_path(path));
            match records.map(|name| Month::of(name.date)).min() {
                Some(oldest) if oldest <= *first => Ok(()),
                Some(oldest) => refused(
                    format!("{} lies before the logbook's first record", first.words()),
                    format!("begin with {} or later: `pinindex seal {}`", oldest.words(), span(oldest, *last)),
                ),
                None => refused("the logbook has no record yet".to_owned(), "seal a month that has records".to_owned()),
            }
        }
    }
}

/// Returns the months from one to another as they are asked for.
fn span(first: Month, last: Month) -> String {
    if first >= last { first.to_string() } else { format!("{first}..{last}") }
}

/// Refuses months of which records lie in the folder that the history has not, or has otherwise.
fn refuse_uncommitted(opened: &Opened, months: &[Month]) -> anyhow::Result<()> {
    let in_months = |path: &str| months.iter().any(|month| path.starts_with(&month.folder()));
    let changed = logbook::changed_files(&opened.root)?;
    let uncommitted: Vec<&str> = changed.iter().map(|file| file.path.as_str()).filter(|path| in_months(path)).collect();
    if uncommitted.is_empty() {
        return Ok(());
    }
    let more = uncommitted.len().saturating_sub(NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let named = uncommitted.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
    Err(Trouble::new(
        format!(
            "{} of these months in the folder {} not as the history has them: {named}{more}",
            counted(uncommitted.len(), "file"),
            if uncommitted.len() == 1 { "is" } else { "are" }
        ),
        "take new records in with `pinindex record`, and bring back what was changed with `git checkout HEAD -- FILE`",
    )
    .into())
}

fn tell(out: &mut dyn Write, numbered: &NumberedSeal, commit: &str) -> anyhow::Result<()> {
    let seal = &numbered.seal;
    writeln!(
        out,
        "sealed {}: {} of the month, {} of the logbook (commit {})\n  number {}",
        seal.seal.words(),
        counted(seal.month.records, "record"),
        counted(seal.logbook.files, "file"),
        logbook::short_commit(commit),
        numbered.number.in_groups()
    )?;
    Ok(())
}

/// Says what else the seals cover, and what to do. Returns whether records of the months have problems.
fn tell_rest(out: &mut dyn Write, opened: &Opened, months: &[Month], late: usize) -> anyhow::Result<bool> {
    if late > 0 {
        writeln!(out, "{} of earlier months came after their seals; this seal covers them", counted(late, "record"))?;
    }
    let is_of_months = |d: &&Diagnostic| {
        d.severity == Severity::Problem && months.iter().any(|month| d.place.path.starts_with(&month.folder()))
    };
    let problems = opened.diagnostics.iter().filter(is_of_months).count();
    if problems > 0 {
        let stay = if problems == 1 { "stays and is sealed as it is" } else { "stay and are sealed as they are" };
        let problems = counted(problems, "problem");
        writeln!(out, "{problems} in the records of these months {stay}; `pinindex validate` says what to do")?;
    }
    let last = months.last().map_or_else(String::new, Month::to_string);
    writeln!(out, "Now print the report of the month and keep it outside this computer: pinindex report {last}")?;
    Ok(problems > 0)
}
