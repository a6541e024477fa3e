//! pinindex: anaesthesia machine checks as plain files under git, judged, counted and reported.
//!
//! Read the logbook → judge each answer → put the records in time → look for faults → count → report.
//! The modules stand in that order, and none imports from one that stands below it: plain data in, plain data out.
//! Only `logbook` and `command` touch disk, git, clock or environment.

pub mod cli;
pub mod command;
pub mod contents;
pub mod demo;
pub mod diagnostic;
pub mod gas;
pub mod logbook;
pub mod procedure;
pub mod record;
pub mod register;
pub mod report;
pub mod rule;
pub mod statistics;
pub mod timeline;
