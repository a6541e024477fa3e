//! Asking for what a record needs: one field after the other, everything read over once, any line changed.
//!
//! An [`Inquiry`] says which fields there are, given what was answered so far, and which record they make. This file asks
//! at a [`Console`], or says everything that is missing at once where nobody can be asked. It knows no kind of record.

use super::console::{Console, Entered, Key};
use super::field::{Asked, Field, Takes, ways_to_say};
use super::given::Given;
use crate::record::{Moment, Record};

/// What is asked for one kind of record.
pub trait Inquiry {
    /// Returns what it will become: `Repair of theatre-1`.
    fn title(&self) -> String;

    /// Returns what is to be known before the first question.
    fn preface(&self) -> Vec<String>;

    /// Returns the fields there are, given what was answered so far.
    fn fields(&self, given: &Given, now: Moment) -> Vec<Field>;

    /// Returns what is to be known before it is recorded.
    fn notes(&self, given: &Given) -> Vec<String>;

    /// Returns what comes next, once it is recorded.
    fn next(&self, given: &Given) -> Vec<String>;

    /// Returns the record that the answers make.
    fn record(&self, given: &Given, recorded: Moment) -> Record;

    /// Returns what is answered before anybody is asked.
    fn answered(&self) -> Given {
        Given::default()
    }

    /// Returns whether the answer to a field can stand.
    fn stands(&self, field: &Field, given: &Given) -> bool {
        given.has(&field.flag) && field.settle(given.all(&field.flag)).is_ok()
    }

    /// Returns why answers that fit each for itself make no record together.
    fn refusal(&self, _given: &Given, _now: Moment) -> Option<String> {
        None
    }

    /// Asks for everything that is not given, and returns the answers once the person says that they are to be recorded;
    /// nothing when the person stops. `keep` is handed what was told, after each answer.
    ///
    /// # Errors
    /// The console fails, or the answers cannot be kept.
    fn ask(&self, console: &mut dyn Console, told: Given, keep: Keep<'_>) -> anyhow::Result<Option<Given>> {
        fill(console, self, told, keep)
    }
}

/// Puts what was told where it survives a power cut.
pub type Keep<'a> = &'a mut dyn FnMut(&Given) -> anyhow::Result<()>;

/// Where a person wants to go.
pub(super) enum Go {
    Answered(Vec<String>),
    /// To what else is offered, from this place on.
    More(usize),
    Back,
    Stop,
}

/// Asks for everything that is not given, and returns the answers once the person says that they are to be recorded;
/// nothing when the person stops. `keep` is handed what was answered, after each answer.
///
/// # Errors
/// The console fails, or the answers cannot be kept.
pub fn fill(
    console: &mut dyn Console,
    inquiry: &(impl Inquiry + ?Sized),
    mut told: Given,
    keep: Keep<'_>,
) -> anyhow::Result<Option<Given>> {
    console.new_part()?;
    console.say(&inquiry.title())?;
    for line in inquiry.preface() {
        console.say(&format!("  {line}"))?;
    }
    // The flags in the order in which they were asked, for the way back.
    let mut asked: Vec<String> = Vec::new();
    let mut again: Option<String> = None;
    loop {
        let (fields, whole) = whole(inquiry, &told, console.now(), |asked| asked == Asked::Known);
        let wanted = fields.iter().find(|field| Some(&*field.flag) == again.as_deref());
        let open = wanted.or_else(|| fields.iter().find(|field| !inquiry.stands(field, &whole)));
        let go = match open {
            Some(field) => ask(console, inquiry, field, &whole)?,
            None => match read_over(console, inquiry, &fields, &whole)? {
                Choice::Record => return Ok(Some(whole)),
                Choice::Change(flag) => {
                    again = Some(flag);
                    continue;
                }
                Choice::Back => Go::Back,
                Choice::Stop => Go::Stop,
            },
        };
        again = None;
        match (go, open) {
            (Go::Answered(answers), Some(field)) => {
                told.set(&field.flag, answers);
                keep(&told)?;
                asked.retain(|flag| *flag != field.flag);
                asked.push(field.flag.to_string());
            }
            (Go::Back, field) => {
                asked.retain(|flag| field.is_none_or(|field| field.flag != *flag));
                again = asked.pop();
                if again.is_none() {
                    console.say("  There is nothing before this.")?;
                }
            }
            (Go::Stop, _) | (Go::Answered(_) | Go::More(_), _) => return Ok(None),
        }
    }
}

/// Returns the answers with what counts without being asked, where nobody can be asked.
///
/// # Errors
/// Everything that is missing or cannot be taken, a line each, with its flag.
pub fn complete(inquiry: &(impl Inquiry + ?Sized), told: &Given, now: Moment) -> Result<Given, Vec<String>> {
    let (fields, whole) = whole(inquiry, told, now, |asked| asked != Asked::Always);
    let mut wrong = Vec::new();
    for field in fields.iter().filter(|field| !inquiry.stands(field, &whole)) {
        let flag = &field.flag;
        match field.settle(whole.all(flag)) {
            Err(why) if whole.has(flag) => wrong.push(format!("--{flag}: {why}")),
            _ => {
                wrong.push(format!("{} is missing: {}", field.option(), field.question));
                let listed = field.offers().iter().take(field.listed(0).len());
                wrong.extend(listed.map(|offer| format!("    {}: {}", offer.value, offer.words)));
                let more = field.more_after(0).map(|shown| field.offers().len() - shown);
                wrong.extend(more.map(|more| format!("    and {more} more, which the terminal lists")));
            }
        }
    }
    wrong.extend(strays(&fields, told));
    if wrong.is_empty() {
        wrong.extend(inquiry.refusal(&whole, now));
    }
    if wrong.is_empty() { Ok(whole) } else { Err(wrong) }
}

/// Returns a line for each flag that was told and that no field has.
fn strays(fields: &[Field], told: &Given) -> Vec<String> {
    let strays = told.flags().filter(|flag| !fields.iter().any(|field| field.flag == *flag));
    strays.map(|flag| format!("--{flag} does not go with what else was given")).collect()
}

/// Returns the fields there are and their answers: those that were told, in the form that the record will hold, and what
/// is suggested for the fields that `counts` without being told. It is worked out anew each time, so that nothing outlives
/// the answer it followed from.
pub(super) fn whole(
    inquiry: &(impl Inquiry + ?Sized),
    told: &Given,
    now: Moment,
    counts: impl Fn(Asked) -> bool,
) -> (Vec<Field>, Given) {
    let answered = inquiry.answered();
    let mut whole = answered.clone().joined(told.clone());
    loop {
        let fields = inquiry.fields(&whole, now);
        let before = whole.clone();
        for field in &fields {
            let flag = &field.flag;
            // What was answered beforehand stands as it was written.
            let as_written = answered.has(flag) && answered.all(flag) == whole.all(flag);
            if as_written || !told.has(flag) && (whole.has(flag) || !counts(field.asked)) {
                continue;
            }
            let answers = if told.has(flag) { whole.all(flag) } else { &field.suggested };
            if let Ok(answers) = field.settle(answers) {
                whole.set(flag, answers);
            }
        }
        // An answer may open further fields; each round answers at least one more, and fields are few.
        if whole == before {
            return (fields, whole);
        }
    }
}

/// Asks one field, with what stands there now.
pub(super) fn ask(
    console: &mut dyn Console,
    inquiry: &(impl Inquiry + ?Sized),
    field: &Field,
    whole: &Given,
) -> anyhow::Result<Go> {
    console.say("")?;
    console.say(&field.question)?;
    if !field.help.is_empty() {
        console.say(&format!("  {}", field.help))?;
    }
    let told = whole.all(&field.flag);
    let stands = inquiry.stands(field, whole);
    if let (true, false, Err(why)) = (whole.has(&field.flag), stands, field.settle(told)) {
        console.say(&format!("  {}: {why}", told.join(", ")))?;
    }
    let likely = if stands { told } else { &field.suggested };
    let one_key = !field.has_several() && (1..=9).contains(&field.offers().len());
    let mut shown = 0;
    loop {
        for line in field.listed(shown) {
            console.say(&line)?;
        }
        if one_key {
            return choose(console, field, likely);
        }
        match type_in(console, field, likely, (stands, field.more_after(shown)))? {
            Go::More(next) => shown = next,
            go => return Ok(go),
        }
    }
}

/// Asks for one of a few offers by a single key.
fn choose(console: &mut dyn Console, field: &Field, likely: &[String]) -> anyhow::Result<Go> {
    let digits: Vec<char> = ('1'..='9').take(field.offers().len()).collect();
    let number = |value: &String| field.offers().iter().position(|offer| offer.value == *value);
    let likely = likely.first().and_then(number);
    let enter = match likely {
        Some(n) => format!("   Enter: {}", n + 1),
        None if field.may_be_empty() => "   Enter: none".to_owned(),
        None => String::new(),
    };
    let last = digits.len();
    let which = if last == 1 { "1: choose".to_owned() } else { format!("1-{last}: choose") };
    let offered: Vec<char> = digits.iter().copied().chain(['b', 'q']).collect();
    loop {
        let chosen = match console.key(&format!("  {which}{enter}   b: back   q: stop"), &offered)? {
            Key::Char('b') | Key::Escape => return Ok(Go::Back),
            Key::Char('q') | Key::Stop => return Ok(Go::Stop),
            Key::Char(key) => digits.iter().position(|digit| *digit == key),
            Key::Enter if likely.is_none() && field.may_be_empty() => return Ok(Go::Answered(Vec::new())),
            Key::Enter => likely,
        };
        if let Some(offer) = chosen.and_then(|n| field.offers().get(n)) {
            console.say(&format!("  {}", offer.words))?;
            return Ok(Go::Answered(vec![offer.value.clone()]));
        }
    }
}

/// Asks for a line. A text stands there to be edited; anything shorter is taken with Enter or typed anew, because nobody
/// deletes sixteen signs with gloves on.
fn type_in(
    console: &mut dyn Console,
    field: &Field,
    likely: &[String],
    (stands, more): (bool, Option<usize>),
) -> anyhow::Result<Go> {
    let edited = likely.first().filter(|_| matches!(field.takes, Takes::Text | Takes::Line) && !field.has_several());
    console.say(&format!("  ({})", ways_to_answer(field, likely, (edited.is_some(), more.is_some()))))?;
    let suggestion = edited.map_or(String::new(), |text| text.split('\n').map(str::trim).collect::<Vec<_>>().join(" "));
    let suggestion = suggestion.trim();
    let read = |line: &str| match line {
        line if edited.is_some() && stands && line == suggestion => Ok(likely.to_vec()),
        "" if edited.is_none() && stands => Ok(likely.to_vec()),
        "" if edited.is_none() && !likely.is_empty() => field.settle(likely),
        "-" if field.may_be_empty() => Ok(Vec::new()),
        line => field.read(line),
    };
    let check = |line: &str| match line {
        "b" | "q" => Ok(()),
        "m" if more.is_some() => Ok(()),
        line => read(line).map(|_| ()),
    };
    match console.line(&format!("{}:", field.name), suggestion, &check)? {
        Entered::Escape => Ok(Go::Back),
        Entered::Stop => Ok(Go::Stop),
        Entered::Text(line) => Ok(match (line.as_str(), more) {
            ("b", _) => Go::Back,
            ("q", _) => Go::Stop,
            ("m", Some(next)) => Go::More(next),
            (line, _) => match read(line) {
                Ok(answers) => Go::Answered(answers),
                Err(_) => Go::Back,
            },
        }),
    }
}

/// Returns what can be typed at a field, in words.
fn ways_to_answer(field: &Field, likely: &[String], (edited, more): (bool, bool)) -> String {
    let mut ways = Vec::new();
    ways.extend(field.takes.step().map(|step| ways_to_say(&step)));
    match (field.has_several(), field.offers().is_empty()) {
        (true, false) => ways.push("numbers, with a comma between".to_owned()),
        (true, true) => ways.push("several with `;` between".to_owned()),
        (false, false) => ways.push("a number".to_owned()),
        (false, true) => {}
    }
    if more {
        ways.push("m: more of them".to_owned());
    }
    let stands = |value: &String| match field.offers().iter().position(|offer| offer.value == *value) {
        Some(n) => (n + 1).to_string(),
        None => field.shown(value),
    };
    let between = if field.offers().is_empty() { "; " } else { "," };
    match likely {
        _ if edited => ways.push("Enter: as it stands".to_owned()),
        [] if field.may_be_empty() => ways.push("Enter: none".to_owned()),
        [] => {}
        likely => ways.push(format!("Enter: {}", likely.iter().map(stands).collect::<Vec<_>>().join(between))),
    }
    if !likely.is_empty() && field.may_be_empty() {
        ways.push("-: none".to_owned());
    }
    ways.push(if edited { "Esc: back, Ctrl-C: stop" } else { "b: back, q: stop" }.to_owned());
    ways.join(", ")
}

/// What a person wants who has read everything over.
enum Choice {
    Record,
    Change(String),
    Back,
    Stop,
}

fn read_over(
    console: &mut dyn Console,
    inquiry: &(impl Inquiry + ?Sized),
    fields: &[Field],
    given: &Given,
) -> anyhow::Result<Choice> {
    console.new_part()?;
    console.say(&format!("{}, to read over:", inquiry.title()))?;
    for (n, field) in fields.iter().enumerate() {
        let answers: Vec<String> = given.all(&field.flag).iter().map(|answer| field.shown(answer)).collect();
        let shown = if answers.is_empty() { field.when_empty.to_owned() } else { answers.join("; ") };
        console.say(&format!("  {:>2}  {}: {shown}", n + 1, field.name))?;
    }
    for note in inquiry.notes(given) {
        console.say(&format!("  {note}"))?;
    }
    console.say("  (y: record it, a number: change that line, b: back, q: stop)")?;
    let field_of = |line: &str| line.parse::<usize>().ok().and_then(|n| fields.get(n.checked_sub(1)?));
    let check = |line: &str| match line {
        "y" | "Y" | "b" | "q" => Ok(()),
        line if field_of(line).is_some() => Ok(()),
        _ => Err("type y, the number of a line, b or q, and then Enter".to_owned()),
    };
    Ok(match console.line("record it?", "", &check)? {
        Entered::Escape => Choice::Back,
        Entered::Stop => Choice::Stop,
        Entered::Text(line) => match (line.as_str(), field_of(&line)) {
            ("y" | "Y", _) => Choice::Record,
            ("b", _) => Choice::Back,
            (_, Some(field)) => Choice::Change(field.flag.to_string()),
            _ => Choice::Stop,
        },
    })
}
