//! What a record says: from the text of one file to a typed [`Record`], and back to text.
//!
//! Text → tree with places ([`tree`]) → shape judged by `schema/` ([`shape`]) → typed record ([`kinds`], [`result`]).
//! A file that does not fit its schema shows all its problems at once and never becomes a record. Whether what a record
//! says is good for a machine, or fits the other records, is not asked here.

pub mod forms;
pub mod kinds;
pub mod moment;
pub mod places;
pub mod quantity;
pub mod rest;
pub mod result;
pub mod shape;
pub mod tree;
pub mod unmerged;
pub mod write;

pub use kinds::{
    Body, Check, Common, Correction, Fault, Form, FormOn, FoundDuring, Record, Release, Repair, Service, Use, Void,
};
pub use moment::{Date, Moment};
pub use quantity::{Kind, Measure, Quantity};
pub use result::{Answer, ItemResult, Results, place};

use crate::diagnostic::{Diagnostic, Place};

/// Reads one record, with every problem of its text and shape.
///
/// `path` is only used to say where a problem stands; whether the file is filed under the right name is judged later.
pub fn read(path: &str, bytes: &[u8]) -> (Option<Record>, Vec<Diagnostic>) {
    let (root, mut problems) = tree::read(path, bytes);
    let Some(root) = root else { return (None, problems) };
    let kind = match root.get("record") {
        Some(member) => member.node.text().and_then(shape::Kind::of_record),
        None => None,
    };
    let Some(kind) = kind else {
        problems.push(unknown_kind(path, &root));
        return (None, problems);
    };
    let json = root.to_json();
    problems.extend(shape::judge(path, kind, &root, &json));
    if !problems.is_empty() {
        return (None, problems);
    }
    match kinds::typed(&json) {
        Ok(record) => (Some(record), problems),
        Err(error) => {
            problems.push(shape::did_not_fit(path, &root, &error));
            (None, problems)
        }
    }
}

fn unknown_kind(path: &str, root: &tree::Node) -> Diagnostic {
    let kinds = format!("one of {}", kinds::KINDS.join(", "));
    match root.get("record") {
        Some(_) => {
            Diagnostic::problem("wrong-shape", Place::value(path, "/record"), "`record` names no kind of record")
                .label(format!("must be {kinds}"))
                .help("write the kind of record")
                .paste("record: check")
        }
        None => {
            Diagnostic::problem("missing-field", Place::value(path, ""), "file does not say which kind of record it is")
                .label("no `record` here")
                .help(format!("begin the file with its kind, {kinds}"))
                .paste("record: check")
        }
    }
}
