//! What is said after an attack: by the audit, in this folder and in a fresh copy, by a printed seal, by signatures, by the
//! everyday commands, and by git.

use super::attack::Attack;
use super::copy::{Copy, MEMORY, PRINTED, pinindex, text};
use pinindex::logbook::altered_records;
use serde_json::Value;
use std::collections::BTreeSet;
use std::fmt;
use std::fs;
use std::path::Path;
use std::sync::LazyLock;

/// What a command says, by rule; findings stand in brackets.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    pub names: Vec<String>,
    /// The changes of other files than records that are listed, beyond those of the logbook as it was: what, how and by whom.
    pub listed: Vec<String>,
    /// Why the command could not do its work.
    pub refusal: Option<String>,
}

impl Answer {
    pub fn is_fault(&self) -> bool {
        self.refusal.is_some() || self.names.iter().any(|name| !name.starts_with('('))
    }
}

/// All that is said of an attack.
pub struct Said {
    pub audit: Answer,
    pub clone: Answer,
    /// What a fresh copy says to the number of the seal that was printed before.
    pub seal: Answer,
    /// What a fresh copy of the signed logbook says of signatures, and of nothing else.
    pub signatures: Answer,
    pub validate: Answer,
    /// The records that the report leaves out; nothing when it refuses.
    pub left_out: Option<BTreeSet<String>>,
    pub git: String,
    pub is_folder_as_committed: bool,
    /// The records with a fault by `validate`.
    pub faulty_records: BTreeSet<String>,
    pub altered_by_validate: BTreeSet<String>,
    pub altered_by_audit: BTreeSet<String>,
    /// Whether the same records are altered with and without what is remembered of the history.
    pub is_same_without_memory: bool,
}

/// The changes of other files that the logbook has before any attack.
static LISTED_BEFORE: LazyLock<Vec<String>> = LazyLock::new(|| {
    let output = pinindex(&Copy::new().root()).args(["audit", "--format", "json"]).output().unwrap();
    let output = String::from_utf8_lossy(&output.stdout);
    output.lines().filter_map(|line| listed(&serde_json::from_str(line).unwrap())).collect()
});

/// Returns what a line tells of a change of a file that is not a record.
fn listed(line: &Value) -> Option<String> {
    let word = |key: &str| line.get(key).and_then(Value::as_str);
    Some(format!("{} {} by {}", word("file")?, word("how")?, word("author")?))
}

impl Said {
    pub fn of(attack: &Attack) -> Said {
        let (copy, signed) = (Copy::new(), Copy::signed());
        for copy in [&copy, &signed] {
            copy.attack(&attack.title, &attack.lines);
        }
        Said::in_copies(&copy, &signed)
    }

    /// Asks in a copy of the logbook, and in one of the signed logbook.
    pub fn in_copies(copy: &Copy, signed: &Copy) -> Said {
        let root = copy.root();
        let altered = || altered_records(&root).map_err(|error| error.to_string());
        // Asked first: what was remembered before the attack is still there then.
        let remembered = altered();
        let (validate, lines) = ask(&root, &["validate", "--format", "json"]);
        let _ = fs::remove_file(root.join(MEMORY));
        let anew = altered();
        let (audit, audit_lines) = ask(&root, &["audit", "--format", "json"]);
        let clone = copy.fresh_clone();
        let signed = of_signatures(ask_clone(signed.fresh_clone().as_deref(), &["audit", "--format", "json"]));
        let status = copy.git(&["status", "--porcelain", "--untracked-files=all"]);
        let status = String::from_utf8_lossy(&status.stdout).lines().count();
        let fsck = if copy.git(&["fsck", "--full"]).status.success() { "is content" } else { "complains" };
        let status_words = if status == 0 { "clean".to_owned() } else { format!("names {status}") };
        let is_altered = |rule: &str| rule == "record-altered" || rule == "record-lost-in-merge";
        Said {
            is_folder_as_committed: status == 0 && !is_hiding(copy),
            left_out: left_out(copy),
            git: format!("fsck {fsck}, status {status_words}"),
            faulty_records: paths(&lines, |_| true),
            altered_by_validate: paths(&lines, is_altered),
            altered_by_audit: paths(&audit_lines, is_altered),
            is_same_without_memory: remembered == anew,
            seal: ask_clone(clone.as_deref(), &["audit", "--seal", &PRINTED, "--format", "json"]),
            clone: ask_clone(clone.as_deref(), &["audit", "--format", "json"]),
            signatures: signed,
            audit,
            validate: Answer {
                names: validate.names.into_iter().filter(|n| !n.starts_with('(')).collect(),
                ..validate
            },
        }
    }
}

impl fmt::Display for Said {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "audit, in this folder: {}", self.audit)?;
        writeln!(f, "audit, in a fresh copy: {}", self.clone)?;
        writeln!(f, "a seal printed before, held against a fresh copy: {}", self.seal)?;
        writeln!(f, "signatures, in a fresh copy: {}", self.signatures)?;
        writeln!(f, "validate: {}", self.validate)?;
        match &self.left_out {
            Some(records) => writeln!(f, "records that the report leaves out: {}", records.len())?,
            None => writeln!(f, "records that the report leaves out: all, it refuses")?,
        }
        writeln!(f, "git: {}", self.git)
    }
}

impl fmt::Display for Answer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(refusal) = &self.refusal {
            return f.write_str(&format!("refuses, {refusal}"));
        }
        let mut parts = self.names.clone();
        match self.listed.as_slice() {
            [] => {}
            few if few.len() <= 3 => parts.extend(few.iter().map(|change| format!("lists {change}"))),
            many => parts.push(format!("lists {}", many.len())),
        }
        f.write_str(&if parts.is_empty() { "nothing".to_owned() } else { parts.join(", ") })
    }
}

/// Asks a command, and returns its answer and its lines.
pub fn ask(root: &Path, arguments: &[&str]) -> (Answer, Vec<Value>) {
    let output = pinindex(root).args(arguments).output().unwrap();
    if output.status.code() == Some(2) {
        let said = String::from_utf8_lossy(&output.stderr);
        let first = said.lines().next().unwrap_or_default().trim_start_matches("pinindex: ");
        return (Answer { names: Vec::new(), listed: Vec::new(), refusal: Some(without_ids(first)) }, Vec::new());
    }
    let lines: Vec<Value> =
        String::from_utf8_lossy(&output.stdout).lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let names: BTreeSet<String> = lines.iter().filter_map(name).collect();
    let mut before = LISTED_BEFORE.clone();
    let is_new = |change: &String| match before.iter().position(|other| other == change) {
        Some(known) => {
            before.swap_remove(known);
            false
        }
        None => true,
    };
    let listed = lines.iter().filter_map(listed).filter(is_new).collect();
    let answer = Answer { names: names.into_iter().collect(), listed, refusal: None };
    assert_eq!(output.status.code(), Some(i32::from(answer.is_fault())), "{arguments:?}: {}", text(&output));
    (answer, lines)
}

/// Asks a command in a fresh copy, where there is one.
fn ask_clone(clone: Option<&Path>, arguments: &[&str]) -> Answer {
    match clone {
        Some(clone) => ask(clone, arguments).0,
        None => Answer { names: Vec::new(), listed: Vec::new(), refusal: Some("git cannot copy it".to_owned()) },
    }
}

/// Leaves of an answer what is said of signatures.
fn of_signatures(answer: Answer) -> Answer {
    let is_signature = |name: &String| name.trim_start_matches('(').starts_with("signature-");
    Answer { names: answer.names.into_iter().filter(is_signature).collect(), listed: Vec::new(), ..answer }
}

/// Returns the name of the rule of a line, in brackets when it is a finding.
fn name(line: &Value) -> Option<String> {
    let rule = line.get("rule")?.as_str()?;
    Some(if line.get("severity")? == "problem" { rule.to_owned() } else { format!("({rule})") })
}

fn paths(lines: &[Value], is_wanted: impl Fn(&str) -> bool) -> BTreeSet<String> {
    let problems = lines.iter().filter(|line| line.get("severity").is_some_and(|severity| severity == "problem"));
    problems
        .filter(|line| line["rule"].as_str().is_some_and(&is_wanted))
        .filter_map(|line| line["path"].as_str())
        .filter(|path| path.starts_with("records/"))
        .map(str::to_owned)
        .collect()
}

/// Returns the records that the report leaves out.
pub fn left_out(copy: &Copy) -> Option<BTreeSet<String>> {
    let mut report = pinindex(&copy.root());
    let done = report.args(["report", "2026-11", "--format", "json", "--output"]).arg(copy.reports()).output().unwrap();
    if done.status.code() == Some(2) {
        return None;
    }
    let made = fs::read_to_string(copy.reports().join("2026-11.json")).unwrap();
    let report: Value = serde_json::from_str(&made).unwrap();
    let blocks =
        report["sections"].as_array().unwrap().iter().flat_map(|section| section["blocks"].as_array().unwrap());
    let is_meant = |block: &&Value| block["content"]["caption"] == "Records left out, and why";
    let rows = blocks.filter(is_meant).flat_map(|table| table["content"]["rows"].as_array().unwrap());
    let paths: BTreeSet<String> = rows.map(|row| row[0].as_str().unwrap().to_owned()).collect();
    assert_eq!(report["about"]["records-left-out"].as_u64(), u64::try_from(paths.len()).ok());
    Some(paths)
}

/// Returns whether git was told to look away from files of the folder.
fn is_hiding(copy: &Copy) -> bool {
    let listed = copy.git(&["ls-files", "-v"]);
    String::from_utf8_lossy(&listed.stdout).lines().any(|line| !line.starts_with('H'))
}

/// Ids of objects differ from day to day; what is said about them does not.
fn without_ids(text: &str) -> String {
    let is_id = |word: &str| word.len() >= 8 && word.bytes().all(|b| b.is_ascii_hexdigit());
    text.split('`').map(|part| if is_id(part) { "..." } else { part }).collect::<Vec<_>>().join("`")
}
