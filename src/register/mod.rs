//! What a hospital writes down once: the site, its people, its machines and the days they are in use.

pub mod allowed_signers;
pub mod calendar;
pub mod key_changes;
pub mod limit;
pub mod machine;
pub mod person;
pub mod signing_key;
pub mod site;

pub use calendar::Calendar;
pub use key_changes::{BroughtBack, KeyChange, KeyDeed, key_changes};
pub use limit::{Limit, LimitOf, Standing};
pub use machine::{Before, Cylinder, Machine};
pub use person::{Person, Role};
pub use signing_key::{KeyStanding, Revoked, SigningKey};
pub use site::Site;
