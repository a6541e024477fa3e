//! Records in time: each machine's life, its outages, and the checks that were expected.
//!
//! Takes the contents of a logbook and gives one [`Life`] a machine: its checks with their judgement, its faults each
//! with its way back to service, its services. A fault that is still open stays open: it is neither dropped nor counted
//! as no time at all. Only records that count are replayed. No clock is read: every question names its moment.

pub mod case;
pub mod expected;
pub mod follow;
pub mod life;
pub mod people;
pub mod status;

pub use case::{Case, Released, Work};
pub use expected::{Day, DayState, expected_days, withheld_throughout};
pub use follow::{Emergency, emergency, unanswered};
pub use life::{CheckDone, Life, Lives, lives};
pub use people::{Lacking, lacking};
pub use status::{Status, status};
