//! Writing down a release: which open faults, and the complete check after the work that proves the machine.

use super::clock_time::FORMS;
use super::field::{Asked, Field, HowMany, Takes};
use super::given::Given;
use super::inquiry::Inquiry;
use super::setting::Setting;
use super::work::{check_command, last_touched, offered, proof, proofs};
use crate::record::{Body, Moment, Record, Release, Use};
use crate::register::Role;
use crate::timeline::{Case, Life};

/// What is asked for a release.
pub struct ReleaseInquiry<'a> {
    setting: Setting<'a>,
    life: &'a Life,
    /// The open faults that a check proves to be gone.
    proved: Vec<&'a Case>,
    unproved: Vec<&'a Case>,
}

/// Why a machine cannot be released.
#[derive(Clone, Debug, PartialEq)]
pub enum NotYet {
    NoOpenFault,
    /// No complete check passed since the fault was found or last worked on, at this moment; this command does one.
    NoProof {
        since: Moment,
        command: String,
    },
}

impl<'a> ReleaseInquiry<'a> {
    /// Returns what is asked for a release of a machine.
    ///
    /// # Errors
    /// There is nothing that could be released.
    pub fn new(setting: Setting<'a>, life: &'a Life, now: Moment) -> Result<ReleaseInquiry<'a>, NotYet> {
        let inquiry = ReleaseInquiry::at(setting, life, now);
        match (inquiry.proved.is_empty(), inquiry.unproved.first()) {
            (true, None) => Err(NotYet::NoOpenFault),
            (true, Some(case)) => {
                let since = last_touched(case).in_zone(setting.zone());
                Err(NotYet::NoProof { since, command: check_command(setting, now) })
            }
            (false, _) => Ok(inquiry),
        }
    }

    /// Returns what was asked at a moment, whichever faults could be released.
    pub fn at(setting: Setting<'a>, life: &'a Life, moment: Moment) -> ReleaseInquiry<'a> {
        let open = life.cases.iter().filter(|case| case.open_at(moment));
        let (proved, unproved): (Vec<&Case>, Vec<&Case>) =
            open.partition(|case| proofs(setting, life, last_touched(case), moment).next().is_some());
        ReleaseInquiry { setting, life, proved, unproved }
    }

    fn chosen(&self, given: &Given) -> impl Iterator<Item = &'a Case> {
        let chosen = given.all("fault").to_vec();
        self.proved.iter().copied().filter(move |case| chosen.contains(&case.path))
    }
}

impl Inquiry for ReleaseInquiry<'_> {
    fn title(&self) -> String {
        format!("Release of {}", self.setting.machine)
    }

    fn preface(&self) -> Vec<String> {
        let stays = self.unproved.iter().map(|case| {
            let since = last_touched(case).in_zone(self.setting.zone()).short();
            format!("Stays open, because no complete check has passed since {since}: {}", offered(case).words)
        });
        stays.collect()
    }

    fn fields(&self, given: &Given, now: Moment) -> Vec<Field> {
        let faults = self.proved.iter().map(|case| offered(case)).collect();
        let chosen = self.chosen(given).map(last_touched).max();
        let since = chosen.or_else(|| self.proved.iter().map(|case| last_touched(case)).max());
        let checks: Vec<_> =
            since.map_or(Vec::new(), |since| proofs(self.setting, self.life, since, now).map(proof).collect());
        let latest = checks.first().map(|offer| offer.value.clone());
        let ended = given.one("proved-by").and_then(|path| self.life.check(path)).map(|done| done.check.finished);
        let bound = ended.map(|ended| (ended, "the check was finished".to_owned()));
        let paths = self.proved.iter().map(|case| case.path.clone());
        let mut fields = vec![
            Field::new("fault", "faults", "Which faults are put right?", Takes::Offered(faults))
                .how_many(HowMany::AtLeastOne)
                .suggest(paths),
            Field::new("proved-by", "proved by", "Which check proves the machine?", Takes::Offered(checks))
                .help("A complete check, begun after the work and passed.")
                .suggest(latest),
        ];
        fields.push(
            self.setting
                .by("Who releases it?", self.setting.contents.day(now), &[Role::Biomed, Role::Provider])
                .help("Two people are usual (common practice): who repaired it, and who will use it."),
        );
        fields.push(
            Field::new("released", "released", "When is it released?", self.setting.moment(now, bound))
                .help(FORMS)
                .suggest([self.setting.written(now)])
                .asked(Asked::Usual),
        );
        fields.extend(self.setting.closing(now));
        fields
    }

    fn notes(&self, given: &Given) -> Vec<String> {
        let unrepaired = self.chosen(given).filter(|case| case.works.is_empty() && case.usage == Use::Withheld);
        let mut notes: Vec<String> = unrepaired
            .map(|case| format!("No repair is written down for the fault found {}.", case.found.short()))
            .collect();
        if given.all("by").len() == 1 {
            notes.push("One person releases it; two are usual (common practice).".to_owned());
        }
        let left: Vec<&&Case> =
            self.proved.iter().chain(&self.unproved).filter(|case| !given.all("fault").contains(&case.path)).collect();
        notes.extend(left.iter().map(|case| format!("Stays open: {}", offered(case).words)));
        notes
    }

    fn next(&self, _: &Given) -> Vec<String> {
        vec!["Take the sign off. The check before the first case is done as on any day.".to_owned()]
    }

    fn record(&self, given: &Given, recorded: Moment) -> Record {
        Record {
            common: self.setting.common(given, recorded),
            body: Body::Release(Release {
                faults: given.all("fault").to_vec(),
                proved_by: given.text("proved-by"),
                released: given.moment("released").unwrap_or(recorded),
            }),
        }
    }
}

/// Returns the answers that made a release.
pub fn told(release: &Release) -> Given {
    Given::default()
        .with("fault", release.faults.clone())
        .with("proved-by", [release.proved_by.clone()])
        .with("released", [release.released.to_string()])
}
