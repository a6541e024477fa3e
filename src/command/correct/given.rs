//! What may be given on the command line: the fields of every kind of record, under the names they have where that kind is
//! written down. Which of them a record has is known once it is read.

use crate::bedside::field::SET;
use crate::bedside::given::Given;
use crate::command::show::Format;
use crate::logbook::Trouble;
use std::path::PathBuf;

/// Put right what was wrong in a record, by a new one that names it; both stay
#[derive(clap::Args, Debug)]
#[command(after_help = "Examples:\n  pinindex correct theatre-1\n  \
    pinindex correct records/2026/11/25/065840-theatre-1.check.yaml --set spare-oxygen-cylinder=\"1500 psi\" \\\n    \
    --because \"typed as 1050; the gauge and the paper say 1500\" --by m-okafor\n  \
    pinindex correct records/2026/11/25/065840-theatre-1.check.yaml --from as-it-should-be.yaml --by m-okafor\n\n\
    What is not given stays as it was written. At a terminal the record is shown line by line.\n\
    `-` takes an answer away that may be missing. Times: 0705 on the day of the record,\n\
    \"2026-11-25 07:05\", or with the offset.")]
pub struct Arguments {
    /// The record's path, or a machine to choose from its latest records
    #[arg(value_name = "RECORD|MACHINE")]
    pub named: String,

    /// Why it is corrected: what was wrong, and how it is known
    #[arg(long, value_name = "TEXT")]
    because: Option<String>,

    /// Who corrects it
    #[arg(long, value_name = "ID")]
    by: Option<String>,

    /// The whole record as it should have been
    #[arg(long, value_name = "FILE")]
    pub from: Option<PathBuf>,

    /// The machine it is about, where another one was meant
    #[arg(long, value_name = "ID")]
    machine: Option<String>,

    /// Who did the work
    #[arg(long, value_name = "ID", value_delimiter = ',')]
    done_by: Vec<String>,

    /// Anything else worth knowing; never a patient's name or number
    #[arg(long, value_name = "TEXT")]
    remarks: Option<String>,

    /// When the check, repair or service was begun
    #[arg(long, value_name = "TIME")]
    started: Option<String>,

    /// When the check, repair or service was finished
    #[arg(long, value_name = "TIME")]
    finished: Option<String>,

    /// Check: one answer, such as suction=fail, pipeline-pressure/oxygen="51 psi", battery="not done: REASON"
    #[arg(long = "set", value_name = "PLACE=ANSWER")]
    sets: Vec<String>,

    /// Check: the procedure and revision that were followed, such as daily/2
    #[arg(long, value_name = "ID/N")]
    procedure: Option<String>,

    /// Check: whether it was an emergency start
    #[arg(long, value_name = "yes|no")]
    emergency_start: Option<String>,

    /// Fault: the failed check that showed it, or in-use, planned-maintenance, self-test, reported
    #[arg(long, value_name = "PATH|WAY")]
    found_during: Option<String>,

    /// Fault: the items of the failed check that it is about
    #[arg(long, value_name = "ITEM", value_delimiter = ',')]
    items: Vec<String>,

    /// Fault: when it was found
    #[arg(long, value_name = "TIME")]
    found: Option<String>,

    /// Fault: what is wrong, as seen
    #[arg(long, value_name = "TEXT")]
    what: Option<String>,

    /// Fault: whether the machine may be used
    #[arg(long = "use", value_name = "withheld|restricted")]
    r#use: Option<String>,

    /// Fault: how a restricted machine may still be used
    #[arg(long, value_name = "TEXT")]
    restriction: Option<String>,

    /// Fault: the last day of the restriction
    #[arg(long, value_name = "DATE")]
    until: Option<String>,

    /// Fault: who sees to a restricted machine
    #[arg(long, value_name = "ID")]
    owner: Option<String>,

    /// Repair, release: the fault; of a release it may be given several times
    #[arg(long, value_name = "PATH")]
    fault: Vec<String>,

    /// Repair: the cause, one of those that the records know
    #[arg(long, value_name = "CAUSE")]
    cause: Option<String>,

    /// Repair, service: what was done
    #[arg(long, value_name = "TEXT")]
    work: Option<String>,

    /// Repair: a part that was fitted; may be given several times, all of them
    #[arg(long, value_name = "TEXT")]
    part: Vec<String>,

    /// Repair: what was waited for and how long; may be given several times, all of them
    #[arg(long, value_name = "FOR TIME")]
    waited: Vec<String>,

    /// Repair, service: a test instrument and the day its calibration is good until; all of them
    #[arg(long, value_name = "LABEL, DATE")]
    instrument: Vec<String>,

    /// Release, service: the check that proves the machine
    #[arg(long, value_name = "PATH")]
    proved_by: Option<String>,

    /// Release: when the machine was released
    #[arg(long, value_name = "TIME")]
    released: Option<String>,

    /// Service: by which day the next one is due
    #[arg(long, value_name = "DATE")]
    next_due: Option<String>,

    /// Void: the record that does not count
    #[arg(long, value_name = "PATH")]
    record: Option<String>,

    /// Void: why that record does not count
    #[arg(long, value_name = "TEXT")]
    reason: Option<String>,

    /// How to show faults and findings
    #[arg(long, value_enum, default_value_t = Format::Human)]
    pub format: Format,
}

impl Arguments {
    /// Returns why and who, where the record itself comes from a file.
    ///
    /// # Errors
    /// A line of the record was given too.
    pub fn own(self) -> anyhow::Result<Given> {
        let given = self.given();
        let other = given.flags().find(|flag| !["because", "by"].contains(flag));
        let Some(flag) = other.and_then(|flag| flag.split(' ').next()) else { return Ok(given) };
        let help = format!("leave `--{flag}` out and write it into the file");
        Err(Trouble::new("a record from a file is taken as a whole", help).into())
    }

    /// Returns everything that was given.
    pub fn given(self) -> Given {
        let one = |text: Option<String>| text.into_iter().collect::<Vec<_>>();
        let flags = [
            ("because", one(self.because)),
            ("by", one(self.by)),
            ("machine", one(self.machine)),
            ("done-by", self.done_by),
            ("remarks", one(self.remarks)),
            ("started", one(self.started)),
            ("finished", one(self.finished)),
            ("procedure", one(self.procedure)),
            ("emergency-start", one(self.emergency_start)),
            ("found-during", one(self.found_during)),
            ("items", self.items),
            ("found", one(self.found)),
            ("what", one(self.what)),
            ("use", one(self.r#use)),
            ("restriction", one(self.restriction)),
            ("until", one(self.until)),
            ("owner", one(self.owner)),
            ("fault", self.fault),
            ("cause", one(self.cause)),
            ("work", one(self.work)),
            ("part", self.part),
            ("waited", self.waited),
            ("instrument", self.instrument),
            ("proved-by", one(self.proved_by)),
            ("released", one(self.released)),
            ("next-due", one(self.next_due)),
            ("record", one(self.record)),
            ("reason", one(self.reason)),
        ];
        let flags = flags.into_iter().filter(|(_, answers)| !answers.is_empty());
        let flags = flags.map(|(flag, answers)| (flag.to_owned(), answers));
        let sets = self.sets.into_iter().map(|set| match set.split_once('=') {
            Some((place, answer)) => (format!("{SET}{}", place.trim()), vec![answer.to_owned()]),
            None => (format!("{SET}{set}"), Vec::new()),
        });
        flags.chain(sets).fold(Given::default(), |given, (flag, answers)| match answers.as_slice() {
            [none] if none == "-" => given.with(&flag, Vec::<String>::new()),
            _ => given.with(&flag, answers),
        })
    }
}
