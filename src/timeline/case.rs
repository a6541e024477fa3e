//! A case: one fault of one machine from the moment it was found to the moment the machine was released.
//!
//! The moments are those of ISO/TR 12489:2013: found, withheld, work started, work finished, returned to service, and the
//! first check by a user after that.

use crate::record::{FoundDuring, Moment, Repair, Use};

/// Work on a fault.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    pub path: String,
    pub by: Vec<String>,
    pub repair: Repair,
}

/// The release that ended a case.
#[derive(Clone, Debug, PartialEq)]
pub struct Released {
    pub path: String,
    pub by: Vec<String>,
    pub released: Moment,
    /// The check that proved the machine.
    pub proved_by: String,
}

/// One fault and everything that was done about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    pub path: String,
    pub machine: String,
    pub found: Moment,
    pub by: Vec<String>,
    pub found_during: FoundDuring,
    /// The check that showed it, or the one that corrects it.
    pub shown_by: Option<String>,
    pub what: String,
    pub usage: Use,
    /// In the order in which the work began.
    pub works: Vec<Work>,
    pub released: Option<Released>,
    /// The first check before use after the release: path and moment.
    pub first_check_after: Option<(String, Moment)>,
}

impl Case {
    /// Returns when the machine was released, if that was at or before a moment.
    pub fn released_by(&self, moment: Moment) -> Option<Moment> {
        self.released.as_ref().map(|r| r.released).filter(|released| *released <= moment)
    }

    /// Returns whether the case was open at a moment.
    pub fn open_at(&self, moment: Moment) -> bool {
        self.found <= moment && self.released_by(moment).is_none()
    }

    /// Returns whether the machine was withheld from use because of this case at a moment.
    pub fn withholds_at(&self, moment: Moment) -> bool {
        self.usage == Use::Withheld && self.open_at(moment)
    }

    /// Returns the works begun at or before a moment, in the order in which they began.
    pub fn works_begun_by(&self, moment: Moment) -> impl Iterator<Item = &Work> {
        self.works.iter().filter(move |work| work.repair.started <= moment)
    }
}
