//! Asks a Python program of this folder: one JSON value a line for a question, and one for an answer.

use super::run::run;
use serde_json::Value;
use std::process::Command;

/// Returns the answers of a program, which must end well: one for each question, in their order. A program that is asked
/// nothing answers with what it finds by itself.
///
/// Python is `PININDEX_PYTHON`, or `python3`; without it or its packages the test fails, it does not skip.
pub fn ask(program: &str, questions: &[Value]) -> Vec<Value> {
    let python = std::env::var("PININDEX_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let path = format!("{}/tests/outside/{program}", env!("CARGO_MANIFEST_DIR"));
    let lines: String = questions.iter().map(|question| format!("{question}\n")).collect();
    let output = run(Command::new(&python).arg(path).env("PYTHONIOENCODING", "utf-8"), &lines);
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(
        output.status.success(),
        "tests/outside/{program} is not content (`tests/run` installs what it needs):\n{}",
        complaint.trim()
    );
    let answer = String::from_utf8(output.stdout).expect("the programs of this folder write UTF-8");
    let answers: Vec<Value> =
        answer.lines().map(|line| serde_json::from_str(line).expect("one JSON value a line")).collect();
    assert!(
        questions.is_empty() || answers.len() == questions.len(),
        "an answer of {program} is missing, or one too many"
    );
    answers
}
