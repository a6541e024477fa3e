//! A record in words, line by line: what it says, each under the name that a person calls it by.
//!
//! People by their names, moments on the wall of the site, answers as a nurse reads them. Who wrote a record down, when,
//! and which one it corrects is not what it says, and has no line.

use super::Contents;
use crate::procedure::answer::seen;
use crate::record::result::Entry;
use crate::record::{Body, Check, ItemResult, Moment, Record, Use, place};
use serde_json::Value;

/// One thing that a record says.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its place in the record, such as `finished` or `results/suction`.
    pub key: String,
    pub name: String,
    pub words: String,
    /// What stands in the record, where the words would hide a difference.
    pub said: Value,
}

/// Returns what a record says, in the order a person reads it in.
pub fn lines(contents: &Contents, record: &Record) -> Vec<Line> {
    let mut lines = Lines { contents, all: Vec::new() };
    lines.text("machine", "machine", &record.common.machine);
    match &record.body {
        Body::Check(check) => {
            lines.one("procedure", "procedure", format!("{}, revision {}", check.procedure, check.revision));
            lines.moment("started", "begun", check.started);
            lines.moment("finished", "finished", check.finished);
            if check.emergency_start {
                lines.one("emergency-start", "emergency start", "yes".to_owned());
            }
            if let Some(form) = &check.form {
                lines.line("form", "form", form.code.clone(), serde_json::to_value(form).unwrap_or_default());
            }
        }
        Body::Fault(fault) => {
            lines.moment("found", "found", fault.found);
            let how = &fault.found_during;
            match (&how.check, &how.way) {
                (Some(check), _) => {
                    lines.line("found-during", "how found", format!("by the check {check}"), check.as_str().into())
                }
                (None, way) => {
                    lines.one("found-during", "how found", way.as_deref().unwrap_or_default().replace('-', " "))
                }
            }
            lines.list("found-during/items", "items", how.items.clone());
            lines.text("what", "what", &fault.what);
            match &fault.usage {
                Use::Withheld => lines.text("use", "use", "withheld"),
                Use::Restricted { restriction, until, owner } => {
                    lines.text("use", "use", "restricted");
                    lines.text("use/restricted", "only", restriction);
                    lines.one("use/until", "until", until.to_string());
                    let name = contents.person_name(owner).to_owned();
                    lines.line("use/owner", "answers for it", name, owner.as_str().into());
                }
            }
        }
        Body::Repair(repair) => {
            lines.text("fault", "fault", &repair.fault);
            lines.moment("started", "begun", repair.started);
            lines.moment("finished", "finished", repair.finished);
            lines.one("cause", "cause", repair.cause.replace('-', " "));
            lines.text("work", "work", &repair.work);
            lines.list("parts", "parts", repair.parts.clone());
            let waited = repair.waited.iter().map(ToString::to_string).collect();
            lines.list("waited", "waited for", waited);
            lines.list("instruments", "instruments", repair.instruments.iter().map(ToString::to_string).collect());
        }
        Body::Release(release) => {
            lines.list("faults", "faults", release.faults.clone());
            lines.text("proved-by", "proved by", &release.proved_by);
            lines.moment("released", "released", release.released);
        }
        Body::Service(service) => {
            lines.moment("started", "begun", service.started);
            lines.moment("finished", "finished", service.finished);
            lines.text("work", "work", &service.work);
            lines.one("next-due", "next due", service.next_due.to_string());
            lines.list("instruments", "instruments", service.instruments.iter().map(ToString::to_string).collect());
            if let Some(check) = &service.proved_by {
                lines.text("proved-by", "proved by", check);
            }
        }
        Body::Void(void) => {
            lines.text("of", "record", &void.of);
            lines.text("because", "why it does not count", &void.because);
        }
    }
    let by: Vec<&str> = record.common.by.iter().map(|id| contents.person_name(id)).collect();
    lines.line("by", "by", by.join(", "), Value::from(record.common.by.clone()));
    if let Body::Check(check) = &record.body {
        lines.results(check);
    }
    if let Some(remarks) = &record.common.remarks {
        lines.text("remarks", "remarks", remarks);
    }
    lines.all
}

struct Lines<'a> {
    contents: &'a Contents,
    all: Vec<Line>,
}

impl Lines<'_> {
    fn line(&mut self, key: &str, name: &str, words: String, said: Value) {
        self.all.push(Line { key: key.to_owned(), name: name.to_owned(), words, said });
    }

    fn one(&mut self, key: &str, name: &str, words: String) {
        let said = Value::from(words.clone());
        self.line(key, name, words, said);
    }

    fn text(&mut self, key: &str, name: &str, text: &str) {
        self.line(key, name, text.trim().to_owned(), Value::from(text));
    }

    fn list(&mut self, key: &str, name: &str, all: Vec<String>) {
        if !all.is_empty() {
            self.line(key, name, all.join("; "), Value::from(all));
        }
    }

    fn moment(&mut self, key: &str, name: &str, moment: Moment) {
        let at_site = self.contents.site.as_ref().map_or(moment, |site| moment.in_zone(site.time_zone));
        self.line(key, name, at_site.short(), Value::from(moment.to_string()));
    }

    fn results(&mut self, check: &Check) {
        for (item, entry) in &check.results.0 {
            let title = self.contents.procedure_of(check).and_then(|procedure| procedure.item(item));
            let title = title.map_or(item.clone(), |item| item.title.clone());
            let mut result = |each: Option<&str>, result: &ItemResult| {
                let name = match each {
                    Some(each) => format!("{title}, {}", each.replace('-', " ")),
                    None => title.clone(),
                };
                let said = serde_json::to_value(result).unwrap_or_default();
                self.line(&format!("results/{}", place(item, each)), &name, result_words(result), said);
            };
            match entry {
                Entry::One(one) => result(None, one),
                Entry::Each(all) => all.iter().for_each(|(each, one)| result(Some(each), one)),
            }
        }
    }
}

/// Returns a result as a nurse reads it, with the tries before it and its remark.
fn result_words(result: &ItemResult) -> String {
    let mut words = seen(&result.answer);
    if !result.earlier.is_empty() {
        let tries: Vec<String> = result.earlier.iter().map(seen).collect();
        words.push_str(&format!("; tried before: {}", tries.join(", ")));
    }
    if let Some(remark) = &result.remark {
        words.push_str(&format!("; remark: {}", remark.trim()));
    }
    words
}
