//! What the sheet of questions says of itself: what it is for, what it cannot show, how each question is found.

use crate::report::basis::Basis;
use crate::report::document::{Block, Section};
use crate::report::notes::provenance;

/// What the sheet is for, and what it cannot show.
pub const WHY: [&str; 3] = [
    "This sheet exists because a binder is worth as much as its records. It looks for records that contradict themselves, that repeat each other, or that follow a pattern which chance hardly makes. Each is worth asking about and no more: most have an innocent reason, such as a clock that was wrong, a check written down twice, a gauge that sticks, or a form that takes longer than anybody has.",
    "It cannot show that anybody did anything wrong. Honest people write the same number on many days when a gauge is coarse or hardly moves, so that repeats are weighed against the history of the same machine. Nor can it show that a record without a question is true.",
    "Look at the machine, its gauges and the form first. Nothing here is counted by person. The sheet is no part of the binder unless the hospital wants it there.",
];

/// What would be enough to look for copies, as a part of a sentence.
pub const TOO_FEW_CHECKS: &str =
    "that takes 22 checks or more by the same procedure on the same machine, with at least two values that vary";

/// The same for readings.
pub const TOO_FEW_READINGS: &str = "streaks take ten readings of an item and 20 in the twelve months before; fifth marks take 50 readings, 50 on other machines, and a stated step of the gauge";

/// How each kind of question is found.
const METHODS: [&str; 9] = [
    "Shorter than its holds: the times held in a check, failed tries included, are longer together than the check lasted, counted once for each person who did it. Times written to the whole minute may be a minute off. Looked at: checks in which something is held for a time.",
    "Two places: two records name the same person, and nobody else, on different machines at the same time, for a minute or longer. Where one of them is a repair or a service, which may be left for a while, it is only perhaps so. Overlaps with a second name on a record are counted and not asked about. Repairs that name a wait are left out. Looked at: checks, repairs and services.",
    "Finer than the gauge: a reading that is no whole number of the steps which the machine's file states for that gauge, in the same unit. Looked at: readings whose gauge has a stated step.",
    "Hard to believe: a number outside what its gauge can show. A cylinder: below zero, or above 1.25 times the pressure of its label (twice for a gas that is liquid in it). A pipeline: below zero, or above five times the usual 400 kPa (common practice). A vacuum: above zero, or deeper than the air's own pressure of 101.325 kPa (ISO 2533:1975) with a tenth more for the weather. Any other gauge: the same depth, or 1.25 times 300 bar. A pressure that is watched: above five times the pressure at which it is watched, or a rise of more than a tenth. A time: above one hour. The factors are our own choice. Looked at: answers that passed or failed.",
    "Equal to the check before: every number of a check equals that of the check before it, of the same machine and procedure. Looked at: checks with the same items as the check before, and with at least two values that vary. By chance: for each value, how often it stayed the same in the twelve months before, (k + 1) of (n + 1); their product is the chance of one copy, or the share of copies in those twelve months when that is larger; the sum over the checks is what chance makes at most. The chance of as many copies is the exact upper tail of the Poisson binomial distribution, that of as many in a row the exact chance of such a run; twice the smaller one counts. The product takes the values of one day to be independent of each other.",
    "Streak: the same reading in a row. Looked at: readings of one place of one machine, at least ten in the period, with at least 20 neighbours to compare in the twelve months before. The chance is the larger of two: that of a run of repeats as often as the machine repeated itself in those twelve months (Feller, An Introduction to Probability Theory 1968, volume 1), and that of such a run when the period's own readings are put in any order.",
    "Fifth marks: readings on every fifth step of a gauge, over the period and the twelve months before, beside the same item on the other machines with the same step, by Fisher's exact test, one-sided. Looked at: machines with at least 50 readings, others with at least 50 together, and a spread of at least five steps. A reading counts once until it changes.",
    "Copies, streaks and fifth marks make one family of chances. What is asked about is chosen so that at most 5 in 100 such questions are expected to be chance alone (Benjamini and Hochberg, J R Stat Soc B 1995; 57: 289–300), and so that honest records give any at most about 5 times in 100 sheets.",
    "A record that was corrected or voided is not looked at; its correction is. A record committed before the work was finished is refused, so that there is none to ask about.",
];

/// Returns the section on method and origin.
pub fn methods(basis: &Basis<'_>) -> Section {
    Section {
        id: "method".to_owned(),
        title: "How each question is found".to_owned(),
        blocks: vec![
            Block::List(METHODS.map(str::to_owned).to_vec()),
            Block::Heading("What this sheet was built from".to_owned()),
            Block::List(provenance(basis)),
        ],
        new_page: true,
    }
}
