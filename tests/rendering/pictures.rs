//! One sample of each picture, with invented numbers that look like a small hospital's.

use chrono::NaiveDate;
use pinindex::report::picture::{
    Calendar, CalendarMonth, CalendarRow, Card, CardLine, Curve, CurveStep, Day, DotRow, Dots, Drawing, Drift,
    Estimate, Funnel, FunnelRow, Level, Moment, Range, Reading, Readings, Strip, StripMonth,
};
use pinindex::report::{Picture, Table};

/// The pictures, the one of page one first.
pub const NAMES: [&str; 7] = ["strip", "curve", "funnel", "dots", "readings", "calendar", "card"];

/// Returns a sample by its name.
pub fn drawn(name: &str) -> Drawing {
    match name {
        "strip" => strip().draw(),
        "curve" => curve().draw(),
        "funnel" => funnel().draw(),
        "dots" => dots().draw(),
        "readings" => readings().draw(),
        "calendar" => calendar().draw(),
        "card" => card().draw(),
        other => panic!("no picture `{other}`"),
    }
}

/// Returns a sample as it stands in a report.
pub fn shown(name: &str, table: Table) -> Picture {
    let (caption, reads) = match name {
        "strip" => (
            "Failed checks in thirteen months",
            "In October 2026, 3 of 62 checks failed, which is within the range to expect. June 2026 lay outside it.",
        ),
        "curve" => (
            "Time to return to service, faults found from November 2025 to October 2026",
            "Half of the machines were back in service after 1.1 days; 3 of 14 faults are still open.",
        ),
        "funnel" => {
            ("Faults by machine", "Gantry room had more faults than the other machines would lead one to expect.")
        }
        "dots" => ("Failed items", "Scavenging failed most often: 4 of 62 answers, 6.5 % (1.8 to 15.8 %)."),
        "readings" => (
            "Oxygen sensor of theatre-2",
            "The reading falls by 0.19 % a month; it meets its limit not before 2 January 2027.",
        ),
        "card" => ("Seal of October 2026", "The records of October 2026 were sealed on 3 November 2026."),
        _ => ("Checks by day, October 2026", "57 of 66 checks were done, 2 of them late; 3 are missing."),
    };
    Picture { id: name.to_owned(), caption: caption.to_owned(), reads: reads.to_owned(), drawing: drawn(name), table }
}

/// What the code of the card holds, as the seal of a month has it.
pub const CODE: &str = "pinindex seal 2026-10 sha256:5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328";

fn card() -> Card {
    let lines = [
        "Seal of October 2026",
        "sealed 2026-11-03 09:12 by Þ. Ólafsdóttir",
        "214 records of the month, 3391 files of the logbook",
        "number:",
        "5dc9 da79 a706 59a9",
        "ad55 9cb7 01de d9a2",
        "ab9d 823a ad2f 4960",
        "cfe3 70ef f460 4328",
        "follows the seal of September 2026, whose number begins ddb8 9be4 0380 9e32 5750",
    ];
    let line = |(at, words): (usize, &str)| CardLine { words: words.to_owned(), bold: at == 0 || (4..8).contains(&at) };
    Card { code: CODE.to_owned(), lines: lines.into_iter().enumerate().map(line).collect() }
}

fn strip() -> Strip {
    let months = "Oct Nov Dec Jan Feb Mar Apr May Jun Jul Aug Sep Oct".split(' ');
    let counts: [(u32, u32); 13] = [
        (1, 60),
        (0, 58),
        (2, 61),
        (1, 55),
        (0, 4),
        (0, 0),
        (3, 64),
        (1, 60),
        (9, 62),
        (0, 59),
        (1, 61),
        (2, 60),
        (3, 62),
    ];
    let month = |(at, (name, (k, n))): (usize, (&str, (u32, u32)))| {
        let share = f64::from(k) / f64::from(n.max(1));
        let (value, near) = (100.0 * share, 100.0 / f64::from(n.max(1)));
        StripMonth {
            name: name.to_owned(),
            year: if at < 3 { "2025" } else { "2026" }.to_owned(),
            count: if n == 0 { String::new() } else { k.to_string() },
            of: if n == 0 { String::new() } else { format!("of {n}") },
            estimate: (n > 0).then_some(Estimate {
                value,
                low: value * 0.45 - if k == 0 { 0.0 } else { near * 0.2 },
                high: value * 1.5 + 3.6 * near,
            }),
            quiet: (n > 10).then_some(Range { low: 0.0, high: 10.0 + 60.0 * (near - 1.6) }),
            outside: k == 9,
            current: at == 12,
        }
    };
    Strip {
        axis: "Failed checks, % of checks done".to_owned(),
        dot: "share with its 95 % interval".to_owned(),
        quiet: "to expect if nothing changed".to_owned(),
        outside: "outside it".to_owned(),
        empty: "no checks".to_owned(),
        months: months.zip(counts).enumerate().map(month).collect(),
    }
}

fn curve() -> Curve {
    let steps = [
        (0.1, 1, 0.01, 0.32),
        (0.2, 2, 0.04, 0.40),
        (0.35, 4, 0.13, 0.56),
        (0.9, 6, 0.23, 0.68),
        (1.1, 7, 0.29, 0.74),
        (2.0, 8, 0.35, 0.79),
        (4.2, 9, 0.42, 0.85),
        (9.0, 10, 0.50, 0.90),
        (16.0, 11, 0.58, 0.95),
    ];
    let step = |(days, returned, low, high)| CurveStep {
        days,
        returned: f64::from(returned) / 14.0,
        interval: (returned > 1).then_some(Range { low, high }),
    };
    Curve {
        axis: "Machines returned to service, % of faults".to_owned(),
        across: "days since the fault was found; early days are drawn wider".to_owned(),
        band: "with its 95 % interval".to_owned(),
        open_words: "still open".to_owned(),
        steps: steps.map(step).to_vec(),
        open: vec![6.0, 12.0, 41.0],
        days: 30.0,
        target: Some(Moment { days: 3.0, label: "target: 3 days".to_owned() }),
        median: Some(Moment { days: 1.1, label: "half returned after 1.1 days".to_owned() }),
    }
}

fn funnel() -> Funnel {
    let machine = |(name, k, days): (&str, u32, u32)| {
        let (count, thousands) = (f64::from(k), f64::from(days) / 1000.0);
        let expected = 8.0 * thousands;
        let reach = |widths: f64| Range {
            low: ((expected - widths * expected.sqrt()) / thousands).max(0.0),
            high: (expected + widths * expected.sqrt() + 0.6) / thousands,
        };
        FunnelRow {
            name: name.to_owned(),
            count: if days == 0 { "no days".to_owned() } else { format!("{k} in {days} days") },
            estimate: (days > 0).then(|| Estimate {
                value: count / thousands,
                low: (count - 1.7 * count.sqrt()).max(0.0) / thousands,
                high: (count + 1.7 * count.sqrt() + 3.2) / thousands,
            }),
            target: (days > 0).then_some(8.0),
            narrow: (days > 0).then(|| reach(1.96)),
            wide: (days > 0).then(|| reach(3.1)),
            outside: k == 11,
        }
    };
    let machines = [
        ("theatre-1", 2, 251),
        ("theatre-2", 1, 248),
        ("theatre-3", 0, 252),
        ("gantry room", 11, 249),
        ("spare-1", 1, 61),
        ("endoscopy", 3, 231),
        ("store, never used", 0, 0),
    ];
    Funnel {
        axis: "Faults per 1000 machine-days".to_owned(),
        dot: "machine with its 95 % interval".to_owned(),
        narrow: "95 of 100 like the others lie here".to_owned(),
        wide: "998 of 1000".to_owned(),
        target: "rate of the others".to_owned(),
        outside: "outside".to_owned(),
        empty: "no days in service".to_owned(),
        machines: machines.map(machine).to_vec(),
    }
}

fn dots() -> Dots {
    let rows = [
        ("Waste gas scavenging", 4, 62),
        ("Low-pressure system leak test", 2, 62),
        ("Oxygen sensor calibrated and reading room air", 1, 61),
        ("Spare oxygen cylinder", 1, 62),
        ("Self-inflating bag and a second, independent source of oxygen at hand", 0, 62),
        ("Suction", 0, 62),
        ("Vaporiser interlock", 0, 9),
        ("Battery", 0, 0),
    ];
    let row = |(title, k, n): (&str, u32, u32)| {
        let (share, near) = (100.0 * f64::from(k) / f64::from(n.max(1)), 100.0 / f64::from(n.max(1)));
        DotRow {
            title: title.to_owned(),
            count: format!("{k} of {n}"),
            estimate: (n > 0).then_some(Estimate { value: share, low: share * 0.25, high: share * 1.4 + 3.6 * near }),
            strong: k == 4,
        }
    };
    Dots {
        axis: "Failed, % of answers".to_owned(),
        dot: "share with its 95 % interval".to_owned(),
        empty: "not answered".to_owned(),
        rows: rows.map(row).to_vec(),
    }
}

fn readings() -> Readings {
    let wobble = [0.0, 0.1, -0.1, 0.0, 0.1, 0.0, -0.1, 0.1];
    let reading = |week: u32| {
        let day = f64::from(week) * 7.0 + 2.0;
        let fall = if week < 9 { 21.0 - 0.004 * day } else { 21.1 - 0.0062 * (day - 65.0) };
        let value = (10.0 * (fall + wobble[week as usize % 8])).round() / 10.0;
        Reading { day, value, counted: week >= 9 }
    };
    Readings {
        axis: "Oxygen reading in room air, %".to_owned(),
        start: NaiveDate::from_ymd_opt(2026, 4, 1).expect("a date"),
        days: 330.0,
        readings: (0..31).map(reading).collect(),
        limits: vec![Level { value: 20.0, label: "limit: at least 20.0 %".to_owned() }],
        drift: Some(Drift {
            pivot: (142.0, 20.62),
            slope: -0.0062,
            interval: Range { low: -0.0078, high: -0.0047 },
            from: 65.0,
            to: 300.0,
        }),
        restarts: vec![(63.0, "cell replaced".to_owned())],
        crossing: Some((221.0, "not before 8 November 2026".to_owned())),
        line: "trend with its 95 % interval".to_owned(),
        filled: "reading".to_owned(),
        hollow: "before the cell was replaced".to_owned(),
    }
}

fn calendar() -> Calendar {
    let row = |machine: &str, days: &str| CalendarRow {
        machine: machine.to_owned(),
        days: days
            .chars()
            .map(|c| match c {
                'd' => Day::Done,
                'l' => Day::DoneLate,
                'i' => Day::Incomplete,
                'm' => Day::Missing,
                'w' => Day::Withheld,
                'n' => Day::NotExpected,
                _ => Day::NotOver,
            })
            .collect(),
    };
    Calendar {
        months: vec![CalendarMonth {
            title: "October 2026".to_owned(),
            first: NaiveDate::from_ymd_opt(2026, 10, 1).expect("a date"),
            rows: vec![
                row("theatre-1", "ddnnddwwdnnddlddnndddddnndddm??"),
                row("theatre-2", "ddnnddddinnmmdddnndlwwwwwwwww??"),
                row("spare-1", "dnnnnnnnnnnnnmnnnnnnnnnnnnnnn??"),
            ],
        }],
    }
}
