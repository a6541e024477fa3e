//! Sections that stand in every report: what it was built from, the cautions, the lines to sign on, and on the last page
//! how each number is made.

use super::basis::Basis;
use super::document::{Block, Column, Section, Table};
use super::seals;
use crate::signature::WITHOUT_KEYS;

/// The cautions that stand in every report and in the README.
pub const CAUTIONS: [&str; 10] = [
    "This is an aid to keeping records. It is not a medical device and gives no clinical advice.",
    "It does not test, clear or certify any machine. A pass is what the named people recorded.",
    "The maker's instructions for use and local policy come first, always.",
    "Limits are examples from the sources named beside them. The responsible clinician and the clinical engineer must approve them for this hospital.",
    "Checks are done only by trained staff who are licensed or authorised to do them.",
    "A failed or missing check never stands in the way of emergency care. The clinician decides.",
    "A check does not reveal every defect.",
    "Records hold no patient's data, and must not.",
    "This report is not in itself evidence that any accreditation requirement is met. Serious events are reported by law elsewhere, not by this program.",
    "A name in a file is not a signature, and whoever can write to the history can rewrite it. Protect it and keep a copy outside.",
];

/// What each number is: its name in the report, and how it is made.
const DEFINITIONS: [(&str, &str); 37] = [
    (
        "Machine in service",
        "A machine that belongs to those in use, is not withheld by a fault, and has no restriction past its last day, at the moment the report looks back from. It does not say that today's check was done.",
    ),
    (
        "Check expected",
        "A machine-day on which the calendar expects the machine in use, less the days on which it was withheld from midnight to midnight. One check before the first case is expected on each. A check on a day on which the machine was withheld all day is neither expected nor unexpected. A day on which it was withheld only from some hour on is expected like any other: without a check it counts as missing.",
    ),
    (
        "Check done",
        "A check before the first case, or a complete one after service, finished on that day in the site's time zone and before the machine's first check before a patient on that day, with every item that applies answered by pass or fail. A check that failed was done. Incomplete: a check that left an item undone, or one that was completed only after a patient's check.",
    ),
    (
        "When counting begins",
        "With the day of the logbook's first record, or with the day on which a machine is in use where that is later. Nothing before is counted, as done, as missing or as time.",
    ),
    (
        "What single records tell",
        "Emergency starts: checks in which only what could not wait was done. The complete check followed when one was finished after it; more uses are checks before a patient and further emergency starts before that. People: a step counts as done by others when the people of the check who were with the hospital on that day do not have the roles that its procedure asks for. Numbers hard to believe: those outside what the gauge can show; the sheet of questions says how far that is.",
    ),
    (
        "Late",
        "Written down later after the work than the site allows. A day is late when any of its checks before the first case or after service was late; what was done stays done.",
    ),
    (
        "Failed check",
        "A check with at least one item that failed, by its limit or by the word of the person who did it. The share is failed checks of all checks before use.",
    ),
    (
        "New fault found by a check",
        "A check before use that failed in an item which no fault open at that moment names. A defect that fails the check of every morning until it is repaired is found once. The share of such checks, not of faults, is what months are compared by; a fault found in another way than by a check before use is not in it.",
    ),
    (
        "Fault",
        "The state of a machine after a failure, from the record that says it was found to the release that names it. Each fault counts once, however many checks it failed and in whatever way it was found. A fault found exactly at midnight belongs to the day that begins.",
    ),
    (
        "Machine-day",
        "A day on which a check of a machine was expected. Days on which it was withheld throughout are not machine-days.",
    ),
    (
        "Faults per 1000 machine-days",
        "Faults found, divided by machine-days, times 1000; only of machines of which the calendar says when they are expected. Not printed below 30 machine-days. Limits of Garwood (Biometrika 1936; 28: 437–442): exact if faults come independently of each other at one rate.",
    ),
    (
        "95 % interval of a share",
        "The exact limits of Clopper and Pearson (Biometrika 1934; 26: 404–413), two-sided. Over many months they hold the true share at least 95 times in 100 if checks fail independently of each other. One defect can fail several checks; the true uncertainty is then larger than the limits show. All limits are rounded outward, once, when they are printed.",
    ),
    (
        "Different from before",
        "Fisher's exact test (J R Stat Soc 1935; 98: 39–82), two-sided, of the shares of checks that found a new fault. A difference is signalled when chance alone would show one as large less than once in 200 times (p < 0.005). Everything else is \"could not tell\", and the report says how often a doubled share would be missed. Beside p stands how many times the share before it is, with the exact limits of a ratio of two rates. With fewer than five such checks in all, and with less than five months before the last three, no comparison is made. Where the records are younger than the months before, it says from which day on they begin. In the strip of thirteen months, \"not signalled\" are the counts that this test, of one month against the twelve others, would not signal; only the month of the report is tested.",
    ),
    (
        "Last three faults",
        "The machine-days from the fault before the last three to the last, both days in it, against the rate of the faults before them in the twelve months. If faults come at one rate, the span's share of the whole follows a beta distribution, so that the uncertainty of the rate before is in the chance that is printed. At least five earlier faults are needed. All faults count, however found.",
    ),
    (
        "False alarms to expect",
        "The sum over the tests that were run of the chance that each signals although nothing has changed. For comparisons of shares it is worked out exactly from the counts; for machines, and for drifts, it is the chance of any false alarm among them. Each machine and each limit counts as a test.",
    ),
    (
        "Machines beside each other",
        "Each machine's faults against those of all others over the twelve months to the end of the period: exact conditional test of two rates (Przyborowski and Wilenski, Biometrika 1940; 31: 313–323), p as twice the smaller tail, adjusted for the number of machines by Holm (Scand J Stat 1979; 6: 65–70). A machine differs when that p is below 0.05. The multiple of the others' rate and its 95 % interval are of each machine by itself, not adjusted. The bars of the picture are the counts within which 95 of 100, and 998 of 1000, machines at the others' rate lie (exact Poisson limits; Spiegelhalter, Stat Med 2005; 24: 1185–1202); they take that rate as known. How often a doubled rate would be missed is worked out for the machines with the most and the fewest machine-days.",
    ),
    (
        "Drawn to all",
        "An estimate of a machine's rate that borrows from all machines: few faults of its own draw it toward the common rate (gamma–Poisson, fitted by maximum likelihood). Its limits leave the uncertainty of the common rate out.",
    ),
    (
        "Response, waiting, work, proving",
        "The parts of a fault's time, by the moments of ISO/TR 12489:2013. Response: from found to the first work begun. Work: the time in which some repair was going on, two at once counted once, less the waiting that a repair record names when it fits between its beginning and its end. Waiting that does not fit there was before or between the work: it is taken from the time between the works, and what is left of that is waiting not explained. Waiting before the first work is part of the response. Proving: from the last work finished to the release. Of work that was not finished by the end of the report only its beginning counts, and work begun after the release not at all.",
    ),
    (
        "Where the time went",
        "The parts added up over the released faults of the section, each second in one part; a fault released without any work on record stands apart. A sum and no estimate, so without interval. No mean is taken: the faults that last longest are not released yet. Hours and shares are rounded one by one.",
    ),
    (
        "Time to return to service",
        "From found to released, with all waiting in it. It is the time of each fault: a machine with two faults is back in service only when both are released. Looked at are the faults that withheld a machine and were found in the twelve months to the end of the period, or since the logbook's first record when that is younger; faults that only restricted a machine are not counted. A fault still open counts as lasting at least as long as it has been open, and one whose machine was taken out of use as lasting at least until then. With fewer than five released faults nothing is estimated; each is listed.",
    ),
    (
        "Median, and 90 % released",
        "The times by which half and nine tenths of the faults are released, by the product-limit method of Kaplan and Meier (J Am Stat Assoc 1958; 53: 457–481) in exact fractions. Where the curve stands at exactly one half, or exactly one tenth still withheld, the earlier time is given. 95 % interval of Brookmeyer and Crowley (Biometrics 1982; 38: 29–41) with limits on the scale of ln(−ln) and Greenwood's variance (1926), which rest on large numbers and are rough below a dozen faults. What is not reached is \"more than\" the longest time for which a fault was followed.",
    ),
    (
        "Released within the target",
        "The share of faults released within the hospital's own target, from the same curve with the same kind of limits at that time; exact ones of Clopper and Pearson where none or all are released by then. A fault that is open and younger than the target counts for as long as it was followed, and is not judged when faults are counted one by one.",
    ),
    (
        "Mean over the first 30 days",
        "The mean of the time withheld within 30 days of the day a fault was found: a fault that lasts longer counts with 30 days. It is the area under the curve (Irwin, J Hyg 1949; 47: 188–189), and is given only when a fault was followed so long or the one followed longest is released. Its limits assume no shape of the times and are wide: they are those of Gaffke (2005), as described by Learned-Miller and Thomas (arXiv:1905.06208), with each fault that is not released as short and as long as it can be. No proof is known that they always hold; none of the simulations missed more often than allowed.",
    ),
    (
        "Response, median",
        "The time by which work has begun on half of the same faults, by the same method. Faults on which no work has begun count for as long as they were followed, those released without work until their release. At least five faults with work begun are needed.",
    ),
    (
        "Time withheld",
        "From found to released of the faults that withheld a machine, cut to the period, each moment once however many faults it had. \"Not withheld\" is the rest of the time in which the machine belonged to those in use, day and night, rounded down. Instants are counted: a day on which the clocks change has 23 or 25 hours.",
    ),
    (
        "Fault that came back",
        "A fault on the same item of the same machine, found within 30 days of a release. Of the faults released in the twelve months only those count whose 30 days are over and of which a record names an item.",
    ),
    ("Cause", "What the last repair of a fault names, of the faults found in the twelve months that had a repair."),
    (
        "Planned service",
        "Due on the day that the service before it named; in time when a service that sets a later day was finished on or before that day. Work that leaves the day as it was is not that service. One that fell due is counted in the period of its day.",
    ),
    ("Counts and hours", "A census of what was recorded, not a sample: they carry no interval."),
    (
        "Verdict",
        "Computed from the readings by the revision of the procedure that the check followed and the limits of the machine on that day. It is not stored in the records.",
    ),
    (
        "Series of readings",
        "The readings of one item of one machine over the last 26 weeks (of a pressure that was held: its fall), the last of each day, from checks of every occasion. A series begins anew after a service, after a repair or release of a fault that names the item or whose check failed in it, and after a step to the safe side by more than a fifth of the limit and five usual steps, such as a cylinder that was changed without a record. Only readings since then count. Each bound of a limit, as it stood on the day of the newest reading, is looked at for itself.",
    ),
    (
        "Drift toward a limit",
        "The median of the slopes between every two readings (Theil 1950), with the limits of Sen (J Am Stat Assoc 1968; 63: 1379–1389). It is a drift only with at least 8 readings over 28 days, a 95 % interval that excludes 0 and leads toward the limit, and a p of Kendall's test below 0.05 divided by the number of limits tested, so that a whole report gives at most 0.05 false dates. Readings of neighbouring days are not independent: how much each resembles the one before is estimated, and interval and p are widened by it (Bayley and Hammersley 1946; Yue and Wang 2004). What swings over weeks or with the seasons is not covered. A drift of less than the step of the gauge is not seen.",
    ),
    (
        "Date of a drift",
        "Where a straight line with as many readings above as below meets the limit, turned around the median of the days: “about” with the slope itself, “not before” with the steeper end of its interval, rounded down to the day. The point that the line turns about counts as certain, so that “not before” is too late in up to about 6 of 100 dates. No date is given farther ahead than twice the days that the readings span. A date is not a promise: oxygen cells and batteries often fail suddenly at the end, so “not before” holds only if the wear goes on as it did. A reading beyond the limit is a failed item and no drift.",
    ),
    (
        "Number of a seal",
        "The SHA-256 (FIPS 180-4) of the seal's file. In that file stand the roots of two trees of hashes (RFC 6962, section 2.1), over the records of the month and over every file of the logbook, with the number of the seal before. The foot of each page shows its first 20 of 64 digits.",
    ),
    (
        "Limits of Wilson (on request)",
        "Of a share (J Am Stat Assoc 1927; 22: 209–212). Narrower than the exact limits; on average over many shares they hold the true one about 95 times in 100, for some small shares only 84 times. So the exact ones are those of this report.",
    ),
    (
        "Machine-days between faults (on request)",
        "Machine-days of the twelve months divided by the faults found in them, of machines of which the calendar says when they are expected: the rate of faults turned over, with the exact limits for a watch whose end is set beforehand (Epstein and Sobel, J Am Stat Assoc 1953; 48: 486–502). Given only with five faults or more, and when neither of two tests sees a trend at p = 0.05: the exact Laplace test, and that of MIL-HDBK-189. Where nothing changes, one of the two sees a trend all the same in at most 10 of 100 reports. Each fault stands in the middle of the machine-day on which it was found, or of the next one, on the clock of its own machine.",
    ),
    (
        "Growth (on request)",
        "The power of time with which faults come, by the law of Crow (1974) on the same clocks, each fault as a part of its machine's time: (r − 1) divided by the sum of ln(T/t), with exact limits by chi-square, for the same power in all machines. 1 is an even pace. The machine-days between faults at the end are all machine-days divided by the faults and the power, with the limits of Crow (1982), exact or wider. The law is assumed, not found, and says nothing of the time to come.",
    ),
];

/// Returns the cautions, the signatures, and last of all how every number is made.
pub fn sections(basis: &Basis<'_>) -> Vec<Section> {
    let section = |id: &str, title: &str, blocks, new_page| Section {
        id: id.to_owned(),
        title: title.to_owned(),
        blocks,
        new_page,
    };
    let mut built = vec![Block::List(provenance(basis))];
    if !basis.site.report.standards.is_empty() {
        built.push(Block::Heading("Standards this binder answers to, as the hospital states them".to_owned()));
        built.push(Block::List(basis.site.report.standards.clone()));
    }
    let signatures = if basis.site.report.signatures.is_empty() {
        vec!["Responsible clinician".to_owned(), "Clinical engineer".to_owned()]
    } else {
        basis.site.report.signatures.clone()
    };
    let mut roles = vec!["Who made this summary".to_owned()];
    roles.extend(signatures);
    let ink = "A name in a file is not a signature: these lines are for ink.".to_owned();
    let definitions = Block::Table(Table {
        caption: String::new(),
        columns: ["Number", "What it is and how it is made"].map(Column::left).to_vec(),
        rows: DEFINITIONS.iter().map(|(name, text)| vec![(*name).to_owned(), (*text).to_owned()]).collect(),
        total: false,
    });
    vec![
        section("built-from", "What this report was built from", built, false),
        section("cautions", "Cautions", vec![Block::List(CAUTIONS.map(str::to_owned).to_vec())], false),
        seals::section(basis),
        section("signatures", "Signatures", vec![Block::Paragraph(ink), Block::Signatures(roles)], true),
        section("method", "How each number is made", vec![definitions], true),
    ]
}

pub(super) fn provenance(basis: &Basis<'_>) -> Vec<String> {
    let mut lines = match &basis.built_from {
        Some(built) => vec![
            format!("Commit {} of {}.", built.commit, basis.clock(built.time)),
            if basis.period_is_over() {
                "The period was over when this report was made, so it looks back from the end of the period. Made again at any later time from the same commit, with the same version of the program, it is the same to the byte."
            } else {
                "The period was not over when this report was made, so it looks back from the moment of the commit, or from an earlier one that was asked for. Made again from the same commit after the end of the period, it looks back from that end."
            }
            .to_owned(),
            "Whether a record's time lies in the future is judged by the moment of this commit, or of the record's own where that is later; not by a clock.".to_owned(),
        ],
        None => vec!["Files in no git history: nothing shows whether they were changed. This is a draft.".to_owned()],
    };
    lines.push(format!(
        "Records that count, over the logbook's whole life: {}; left out: {}.",
        basis.contents.counting().count(),
        basis.left_out.len()
    ));
    lines.push(format!(
        "What happened {} {} is not counted; records that were written down later about the time before it are.",
        if basis.period_is_over() { "at or after" } else { "after" },
        basis.clock(basis.as_of)
    ));
    if basis.contents.people.values().all(|person| person.signing_keys.is_empty()) {
        lines.push(WITHOUT_KEYS.to_owned());
    }
    lines.push(format!("Times are those of the zone {}.", basis.site.time_zone.name()));
    lines.push(format!("pinindex {}.", env!("CARGO_PKG_VERSION")));
    lines
}
