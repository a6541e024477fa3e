//! The people of the invented hospital. Names are put together from two lists; none is meant to be anybody.
//!
//! Takes the size of the hospital and its first and last day, and gives the file of people and, for a day, who of a
//! role is there.

use super::clock::days_later;
use crate::record::Date;
use crate::register::{Person, Role};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// Given names, each with the letter its id begins with.
const GIVEN: [(&str, char); 16] = [
    ("Adaeze", 'a'),
    ("Ilse", 'i'),
    ("Rashid", 'r'),
    ("Hanako", 'h'),
    ("Thandeka", 't'),
    ("Paulo", 'p'),
    ("Žofie", 'z'),
    ("Bogdan", 'b'),
    ("Marama", 'm'),
    ("Keld", 'k'),
    ("Lucía", 'l'),
    ("Samuel", 's'),
    ("Eilidh", 'e'),
    ("Farrokh", 'f'),
    ("Jonas", 'j'),
    ("Noor", 'n'),
];

/// Family names with the word their ids use.
const FAMILY: [(&str, &str); 48] = [
    ("Brinkhoven", "brinkhoven"),
    ("Okwuanyi", "okwuanyi"),
    ("Tamimov", "tamimov"),
    ("Arakashiro", "arakashiro"),
    ("Mbelwane", "mbelwane"),
    ("Serradinho", "serradinho"),
    ("Dvorníčková", "dvornickova"),
    ("Wierzchalski", "wierzchalski"),
    ("Tewhareiti", "tewhareiti"),
    ("Østermarken", "ostermarken"),
    ("Montbrellas", "montbrellas"),
    ("Adjeiboah", "adjeiboah"),
    ("MacRuaridh", "macruaridh"),
    ("Golshanfar", "golshanfar"),
    ("Rautavirtanen", "rautavirtanen"),
    ("Haddawiyeh", "haddawiyeh"),
    ("Venkatarao", "venkatarao"),
    ("Kuusisalmi", "kuusisalmi"),
    ("Lindenthaler", "lindenthaler"),
    ("Oyeladipo", "oyeladipo"),
    ("Figueirol", "figueirol"),
    ("Grabiecki", "grabiecki"),
    ("Sørvågnes", "sorvagnes"),
    ("Tsaoyama", "tsaoyama"),
    ("Abernethyson", "abernethyson"),
    ("Castelbrun", "castelbrun"),
    ("Djordjanović", "djordjanovic"),
    ("Eriksgård", "eriksgard"),
    ("Fofanameh", "fofanameh"),
    ("Gantulgara", "gantulgara"),
    ("Hrušovar", "hrusovar"),
    ("Ilunbéki", "ilunbeki"),
    ("Jayasundera", "jayasundera"),
    ("Kahananui", "kahananui"),
    ("Leclairmont", "leclairmont"),
    ("Mwangazi", "mwangazi"),
    ("Nakamizo", "nakamizo"),
    ("Orbeliashvili", "orbeliashvili"),
    ("Petrakidou", "petrakidou"),
    ("Quispetari", "quispetari"),
    ("Rosenhagen", "rosenhagen"),
    ("Stefanescul", "stefanescul"),
    ("Thorgrímsen", "thorgrimsen"),
    ("Uddinpur", "uddinpur"),
    ("Vandermolen", "vandermolen"),
    ("Wanjikira", "wanjikira"),
    ("Yilmazer", "yilmazer"),
    ("Zelenkova", "zelenkova"),
];

/// Returns everyone, by id.
pub fn all(machines: usize, first: NaiveDate, last: NaiveDate) -> BTreeMap<String, Person> {
    let more = machines.saturating_sub(6);
    let roles = [
        (Role::Provider, 5 + more * 2 / 3),
        (Role::Technician, 4 + more / 3),
        (Role::Biomed, 2 + more / 17),
        (Role::Auditor, 1),
    ];
    let roles = roles.iter().flat_map(|(role, number)| std::iter::repeat_n(*role, *number));
    let mut people: BTreeMap<String, Person> = GIVEN
        .iter()
        .cycle()
        .zip(&FAMILY)
        .zip(roles)
        .map(|(((given, letter), (family, word)), role)| {
            let id = format!("{letter}-{word}");
            let email = format!("{letter}.{word}@sankt-orlan.example");
            (
                id,
                Person {
                    name: format!("{given} {family}"),
                    role,
                    email,
                    from: None,
                    until: None,
                    signing_keys: Vec::new(),
                },
            )
        })
        .collect();
    // One technician leaves half-way and another one comes: old records go on naming the first.
    let change = days_later(first, (last - first).num_days() / 2);
    let mut technicians = people.values_mut().filter(|person| person.role == Role::Technician);
    if let Some(leaving) = technicians.next() {
        leaving.until = Some(Date(change));
    }
    if let Some(coming) = technicians.next() {
        coming.from = Some(Date(days_later(change, 1)));
    }
    people
}

/// Returns the ids of those in a role who are there on a day, in a fixed order.
pub fn there(people: &BTreeMap<String, Person>, role: Role, day: NaiveDate) -> Vec<&str> {
    people
        .iter()
        .filter(|(_, person)| person.role == role && person.is_here_on(Date(day)))
        .map(|(id, _)| id.as_str())
        .collect()
}
