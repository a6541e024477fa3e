//! The board: the readiness of all machines as one page for the screen of the workroom.
//!
//! Takes what the records say at a moment and gives a page that needs nothing else: no network, no other file. A state is
//! told by a word and a shape; colour only helps. A small script says how old the page is, and makes an old one look old.
//! Many people pass a workroom's screen, so that whoever checked stands there by initials: enough for a colleague who
//! wants to ask, and no list of names for a visitor. The records hold the whole names.

use super::policy;
use super::readiness::{About, CAUTION, Readiness, Sentence, State};
use crate::contents::Contents;
use crate::diagnostic::counted;
use crate::diagnostic::hidden::markup;
use crate::record::{Date, Moment};
use crate::report::IN_NO_HISTORY;
use chrono::{Days, NaiveTime};

const STYLE: &str = include_str!("board.css");
const SCRIPT: &str = include_str!("board.js");

/// How many days before its day a service is told.
const SERVICE_AHEAD: u64 = 30;
/// How many characters of a long reason are shown; the rest is in the record.
const LONGEST_REASON: usize = 110;

/// What a board is made of.
#[derive(Clone, Copy, Debug)]
pub struct Board<'a> {
    pub contents: &'a Contents,
    pub machines: &'a [Readiness],
    /// The moment for which it is true.
    pub now: Moment,
    /// How many records have problems and are not counted.
    pub left_out: usize,
    /// Whether the records are in no git history.
    pub is_draft: bool,
}

/// Returns the page.
pub fn html(board: &Board<'_>) -> String {
    let site = board.contents.site.as_ref();
    let now = site.map_or(board.now, |site| board.now.in_zone(site.time_zone));
    let name = site.map_or("", |site| site.name.as_str());
    let mut machines: Vec<&Readiness> = board.machines.iter().collect();
    machines.sort_by_cached_key(|one| in_counting_order(called(one)));
    let (shown, put_by): (Vec<&Readiness>, Vec<&Readiness>) = machines.into_iter().partition(|one| one.in_use);
    let cards: String = shown.iter().map(|one| card(board, one)).collect();
    let (at, day) = (now.0.format("%H:%M"), now.0.format("%-d %B %Y"));
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n<meta name=\"generator\" content=\"pinindex\">\n\
         <noscript><meta http-equiv=\"refresh\" content=\"60\"></noscript>\n\
         <title>Machines at {at}, {day} - {name}</title>\n<style>{STYLE}</style>\n</head>\n\
         <body data-made=\"{made}\" data-day-ends=\"{ends}\" data-at=\"{at}\">\n{SHAPES}<header>\n\
         <h1>What the records say at <strong>{at}</strong>, {day}</h1>\n\
         <p class=\"site\">{name}</p>\n<p class=\"sum\">{sum}</p>\n<p id=\"age\"></p>\n\
         <noscript><p class=\"alone\">This screen cannot tell how old the board is. Compare the time above with a \
         clock.</p></noscript>\n</header>\n<main>\n<p id=\"old\" hidden></p>\n{notices}\
         <ul class=\"machines {size}\">\n{cards}</ul>\n{put_by}</main>\n<footer>\n<p>{CAUTION}</p>\n</footer>\n\
         <script>{SCRIPT}</script>\n</body>\n</html>\n",
        policy = policy::of(STYLE, SCRIPT),
        name = markup(name),
        made = now.0.timestamp(),
        ends = end_of_day(board.contents, now),
        sum = sum(&shown),
        notices = notices(board),
        size = size(shown.len()),
        put_by = not_in_use(&put_by),
    )
}

/// The three shapes, each drawn once: a disc with a tick, a triangle with a bar, a square with a cross.
const SHAPES: &str = r#"<svg class="shapes" aria-hidden="true" width="0" height="0">
<symbol id="ready" viewBox="0 0 24 24"><circle class="body" cx="12" cy="12" r="11"/>
<path class="sign" d="M6.5 12.5l4 4 7-8.5"/></symbol>
<symbol id="restricted" viewBox="0 0 24 24"><path class="body" d="M12 1.5L23.5 22.5H.5z"/>
<path class="sign" d="M12 9v6.5M12 19v.5"/></symbol>
<symbol id="not-ready" viewBox="0 0 24 24"><path class="body" d="M1.5 1.5h21v21h-21z"/>
<path class="sign" d="M7 7l10 10M17 7L7 17"/></symbol>
</svg>
"#;

fn card(board: &Board<'_>, one: &Readiness) -> String {
    let (class, word) = match one.state {
        State::Ready => ("ready", "Ready"),
        State::Restricted => ("restricted", "Restricted"),
        State::NotReady => ("not-ready", "Not ready"),
    };
    let place = match one.location.trim() {
        "" => String::new(),
        // A machine may be called after its place.
        place if place == called(one) => String::new(),
        place => format!("<p class=\"place\">{}</p>\n", markup(place)),
    };
    let reasons: String = one.reasons.iter().map(|why| line("why", &reason(why))).collect();
    let notes: String = one.notes.iter().filter(|note| note.about != About::Passed).map(note).collect();
    format!(
        "<li class=\"machine {class}\">\n<h2>{}</h2>\n{place}\
         <p class=\"state\"><svg aria-hidden=\"true\"><use href=\"#{class}\"/></svg><span>{word}</span></p>\n\
         {reasons}{notes}{}{}</li>\n",
        markup(called(one)),
        checked(board, one),
        service(board, one),
    )
}

/// Returns the name of a machine; its id when its file could not be read.
fn called(one: &Readiness) -> &str {
    if one.name.trim().is_empty() { &one.machine } else { &one.name }
}

/// Returns a name so that, in the order of letters, theatre 2 stands before theatre 10 as on the doors.
fn in_counting_order(name: &str) -> String {
    let mut ordered = String::new();
    let mut number = String::new();
    for c in name.to_lowercase().chars().chain(['\0']) {
        if c.is_ascii_digit() {
            number.push(c);
            continue;
        }
        if !number.is_empty() {
            ordered += &format!("{number:0>12}");
            number.clear();
        }
        ordered.push(c);
    }
    ordered
}

/// Returns a reason that fits a line or two. A restriction is a rule of use and is never cut.
fn reason(why: &Sentence) -> String {
    let words = &why.words;
    if why.about == About::Restriction || words.chars().count() <= LONGEST_REASON {
        return words.clone();
    }
    let head: String = words.chars().take(LONGEST_REASON).collect();
    let whole_words = head.rsplit_once(char::is_whitespace).map_or(head.as_str(), |(words, _)| words);
    format!("{whole_words} …")
}

fn note(note: &Sentence) -> String {
    let class = match note.about {
        About::Restriction | About::Service => "why",
        _ => "fact",
    };
    line(class, &note.words)
}

/// Returns when it was checked and by whom.
fn checked(board: &Board<'_>, one: &Readiness) -> String {
    let Some(checked) = &one.checked else { return String::new() };
    let by: Vec<String> = checked.by.iter().map(|id| initials(board.contents, id)).collect();
    let by = by.join(", ");
    match one.notes.iter().find(|note| note.about == About::Passed) {
        Some(passed) => line("fact", &format!("{}, by {by}", passed.words)),
        None => line("fact", &format!("checked at {} by {by}", checked.at.0.format("%H:%M"))),
    }
}

/// Returns the initials of a person; the id of somebody who is not in the list.
fn initials(contents: &Contents, id: &str) -> String {
    let name = contents.people.get(id).map_or("", |person| person.name.as_str());
    let first_letters: String =
        name.split_whitespace().filter_map(|word| word.chars().find(|c| c.is_alphabetic())).collect();
    if first_letters.is_empty() { id.to_owned() } else { first_letters.to_uppercase() }
}

/// Returns the day of a service that is near; one that is past stands among the notes.
fn service(board: &Board<'_>, one: &Readiness) -> String {
    let today = board.contents.day(board.now);
    let ahead = today.0.checked_add_days(Days::new(SERVICE_AHEAD)).map(Date);
    match one.service_due {
        Some(due) if !one.service_overdue && ahead.is_some_and(|ahead| due <= ahead) => {
            line("fact", &format!("service due on {due}"))
        }
        _ => String::new(),
    }
}

fn sum(shown: &[&Readiness]) -> String {
    let count = |state| shown.iter().filter(|one| one.state == state).count();
    let states = [State::Ready, State::Restricted, State::NotReady].map(|state| (count(state), state));
    states.map(|(n, state)| format!("{n} {}", state.words())).join(" · ")
}

/// Returns what must be known before any card is believed.
fn notices(board: &Board<'_>) -> String {
    let mut notices = String::new();
    if board.is_draft {
        notices += &line("notice", IN_NO_HISTORY);
    }
    if board.left_out > 0 {
        let records = counted(board.left_out, "record");
        notices += &line("notice", &format!("{records} with problems not counted: `pinindex validate` shows them"));
    }
    for path in board.contents.unreadable_ground() {
        notices += &line("notice", &format!("{path} has problems and was not read"));
    }
    if board.machines.is_empty() {
        notices += &line("notice", "there is no machine in this logbook");
    }
    notices
}

fn not_in_use(put_by: &[&Readiness]) -> String {
    if put_by.is_empty() {
        return String::new();
    }
    let names: Vec<&str> = put_by.iter().map(|one| called(one)).collect();
    line("put-by", &format!("Not in use today: {}", names.join(", ")))
}

/// Returns how many machines share the screen, for the style.
fn size(machines: usize) -> &'static str {
    match machines {
        0..=6 => "few",
        7..=12 => "some",
        _ => "many",
    }
}

/// Returns the moment at which today's checks are yesterday's, as seconds since 1970.
fn end_of_day(contents: &Contents, now: Moment) -> i64 {
    const DAY: i64 = 24 * 60 * 60;
    let midnight = now.0.date_naive().checked_add_days(Days::new(1)).map(|day| day.and_time(NaiveTime::MIN));
    let zone = contents.site.as_ref().map(|site| site.time_zone);
    let at_site = midnight.zip(zone).and_then(|(midnight, zone)| midnight.and_local_timezone(zone).earliest());
    // Where the clock jumps over midnight, or no site is known, the board is at most a day old.
    at_site.map_or(now.0.timestamp() + DAY, |moment| moment.timestamp())
}

fn line(class: &str, words: &str) -> String {
    format!("<p class=\"{class}\">{}</p>\n", markup(words))
}
