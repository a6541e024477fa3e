//! The check as it is asked at the terminal: what must be known first, the draft, the people, and then the steps.

use super::at_site;
use super::given::Checked;
use super::work::Work;
use crate::bedside::console::{Console, Key};
use crate::bedside::guided::{Asked, End, Guide, beforehand, paper, people};
use crate::bedside::{Draft, Step};
use crate::command::Context;
use crate::command::opened::Opened;
use crate::command::resumed::{UNREADABLE, go_on, resume};
use crate::diagnostic::counted;
use crate::logbook;
use crate::record::{Body, Moment};
use crate::timeline;

/// Asks for everything that was not given. Nothing when the person stopped; the draft is then kept.
pub fn ask(
    context: &Context,
    opened: &Opened,
    work: &Work,
    given: &Checked,
    steps: &[Step<'_>],
    console: &mut dyn Console,
) -> anyhow::Result<Option<(Draft, logbook::Draft)>> {
    // A sheet of another day is another check; at the machine there is one check at a time.
    let of_sheet = if work.from_paper { format!(".{}.paper", work.day) } else { String::new() };
    let name = format!("{}.{}{of_sheet}", work.id, work.procedure.procedure);
    let held = logbook::Draft::take(&opened.root, &name)?;
    let steps_words = counted(steps.len(), "step");
    let title = work.procedure.title.trim();
    console.say(&format!("{} ({}): {title}", work.machine.name, work.id))?;
    console.say(&format!("{}; {steps_words}", work.procedure.words()))?;
    if !work.from_paper && !announced(context, opened, work, console)? {
        return Ok(None);
    }
    let Some(found) = found(opened, work, steps, &held, console)? else { return Ok(None) };
    let mut draft = given.onto(found, work, steps);
    if work.from_paper {
        let zone = work.site.time_zone;
        if !paper::head(console, (&opened.contents, steps), &mut draft, (work.day, zone), &work.code)? {
            return Ok(None);
        }
    } else if !who(opened, work, steps, &mut draft, console)? {
        return Ok(None);
    }
    let now = at_site(console.now(), work);
    draft.started.get_or_insert(now);
    held.keep(&draft.text()?)?;
    let asked = Asked {
        contents: &opened.contents,
        site: &work.site,
        machine: &work.machine,
        procedure: &work.procedure,
        steps,
    };
    let mut keep = |draft: &Draft| held.keep(&draft.text()?);
    let finish_given = work.from_paper || given.finish_given();
    let mut guide = Guide {
        console: &mut *console,
        asked,
        draft,
        keep: &mut keep,
        from_paper: work.from_paper,
        finish_given,
        start_given: given.start_given(),
    };
    let end = guide.run()?;
    let draft = guide.draft;
    if end == End::Record {
        return Ok(Some((draft, held)));
    }
    let answered = steps.iter().filter(|step| !draft.lacks(step)).count();
    if answered == 0 {
        held.done()?;
        console.say("Stopped before the first answer; nothing was kept.")?;
        return Ok(None);
    }
    console.say(&format!("Stopped; {answered} of {steps_words} answered and kept in {}.", held.shown()))?;
    let from_paper = if work.from_paper { " --from-paper" } else { "" };
    let procedure = &work.procedure.procedure;
    console.say(&format!("Go on with: pinindex check {} --procedure {procedure}{from_paper}", work.id))?;
    if work.from_paper {
        console.say(&format!("The day on the sheet: {}", work.day))?;
    }
    Ok(None)
}

/// Returns whether the next day of a week sheet is to be typed in.
pub fn another_day(console: &mut dyn Console) -> anyhow::Result<bool> {
    Ok(console.key("Enter done  y another day of this sheet", &['y'])? == Key::Char('y'))
}

/// Says what must be known of the machine, and returns whether the person goes on.
fn announced(context: &Context, opened: &Opened, work: &Work, console: &mut dyn Console) -> anyhow::Result<bool> {
    let now = context.clock();
    let Some(life) = opened.lives.get(&work.id) else { return Ok(true) };
    let Some(status) = timeline::status(&opened.contents, life, now) else { return Ok(true) };
    for line in beforehand::words(&opened.contents, life, &status, opened.contents.day(now)) {
        console.say(&line)?;
    }
    if status.withheld_by.is_empty() {
        return Ok(true);
    }
    Ok(console.key("Enter check it all the same  q stop", &['q'])? == Key::Enter)
}

/// Returns the draft to go on with: the one that was found, or a new one. Nothing when the person stopped.
fn found(
    opened: &Opened,
    work: &Work,
    steps: &[Step<'_>],
    held: &logbook::Draft,
    console: &mut dyn Console,
) -> anyhow::Result<Option<Draft>> {
    let of_this_day = |moment: Moment| opened.contents.day(moment) == work.day;
    let fits = |draft: &Draft| {
        draft.machine.as_ref() == Some(&work.id)
            && draft.procedure.as_ref() == Some(&work.procedure.procedure)
            && draft.revision == Some(work.procedure.revision)
            // Work that began before midnight may go by the day on which it ended.
            && (!work.from_paper || [draft.started, draft.finished].into_iter().flatten().any(of_this_day))
    };
    let read = |bytes: &[u8]| {
        let draft = Draft::read(held.shown(), bytes).0.ok_or(UNREADABLE)?;
        if fits(&draft) { Ok(draft) } else { Err("does not fit this check") }
    };
    let Some(draft) = resume(console, held, read, |draft| recorded_already(opened, draft))? else {
        return Ok(Some(Draft::default()));
    };
    let begun = draft.started.map(|started| at_site(started, work));
    let begun = begun.map_or("some time ago".to_owned(), |begun| match opened.contents.day(begun) == work.day {
        true => begun.0.format("%H:%M").to_string(),
        false => begun.short(),
    });
    let answered = steps.iter().filter(|step| !draft.lacks(step)).count();
    let by: Vec<&str> = draft.by.iter().map(|id| opened.contents.person_name(id)).collect();
    let by = if by.is_empty() { String::new() } else { format!(" by {}", by.join(", ")) };
    console.say(&format!("An unfinished check is here: begun {begun}{by}, {answered} of {} answered.", steps.len()))?;
    // A sheet does not grow old: what is typed in was written on its day.
    let since = if work.from_paper { Some(console.now()) } else { draft.started };
    go_on(console, held, draft, since)
}

/// Returns where a draft was recorded, when the program was stopped after that and before the draft was taken away.
fn recorded_already(opened: &Opened, draft: &Draft) -> Option<String> {
    let records = opened.contents.records.iter();
    let same = records.filter(|filed| Some(&filed.record.common.machine) == draft.machine.as_ref());
    let mut same = same.filter(|filed| match &filed.record.body {
        Body::Check(check) => {
            Some(&check.procedure) == draft.procedure.as_ref()
                && Some(check.started) == draft.started
                && Some(check.finished) == draft.finished
        }
        _ => false,
    });
    same.next().map(|filed| filed.path.clone())
}

/// Asks who does the check, and says whom to fetch; returns whether the person goes on.
fn who(
    opened: &Opened,
    work: &Work,
    steps: &[Step<'_>],
    draft: &mut Draft,
    console: &mut dyn Console,
) -> anyhow::Result<bool> {
    loop {
        if draft.by.is_empty() {
            match people::ask(console, &opened.contents, (work.day, steps), "Who does this check?")? {
                Some(by) => draft.by = by,
                None => return Ok(false),
            }
        }
        let missing = people::missing(&opened.contents, &draft.by, steps);
        if missing.is_empty() {
            return Ok(true);
        }
        for line in &missing {
            console.say(line)?;
        }
        match console.key("Enter go on as it is  n name the people again  q stop", &['n', 'q'])? {
            Key::Enter => return Ok(true),
            Key::Char('n') => draft.by.clear(),
            Key::Char(_) | Key::Escape | Key::Stop => return Ok(false),
        }
    }
}
