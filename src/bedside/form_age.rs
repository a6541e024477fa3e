//! Whether the form of a check was still that of the logbook when the check came in.
//!
//! A page or a paper is made once and filled in later. Takes a check that was filled in on one, and gives a finding when
//! the sheet that the logbook makes for that revision and machine asks for other things now. It is told once, when the
//! record is taken in: the limits of a machine may be put right afterwards, and an old form would then be called wrong
//! that was right on its day.

use super::form_code;
use crate::contents::{Contents, Filed};
use crate::diagnostic::{Diagnostic, Place};
use crate::logbook::short_commit;
use crate::procedure::Sheet;
use crate::record::{Body, Form, FormOn};

/// Returns the finding of a form that is out of date, or that was made from another history; nothing when it is neither.
///
/// `has_commit` says whether the logbook's history has a commit. A procedure or machine that is not known is told elsewhere.
pub fn finding(contents: &Contents, filed: &Filed, has_commit: &dyn Fn(&str) -> bool) -> Option<Diagnostic> {
    let Body::Check(check) = &filed.record.body else { return None };
    let form = check.form.as_ref()?;
    let id = &filed.record.common.machine;
    let procedure = contents.procedure_of(check)?;
    let machine = contents.machine_of(id, check)?;
    let code = form_code::of(procedure, id, &Sheet::of(procedure, machine));
    let stranger = form.commit.as_deref().filter(|commit| !has_commit(commit));
    let called = format!("{} for the check of `{id}` on {}", called(form), filed.record.when().short());
    if form.code != code {
        let (on, at) = (word(form), Place::value(&filed.path, "/form/code"));
        let finding = Diagnostic::finding("form-out-of-date", at, format!("{called} is out of date"))
            .label(format!("the {on} of revision {} is now {code}", check.revision))
            .help(format!(
                "make a new {on} and throw the old one away; look whether anything that the old one did not ask for \
                 must still be done"
            ));
        return Some(match stranger {
            Some(commit) => finding.also(Place::value(&filed.path, "/form/commit"), not_here(commit)),
            None => finding,
        });
    }
    let headline = format!("{called} was made from another history than this logbook's");
    let at = Place::value(&filed.path, "/form/commit");
    Some(Diagnostic::finding("form-out-of-date", at, headline).label(not_here(stranger?)).help(format!(
        "look whether it belongs to another logbook; it asked for the same as the {} of this one, so that nothing was \
         missed",
        word(form)
    )))
}

fn not_here(commit: &str) -> String {
    format!("this logbook has no commit {}", short_commit(commit))
}

fn word(form: &Form) -> &'static str {
    match form.on {
        FormOn::Page => "page",
        FormOn::Paper => "paper",
    }
}

fn called(form: &Form) -> String {
    match form.made {
        Some(made) => format!("the {} made on {}", word(form), made.short()),
        None => format!("the {}", word(form)),
    }
}
