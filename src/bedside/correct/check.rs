//! A check as it was written down, one field a step: what was seen, the tries before it, and its remark.
//!
//! Takes the answers so far and gives the sheet that they call for: another machine or revision asks for other steps. What
//! was seen and is not touched goes into the new record as it stands in the old one. A result that no step asks for can
//! only be taken out; it stays behind where the machine or the procedure was the wrong one.

use crate::bedside::field::{Field, HowMany, Offer, SET, Takes, written};
use crate::bedside::given::Given;
use crate::bedside::inquiry::Inquiry;
use crate::bedside::setting::Setting;
use crate::bedside::{Step, named, say, steps, typed};
use crate::procedure::{Procedure, Sheet};
use crate::record::result::Entry;
use crate::record::{Answer, Body, Check, ItemResult, Moment, Record, Results, place};
use crate::register::Role;
use std::sync::Arc;

/// What the flag of the tries before an answer begins with; its place follows.
const TRIES: &str = "tries ";
/// What the flag of a remark on an answer begins with; its place follows.
const REMARK: &str = "remark ";

/// What is asked of a check that was written down.
pub struct CheckInquiry<'a> {
    pub setting: Setting<'a>,
    pub old: &'a Check,
    /// The machine that the old record names.
    pub old_machine: &'a str,
}

fn tell(told: &mut Given, place: &str, result: &ItemResult) {
    told.set(&format!("{SET}{place}"), vec![written(&result.answer)]);
    told.set(&format!("{TRIES}{place}"), result.earlier.iter().map(written).collect());
    told.set(&format!("{REMARK}{place}"), result.remark.iter().cloned().collect());
}

fn revision(procedure: &str, revision: u32) -> String {
    format!("{procedure}/{revision}")
}

impl<'a> CheckInquiry<'a> {
    fn procedure(&self, given: &Given) -> Option<&'a Procedure> {
        let (id, revision) = given.one("procedure")?.split_once('/')?;
        self.setting.contents.procedures.get(&(id.to_owned(), revision.parse().ok()?))
    }

    /// Returns the sheet that the answers call for; nothing when the logbook does not know procedure or machine.
    fn sheet(&self, given: &Given) -> Option<Sheet> {
        let contents = self.setting.contents;
        let day = contents.day(given.moment("finished").unwrap_or(self.old.finished));
        Some(Sheet::of(self.procedure(given)?, contents.machine_on(self.setting.machine, day)?))
    }

    /// Returns what the old record has for a place of a sheet, where one answer may stand for several.
    fn result(&self, item: &str, each: Option<&str>) -> Option<&'a ItemResult> {
        match self.old.results.get(item)? {
            Entry::One(result) => Some(result),
            Entry::Each(all) => all.iter().find(|(id, _)| Some(id.as_str()) == each).map(|(_, result)| result),
        }
    }

    /// Returns the answers that made the check.
    pub fn told(&self) -> Given {
        let old = self.old;
        let mut told = Given::default()
            .with("procedure", [revision(&old.procedure, old.revision)])
            .with("started", [old.started.to_string()])
            .with("finished", [old.finished.to_string()])
            .with("emergency-start", [if old.emergency_start { "yes" } else { "no" }]);
        for (item, each, result, _) in old.results.single() {
            tell(&mut told, &place(item, each), result);
        }
        // One answer that stands for several vaporizers or gases is the answer for each of them.
        let sheet = self.sheet(&told);
        for (line, each) in sheet.iter().flat_map(Sheet::places) {
            if let Some(result) = self.result(&line.item.id, each) {
                tell(&mut told, &place(&line.item.id, each), result);
            }
        }
        told
    }

    /// Returns what an answer comes to by the limits in force, at once.
    pub fn comes_to(&self, flag: &str, given: &Given) -> Vec<String> {
        let comes_to = || {
            let (contents, sheet) = (self.setting.contents, self.sheet(given)?);
            let place = flag.strip_prefix(SET)?;
            let steps = steps(&sheet);
            let step = steps.iter().find(|step| step.place() == place)?;
            let day = contents.day(given.moment("finished").unwrap_or(self.old.finished));
            let machine = contents.machine_on(self.setting.machine, day)?;
            let said = say(step, &answer(step, given.one(flag)?)?, machine, contents.site.as_ref()?);
            let follows = said.follows.map(|follows| format!("What follows: {follows}."));
            let more = said.values.into_iter().chain(said.reckoned).chain(said.doubt).chain(follows);
            Some([said.headline].into_iter().chain(more).collect())
        };
        comes_to().unwrap_or_default()
    }

    /// Returns the result of a step by the answers so far; nothing when it has none.
    fn new_result(&self, step: &Step<'_>, given: &Given) -> Option<ItemResult> {
        let place = step.place();
        let flag = |of: &str| format!("{of}{place}");
        let mut told = Given::default();
        let old = self.result(&step.item().id, step.each);
        old.iter().for_each(|old| tell(&mut told, &place, old));
        let stays = |of: &str| !given.has(&flag(of)) || given.all(&flag(of)) == told.all(&flag(of));
        let seen = given.one(&flag(SET)).and_then(|text| answer(step, text));
        let answer = old.filter(|_| stays(SET)).map(|old| old.answer.clone()).or(seen)?;
        let earlier = match old.filter(|_| stays(TRIES)) {
            Some(old) => old.earlier.clone(),
            None => given.all(&flag(TRIES)).iter().filter_map(|text| self::answer(step, text)).collect(),
        };
        Some(ItemResult { answer, earlier, remark: given.one(&flag(REMARK)).map(str::to_owned) })
    }

    fn results(&self, given: &Given) -> Results {
        let sheet = self.sheet(given);
        let lines = sheet.iter().flat_map(|sheet| &sheet.lines);
        let mut asked: Vec<(String, Entry)> = Vec::new();
        for line in lines.clone() {
            let places = line.places().filter_map(|each| Some((each, self.new_result(&Step { line, each }, given)?)));
            let results: Vec<(Option<&str>, ItemResult)> = places.collect();
            let stays = |(each, new): &(Option<&str>, ItemResult)| self.result(&line.item.id, *each) == Some(new);
            let old = self.old.results.get(&line.item.id).filter(|_| results.iter().all(stays));
            let entry = match (old, results.as_slice()) {
                (Some(old), _) => Some(old.clone()),
                (None, []) => None,
                (None, [(None, result)]) => Some(Entry::One(result.clone())),
                (None, _) => {
                    let each = results.into_iter().filter_map(|(each, result)| Some((each?.to_owned(), result)));
                    Some(Entry::Each(each.collect()))
                }
            };
            asked.extend(entry.map(|entry| (line.item.id.clone(), entry)));
        }
        let of_sheet = |id: &str| lines.clone().any(|line| line.item.id == id);
        let left = self.old.results.0.iter().filter(|(id, _)| !of_sheet(id) && self.same_ground(given));
        let left = left.filter_map(|(id, entry)| Some((id.clone(), self.kept(id, entry, given)?)));
        // What stays keeps its place; what comes new stands at the end.
        let at = |id: &str| self.old.results.0.iter().position(|(old, _)| old == id).unwrap_or(usize::MAX);
        let mut results: Vec<(String, Entry)> = asked.into_iter().chain(left).collect();
        results.sort_by_key(|(id, _)| at(id));
        Results(results)
    }

    /// Returns what goes into the new record of a result that no step asks for.
    fn kept(&self, item: &str, entry: &Entry, given: &Given) -> Option<Entry> {
        let stays = |each: Option<&str>| !given.all(&format!("{SET}{}", place(item, each))).is_empty();
        match entry {
            Entry::One(_) => stays(None).then(|| entry.clone()),
            Entry::Each(all) => {
                let kept: Vec<_> = all.iter().filter(|(each, _)| stays(Some(each))).cloned().collect();
                (!kept.is_empty()).then_some(Entry::Each(kept))
            }
        }
    }

    /// Returns whether the machine and the procedure are those of the old record.
    fn same_ground(&self, given: &Given) -> bool {
        let same = given.one("procedure") == Some(revision(&self.old.procedure, self.old.revision).as_str());
        same && self.setting.machine == self.old_machine
    }
}

/// Returns the answer that a field of a step holds.
fn answer(step: &Step<'_>, text: &str) -> Option<Answer> {
    named::spoken(step, text).and_then(|said| typed::answer(step, &said)).ok()
}

/// Returns the fields of a step: what was seen, and the tries and the remark that the old record has.
fn of_step(step: &Step<'_>, given: &Given) -> Vec<Field> {
    let (place, each) = (step.place(), step.each.map(str::to_owned));
    let name = match &each {
        Some(each) => format!("{}, {}", step.item().title, each.replace('-', " ")),
        None => step.item().title.clone(),
    };
    let takes = || Takes::Seen(Box::new(step.line.clone()), each.clone());
    let limits: Vec<String> = step.limit_words().into_iter().map(|limit| format!("limit: {limit}")).collect();
    let mut fields =
        vec![Field::new(format!("{SET}{place}"), name.clone(), name.clone(), takes()).help(limits.join("; "))];
    if !given.all(&format!("{TRIES}{place}")).is_empty() {
        let words = format!("{name}, tried before");
        fields.push(Field::new(format!("{TRIES}{place}"), words.clone(), words, takes()).how_many(HowMany::Any));
    }
    if !given.all(&format!("{REMARK}{place}")).is_empty() {
        let words = format!("{name}, remark");
        fields.push(
            Field::new(format!("{REMARK}{place}"), words.clone(), words, Takes::Text).how_many(HowMany::AtMostOne),
        );
    }
    fields
}

impl Inquiry for CheckInquiry<'_> {
    fn title(&self) -> String {
        format!("Check of {}", self.setting.machine)
    }

    fn preface(&self) -> Vec<String> {
        Vec::new()
    }

    fn fields(&self, given: &Given, now: Moment) -> Vec<Field> {
        let contents = self.setting.contents;
        let procedures = contents.procedures.values();
        let procedures =
            procedures.map(|one| Offer::new(revision(&one.procedure, one.revision), one.words())).collect();
        let started = given.moment("started").map(|started| (started, "the check was begun".to_owned()));
        let day = contents.day(given.moment("finished").unwrap_or(self.old.finished));
        let emergency = ["yes", "no"].map(|word| Offer::new(word, word)).to_vec();
        let mut fields = vec![
            Field::new("procedure", "procedure", "Which procedure was followed?", Takes::Offered(procedures)),
            Field::new("started", "begun", "When was the check begun?", self.setting.moment(now, None)),
            Field::new("finished", "finished", "When was it finished?", self.setting.moment(now, started)),
            self.setting.by("Who did the check?", day, &[Role::Provider, Role::Technician]),
        ];
        let sheet = self.sheet(given);
        fields.extend(sheet.iter().flat_map(steps).flat_map(|step| of_step(&step, given)));
        let asked = |item: &str| sheet.iter().flat_map(|sheet| &sheet.lines).any(|line| line.item.id == item);
        let stray = self.old.results.single().filter(|(item, ..)| self.same_ground(given) && !asked(item));
        fields.extend(stray.map(|(item, each, result, _)| {
            let (place, words) = (place(item, each), written(&result.answer));
            let question = format!("No step of this check asks for `{place}`: does the answer stay?");
            let takes = Takes::Offered(vec![Offer::new(words.clone(), words)]);
            let field = Field::new(format!("{SET}{place}"), place, question, takes);
            field.how_many(HowMany::AtMostOne).when_empty("taken out")
        }));
        fields.push(Field::new(
            "emergency-start",
            "emergency start",
            "Was it an emergency start, with only what could not wait?",
            Takes::Offered(emergency),
        ));
        fields.extend(self.setting.closing(now));
        fields
    }

    fn notes(&self, _: &Given) -> Vec<String> {
        Vec::new()
    }

    fn next(&self, _: &Given) -> Vec<String> {
        Vec::new()
    }

    fn record(&self, given: &Given, recorded: Moment) -> Record {
        let procedure = self.procedure(given);
        Record {
            common: self.setting.common(given, recorded),
            body: Body::Check(Arc::new(Check {
                procedure: procedure.map_or(self.old.procedure.clone(), |procedure| procedure.procedure.clone()),
                revision: procedure.map_or(self.old.revision, |procedure| procedure.revision),
                started: given.moment("started").unwrap_or(self.old.started),
                finished: given.moment("finished").unwrap_or(self.old.finished),
                emergency_start: given.one("emergency-start") == Some("yes"),
                form: self.old.form.clone(),
                results: self.results(given),
            })),
        }
    }
}
