//! stub
pub mod layout;
pub mod snapshot;
pub use layout::*;
pub use snapshot::*;
