//! What was given on the command line and in a file, looked at as a whole before anything is asked.

use super::work::Work;
use super::{Arguments, at_site};
use crate::bedside::guided::{emergency, people};
use crate::bedside::{Draft, Step, answers as file, clock_time, named};
use crate::command::Context;
use crate::contents::{self, Contents};
use crate::diagnostic::{Diagnostic, Located};
use crate::logbook::{self, FileContent, Trouble};
use crate::record::{Answer, Form, FormOn, ItemResult, Moment, places};

/// The file of answers.
#[derive(Default)]
pub struct Answers {
    pub draft: Draft,
    pub shown: String,
    pub text: String,
}

/// Everything that was given and fits.
pub struct Checked {
    answers: Draft,
    results: Vec<(usize, ItemResult)>,
    sets: Vec<(usize, Answer)>,
    by: Vec<String>,
    recorded_by: Option<String>,
    started: Option<Moment>,
    finished: Option<Moment>,
    remarks: Option<String>,
    emergency: Option<String>,
    /// The code that was read from a sheet of paper.
    code: Option<String>,
}

/// What was given, looked at.
pub enum Given {
    Fits(Box<Checked>),
    /// The file of answers has problems; and what else does not fit.
    Problems(Vec<Located>, Vec<String>),
}

/// Reads the file of answers, if one was named.
pub fn answers(context: &Context, arguments: &Arguments) -> anyhow::Result<(Answers, Vec<Diagnostic>)> {
    let Some(path) = &arguments.answers else { return Ok((Answers::default(), Vec::new())) };
    let shown = path.display().to_string();
    let content = logbook::read_file(&context.folder().join(path)).ok_or_else(|| {
        Trouble::new(format!("there is no file `{shown}`"), "look at the name and run the same command again")
    })?;
    let FileContent::Bytes(bytes) = &content else {
        return Ok((
            Answers { shown: shown.clone(), ..Answers::default() },
            contents::unread(&shown, &content).into_iter().collect(),
        ));
    };
    let (draft, problems) = Draft::read(&shown, bytes);
    let text = String::from_utf8_lossy(bytes).into_owned();
    Ok((Answers { draft: draft.unwrap_or_default(), shown, text }, problems))
}

/// Looks at everything that was given. What does not fit is told all at once.
pub fn all(
    context: &Context,
    contents: &Contents,
    arguments: &Arguments,
    answers: &Answers,
    mut problems: Vec<Diagnostic>,
    work: &Work,
    steps: &[Step<'_>],
) -> anyhow::Result<Given> {
    let mut wrong: Vec<String> = Vec::new();
    let mut keep = |result: Result<String, String>| match result {
        Ok(id) => Some(id),
        Err(why) => {
            wrong.push(why);
            None
        }
    };
    let by = arguments.by.iter().filter_map(|id| keep(people::known(contents, id.trim()))).collect();
    let recorded_by = arguments.recorded_by.as_ref().and_then(|id| keep(people::known(contents, id)));
    if let Some(owner) = &arguments.owner {
        keep(people::known(contents, owner));
    }
    let today = contents.day(context.clock());
    let mut time = |text: &Option<String>| {
        let moment = clock_time::moment(text.as_ref()?, today, work.site.time_zone);
        moment.map_err(|why| wrong.push(why)).ok()
    };
    let (started, finished) = (time(&arguments.started), time(&arguments.finished));
    let sets: Vec<_> = arguments.sets.iter().map(|text| named::named(steps, text)).collect();
    wrong.extend(sets.iter().filter_map(|set| set.as_ref().err().cloned()));
    let (results, unfit) = file::by_step(&answers.shown, &answers.draft, steps);
    problems.extend(unfit);
    if !problems.is_empty() {
        let text = answers.text.clone().into_bytes();
        return Ok(Given::Problems(places::locate(problems, &|_| Some(text.clone())), wrong));
    }
    if !wrong.is_empty() {
        return Err(Trouble::new(
            wrong.join("; "),
            "nothing was recorded; put it right and run the same command again",
        )
        .into());
    }
    Ok(Given::Fits(Box::new(Checked {
        answers: answers.draft.clone(),
        results,
        sets: sets.into_iter().flatten().collect(),
        by,
        recorded_by,
        started,
        finished,
        remarks: arguments.remarks.clone(),
        emergency: arguments.emergency.clone(),
        code: arguments.code.clone(),
    })))
}

impl Checked {
    /// Returns a draft with everything that was given put into it; what is given goes before what was there.
    pub fn onto(&self, mut draft: Draft, work: &Work, steps: &[Step<'_>]) -> Draft {
        draft.draft = "check".to_owned();
        draft.machine = Some(work.id.clone());
        draft.procedure = Some(work.procedure.procedure.clone());
        draft.revision = Some(work.procedure.revision);
        let file = &self.answers;
        if !file.by.is_empty() {
            draft.by.clone_from(&file.by);
        }
        if !self.by.is_empty() {
            draft.by.clone_from(&self.by);
        }
        draft.recorded_by = self.recorded_by.clone().or(file.recorded_by.clone()).or(draft.recorded_by);
        let at_site = |moment: Option<Moment>| moment.map(|moment| at_site(moment, work));
        draft.started = at_site(self.started.or(file.started)).or(draft.started);
        draft.finished = at_site(self.finished.or(file.finished)).or(draft.finished);
        draft.remarks = self.remarks.clone().or(file.remarks.clone()).or(draft.remarks);
        let sheet = self.code.clone().map(|code| Form { on: FormOn::Paper, code, commit: None, made: None });
        draft.form = sheet.or(file.form.clone()).or(draft.form);
        draft.emergency_start |= file.emergency_start;
        for (at, result) in &self.results {
            if let Some(step) = steps.get(*at) {
                draft.put(step, result.clone());
            }
        }
        for (at, answer) in &self.sets {
            if let Some(step) = steps.get(*at) {
                match answer {
                    Answer::NotDone(because) => {
                        draft.leave(step, because);
                    }
                    answer => draft.answer(step, answer.clone()),
                }
            }
        }
        if let Some(because) = &self.emergency {
            emergency::start(&mut draft, steps, because);
        }
        draft
    }

    /// Returns whether it was given when the check was finished.
    pub fn finish_given(&self) -> bool {
        self.finished.is_some() || self.answers.finished.is_some()
    }

    /// Returns whether it was given when the check was begun.
    pub fn start_given(&self) -> bool {
        self.started.is_some() || self.answers.started.is_some()
    }
}
