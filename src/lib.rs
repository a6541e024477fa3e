//! pinindex: anaesthesia machine checks as plain files under git, judged, counted and reported.
//!
//! Read the logbook → judge each answer → put the records in time → look for faults → count → report.
//! The modules stand in the order of their dependence, and none imports from one that stands below it: plain data in, plain data out.
//! Only `logbook` and `command` touch disk, git, clock or environment.

pub mod diagnostic;
pub mod signature;
pub mod logbook;
pub mod record;
pub mod seal;
pub mod register;
pub mod gas;
pub mod procedure;
pub mod contents;
pub mod timeline;
pub mod rule;
pub mod audit;
pub mod statistics;
pub mod question;
pub mod report;
pub mod bedside;
pub mod demo;
pub mod command;
pub mod cli;
