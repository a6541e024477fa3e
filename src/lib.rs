//! pinindex: anaesthesia machine checks as plain files under git, judged, counted and reported.
//!
//! Read the logbook → judge each answer → put the records in time → look for faults → count → report.
//! The modules below stand in that order, and none imports from one below itself:
//! plain data in, plain data out. Only `command` and `logbook` touch disk, git, clock or environment.

pub mod contents;
pub mod demo;
pub mod diagnostic;
pub mod gas;
pub mod logbook;
pub mod procedure;
pub mod record;
pub mod register;
pub mod report;
pub mod timeline;
