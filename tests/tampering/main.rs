//! Attacks on a logbook, done with the real git program, and what is said of each.
//!
//! A page (`editing.md` and the others) has an attack under every heading: lines for `sh`, run in a copy of a logbook of the
//! demo, and what the audit, a printed seal, signatures, the everyday commands and git say of it afterwards. Where audit,
//! seal or signatures do not tell, the page says why not. `GOLDEN=overwrite cargo test --test tampering` writes what is
//! said, and the table in DEVELOPERS.md; read the difference before you commit it.

#![cfg(unix)]
#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test reads its files, runs programs, and stops at what it did not expect"
)]

mod attack;
mod copy;
mod forged;
mod said;
mod signed;
mod table;

use attack::{Attack, Page};
use copy::Copy;
use said::{Answer, Said};
use std::collections::BTreeSet;
use std::sync::LazyLock;
use std::sync::atomic::{AtomicUsize, Ordering};

/// The pages, in the order of the table.
const PAGES: [&str; 8] =
    ["editing", "rewriting", "merging", "merging_back", "built_beside", "git_folder", "ground", "people"];

fn overwrites() -> bool {
    std::env::var("GOLDEN").is_ok_and(|value| value == "overwrite")
}

/// Every attack and what is said of it, in the order of the pages.
static DONE: LazyLock<Vec<(Attack, Said)>> = LazyLock::new(|| {
    let attacks: Vec<Attack> = PAGES.iter().flat_map(|name| Page::read(name).attacks).collect();
    let next = AtomicUsize::new(0);
    let mut done: Vec<(usize, Said)> = std::thread::scope(|scope| {
        let work = || {
            let mut own = Vec::new();
            while let Some(attack) = attacks.get(next.fetch_add(1, Ordering::Relaxed)) {
                let at = attacks.iter().position(|other| std::ptr::eq(other, attack)).unwrap();
                own.push((at, Said::of(attack)));
            }
            own
        };
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let workers: Vec<_> = (0..cores).map(|_| scope.spawn(work)).collect();
        workers.into_iter().flat_map(|worker| worker.join().unwrap()).collect()
    });
    done.sort_by_key(|(at, _)| *at);
    assert_eq!(done.len(), attacks.len());
    attacks.into_iter().zip(done.into_iter().map(|(_, said)| said)).collect()
});

#[test]
fn nothing_is_said_of_a_logbook_that_was_only_added_to() {
    let said = Said::in_copies(&Copy::new(), &Copy::signed());
    assert_eq!(said.audit.names, Vec::<String>::new());
    assert_eq!(said.clone.names, Vec::<String>::new());
    assert_eq!((said.seal.names, said.seal.refusal), (Vec::<String>::new(), None));
    assert_eq!((said.signatures.names, said.signatures.refusal), (Vec::<String>::new(), None));
    assert_eq!(said.validate.names, Vec::<String>::new());
    assert_eq!((said.left_out, said.git.as_str()), (Some(BTreeSet::new()), "fsck is content, status clean"));
}

#[test]
fn what_is_said_stands_on_the_pages() {
    let mut differing = Vec::new();
    for name in PAGES {
        let page = Page::read(name);
        let mut text = page.text.clone();
        for attack in &page.attacks {
            let (_, said) = DONE.iter().find(|(done, _)| done.title == attack.title).unwrap();
            let shown = said.to_string();
            if attack.shown.as_deref() != Some(shown.as_str()) {
                differing.push(format!("{name}: {}\n{shown}", attack.title));
                text = attack.with_shown(&text, &shown);
            }
        }
        if overwrites() {
            page.write(&text);
        }
    }
    assert!(overwrites() || differing.is_empty(), "{}", differing.join("\n"));
}

#[test]
fn what_is_not_found_says_why() {
    let is_told = |answer: &Answer| answer.refusal.is_some() || !answer.names.is_empty();
    let mut wrong = Vec::new();
    for (attack, said) in DONE.iter() {
        for (what, reason, answer) in [
            ("not found", &attack.reason, &said.audit),
            ("the seal holds", &attack.seal_holds, &said.seal),
            ("the signatures hold", &attack.signatures_hold, &said.signatures),
        ] {
            if reason.is_none() != is_told(answer) {
                wrong.push(format!("{}, {what}: {reason:?}, {answer:?}", attack.title));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_record_with_a_fault_is_counted_nowhere() {
    for (attack, said) in DONE.iter() {
        // What is only in the folder is not counted anyway: the report reads the history.
        if let Some(left_out) = said.left_out.as_ref().filter(|_| said.is_folder_as_committed) {
            // The report judges by the moment of the commit, at which a record can be of the future besides.
            let counted: Vec<&String> = said.faulty_records.difference(left_out).collect();
            assert_eq!(counted, Vec::<&String>::new(), "{}", attack.title);
        }
    }
}

#[test]
fn what_the_everyday_commands_find_the_audit_finds_too() {
    for (attack, said) in DONE.iter() {
        for path in &said.altered_by_validate {
            assert!(said.altered_by_audit.contains(path), "{}: {path}", attack.title);
        }
    }
}

#[test]
fn a_remembered_walk_answers_as_a_new_one() {
    for (attack, said) in DONE.iter() {
        assert!(said.is_same_without_memory, "{}", attack.title);
    }
}

#[test]
fn the_table_in_developers_md_is_the_one_that_comes_out() {
    let made = table::of(&DONE);
    if overwrites() {
        table::write(&made);
    }
    assert_eq!(table::read(), made, "`GOLDEN=overwrite cargo test --test tampering` writes it");
}
