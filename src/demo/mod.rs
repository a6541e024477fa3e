//! stub
use crate::record::{Date, Record};
pub struct Settings {
    pub machines: usize,
    pub months: u32,
    pub seed: u64,
    pub last_day: Date,
}
pub struct Plan {
    pub files: Vec<(String, String)>,
    pub records: Vec<Planned>,
}
pub struct Planned {
    pub path: String,
    pub record: Record,
}
pub fn plan(_: &Settings) -> Plan {
    Plan { files: vec![], records: vec![] }
}
