//! Signatures: whether each commit is signed by the person who made it, with a key that was theirs on that day.
//!
//! Who made a commit is its committer. A key is one of theirs when the commits below say so: whoever has a key already cannot
//! bring another one with it; and a key that was somebody else's first counts for nobody else. Its days are those that
//! `people.yaml` says today, because only there a key can be revoked.
//! Without a signature somebody is asked about whose key was known by then, be it in another line of the history.

use super::people::People;
use super::words::{commit, made, place};
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Severity};
use crate::logbook::{PEOPLE_FILE, Step, is_kept};
use crate::record::Moment;
use crate::register::{KeyStanding, Person};
use crate::signature::{Check, Fingerprint, check};

/// How a commit stands with its signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SignatureStanding {
    /// By the person who made it, with a key in force.
    Good(Fingerprint),
    /// Not signed, and nobody could have been asked to.
    NotAsked,
    /// Anything else, which a diagnostic tells.
    Not(&'static str),
}

impl SignatureStanding {
    /// Returns one word for it, for scripts.
    pub fn word(&self) -> &'static str {
        match self {
            SignatureStanding::Good(_) => "good",
            SignatureStanding::NotAsked => "none",
            SignatureStanding::Not(rule) => rule,
        }
    }
}

/// Returns how each commit stands, and what is wrong with its signature. Each signature is worked out once.
pub(super) fn of(evidence: &Evidence<'_>) -> (Vec<SignatureStanding>, Vec<Found>) {
    let people = People::of(evidence);
    let mut problems = Vec::new();
    let mut signed = Vec::new();
    for (at, step) in evidence.trail.steps.iter().enumerate() {
        signed.push(match judge(evidence, &people, at, step) {
            Ok(signed) => signed,
            Err(Told(told)) => {
                let rule = told.rule;
                problems.push((Some(at), *told));
                SignatureStanding::Not(rule)
            }
        });
    }
    (signed, problems)
}

/// What there is to say of a commit whose signature is not as it should be.
struct Told(Box<Diagnostic>);

impl Told {
    fn of(diagnostic: Diagnostic) -> Told {
        Told(Box::new(diagnostic))
    }
}

fn judge(evidence: &Evidence<'_>, people: &People<'_>, at: usize, step: &Step) -> Result<SignatureStanding, Told> {
    let day = evidence.contents.day(Moment(step.commit.time));
    let by = commit(&step.commit);
    let email = &step.commit.committer_email;
    let in_force = |(_, person): &&(&str, &Person)| !person.keys_in_force(day).is_empty();
    let before = people.before(step, email);
    let keys = before.iter().filter(in_force).collect::<Vec<_>>();
    let had_key = !keys.is_empty();
    let Some(signed) = evidence.signed.get(at).and_then(Option::as_ref) else {
        let touches = step.changes.iter().any(|change| is_kept(&change.path) && change.is_own);
        let changes_people = step.changes.iter().any(|change| change.path == PEOPLE_FILE);
        return match touches {
            // Whoever has lost the key cannot sign. A change of the people is not theirs to keep, while there is anybody else:
            // in their name anybody could bring another key.
            true if keys.iter().any(|(id, person)| people.still_counts(id, person, day))
                || had_key && changes_people && people.has_others(step, email, day) =>
            {
                Err(missing(step, &format!("a key was in force on {day}"), Severity::Problem))
            }
            true if had_key => {
                Err(missing(step, &format!("the key was ended later, with a day before {day}"), Severity::Finding))
            }
            // Made where the key was not known yet, or where it was taken off the list before.
            true if people.earlier(&evidence.trail.steps, at, email).iter().any(|one| in_force(&one)) => {
                Err(missing(step, &format!("a key was in force on {day}"), Severity::Finding))
            }
            _ => Ok(SignatureStanding::NotAsked),
        };
    };
    let key = match check(&signed.payload, &signed.armored) {
        Check::Good(key) => key,
        Check::Bad(key, why) => {
            return Err(Told::of(
                Diagnostic::problem("signature-bad", place(step), format!("signature of {by} does not hold"))
                    .label(format!("made {}; {why}", made(step)))
                    .help(format!(
                        "the commit was changed after it was signed with {key}; ask who did, and keep a copy"
                    ))
                    .paste(format!("git show --format=fuller {}", step.commit.short())),
            ));
        }
        // Anything could be put in the place of a signature; whoever has a key is asked for theirs.
        Check::Unknown(_) if had_key => {
            return Err(missing(step, &format!("a key was in force on {day}"), Severity::Problem));
        }
        Check::Unknown(why) => {
            return Err(Told::of(
                Diagnostic::finding("signature-not-judged", place(step), format!("signature of {by} cannot be judged"))
                    .label(format!("made {}; {why}", made(step)))
                    .help("sign with an SSH key of the kind ed25519, or judge it with the program that made it")
                    .paste(format!("git verify-commit {}", step.commit.short())),
            ));
        }
    };
    let mut known = before.clone();
    let has_any = |(_, person): &(&str, &Person)| !person.signing_keys.is_empty();
    // The first key that somebody ever has may come with the commit that is signed with it.
    if !known.iter().copied().chain(people.earlier(&evidence.trail.steps, at, email)).any(|one| has_any(&one)) {
        known.extend(people.own(at, email));
    }
    let theirs = known.into_iter().find(|(id, person)| person.has_key(&key) && people.is_key_of(at, &key, id));
    let says = theirs.map(|(id, then)| people.with_key_today(id, &key).unwrap_or(then));
    match says.and_then(|person| person.standing_of_key(&key, day)) {
        Some(KeyStanding::InForce) => Ok(SignatureStanding::Good(key)),
        Some(KeyStanding::Revoked(revoked)) => Err(Told::of(
            Diagnostic::problem("signature-of-revoked-key", place(step), format!("{by} is signed with a revoked key"))
                .label(format!("made {}; revoked {}: {}", made(step), revoked.on, revoked.because.trim()))
                .help(format!(
                    "ask {} whether this is theirs; whoever has the key can sign in their name",
                    step.commit.committer_name
                ))
                .paste(format!("git show --format=fuller {}", step.commit.short())),
        )),
        Some(KeyStanding::NotYet(first)) => Err(out_of_days(step, &format!("its first day is {first}"))),
        Some(KeyStanding::NoLonger(last)) => Err(out_of_days(step, &format!("its last day was {last}"))),
        None => {
            let whose = match people.owner(at, &key) {
                Some(owner) if owner == step.commit.committer_name => {
                    "with a key that the commits before it do not have".to_owned()
                }
                Some(owner) => format!("with the key of {owner}"),
                None => "with a key that `people.yaml` does not have".to_owned(),
            };
            Err(Told::of(
                Diagnostic::problem("signature-of-unknown-key", place(step), format!("{by} is signed {whose}"))
                    .label(format!("made {}; key {key}", made(step)))
                    .help(format!(
                        "ask {}; a key is put into `people.yaml` before it is used",
                        step.commit.committer_name
                    ))
                    .paste(format!("git show --format=fuller {}", step.commit.short())),
            ))
        }
    }
}

fn missing(step: &Step, why: &str, severity: Severity) -> Told {
    let headline = format!("{} is not signed, and {} has a key", commit(&step.commit), step.commit.committer_name);
    let mut told = Diagnostic::problem("signature-missing", place(step), headline)
        .label(format!("made {}; {why}", made(step)))
        .help(format!("ask {} whether this is theirs; the name alone could be anybody's", step.commit.committer_name))
        .paste(format!("git show --format=fuller {}", step.commit.short()));
    told.severity = severity;
    Told::of(told)
}

fn out_of_days(step: &Step, days: &str) -> Told {
    let headline = format!("{} is signed with a key on a day for which it does not count", commit(&step.commit));
    Told::of(
        Diagnostic::problem("signature-out-of-days", place(step), headline)
            .label(format!("made {}; {days}", made(step)))
            .help("put the days of the key right in `people.yaml` if they are wrong there; otherwise ask whose commit it is")
            .paste(format!("git show --format=fuller {}", step.commit.short())),
    )
}
