//! What closes a month: one number that rests on every file, and short proofs that a file is part of it.
//!
//! Takes paths and bytes and gives trees, seals and proofs. All of it can be worked out again with SHA-256 alone, in any
//! language; nothing rests on git but the name of a commit in a seal.

mod digest;
mod file;
mod leaves;
mod made;
mod month;
mod proof;
mod sought;
mod in_history;
pub mod tree;

pub use digest::Digest;
pub use file::{Before, LogbookTree, MonthTree, NumberedSeal, Seal, number_of};
pub use in_history::{Covered, SealInHistory, changed, late, problems};
pub use leaves::Leaves;
pub use made::{Brought, MADE_OTHERWISE, Times, made_otherwise};
pub use month::Month;
pub use proof::{NotProved, Proof, Sibling, Side, Which};
pub use sought::Sought;
