//! Whether a check was done by the people whom its procedure asks for.

use super::life::CheckDone;
use crate::contents::Contents;
use crate::diagnostic::counted;
use crate::procedure::Verdict;
use crate::register::Role;

/// What a check lacks in people.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lacking {
    /// Who is needed, in words, and the ids of the items that need them; never empty.
    pub needed: Vec<(String, Vec<String>)>,
    /// The roles of the people that it names and that were with the hospital on its day.
    pub roles: Vec<Role>,
    /// The ids of the people that it names before their first day or after their last one.
    pub away: Vec<String>,
}

/// Returns what a check lacks: items that it says were done, and that its people may not do.
///
/// Whoever was not with the hospital on that day counts for nobody. Nothing where a person is not known: that is a fault
/// of the record.
pub fn lacking(contents: &Contents, done: &CheckDone) -> Option<Lacking> {
    let (mut roles, mut away) = (Vec::new(), Vec::new());
    for id in done.by() {
        let person = contents.people.get(id)?;
        if person.is_here_on(done.day) { roles.push(person.role) } else { away.push(id.clone()) }
    }
    let lines = &done.judgement.sheet().lines;
    // Most checks name people who may do everything; then nobody has to look at the answers.
    if lines.iter().all(|line| line.item.by.satisfied_by(&roles)) {
        return None;
    }
    let mut needed: Vec<(String, Vec<String>)> = Vec::new();
    let mut last = "";
    for judged in done.judgement.items().filter(|i| matches!(i.verdict, Verdict::Pass | Verdict::Fail)) {
        let Some(line) = lines.iter().find(|line| line.item.id == judged.item) else { continue };
        if judged.item == last || line.item.by.satisfied_by(&roles) {
            continue;
        }
        last = judged.item;
        let (words, item) = (line.item.by.words(), judged.item.to_owned());
        match needed.iter_mut().find(|(known, _)| *known == words) {
            Some((_, items)) => items.push(item),
            None => needed.push((words, vec![item])),
        }
    }
    (!needed.is_empty()).then_some(Lacking { needed, roles, away })
}

impl Lacking {
    /// Returns how many items it is about.
    pub fn items(&self) -> usize {
        self.needed.iter().map(|(_, items)| items.len()).sum()
    }

    /// Returns it in one short line: `22 steps need a provider or a technician; named: auditor`.
    pub fn words(&self) -> String {
        let needed = self.needed.iter().enumerate().map(|(n, (who, items))| match (n, items.len()) {
            (0, 1) => format!("1 step needs {who}"),
            (0, several) => format!("{} need {who}", counted(several, "step")),
            (_, several) => format!("{several} {who}"),
        });
        format!("{}; named: {}", needed.collect::<Vec<_>>().join(", "), self.named())
    }

    /// Returns who was named, by role.
    pub fn named(&self) -> String {
        let mut words: Vec<String> = Vec::new();
        for role in &self.roles {
            if !words.iter().any(|word| word == role.word()) {
                words.push(role.word().to_owned());
            }
        }
        words.extend(self.away.iter().map(|id| format!("{id}, who was not here that day")));
        words.join(", ")
    }
}
