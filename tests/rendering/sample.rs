//! An invented month of an invented hospital: once as it would be, once with texts that try to be markup.

use pinindex::report::document::{About, Figure, Paper, Step};
use pinindex::report::{Block, Column, Report, Section, Table, Tile};

use crate::pictures;

/// Texts that mean something to one of the formats.
pub const NASTY: [&str; 30] = [
    "<script>alert(1)</script>",
    "<b>bold</b> & &amp; &lt;",
    "# no heading",
    "1. no list",
    "23) no list",
    "- no list",
    "+ no list",
    "* no list",
    "---",
    "===",
    "***",
    "> no quotation",
    "    no code",
    "```no code```",
    "a `b` c",
    "*no* _emphasis_ __at__ ~~all~~",
    "[no](https://link.example) ![no](picture.png)",
    "<https://link.example> https://link.example www.link.example",
    "o.adeyemi@stillwater.example",
    "[x]: /url",
    "a | b || c |",
    "back\\slash \\| \\* \\",
    "two\nlines",
    "  spaces  ",
    "#let x = 1; #panic() $x^2$ *s* _e_ @ref <label> // c /* c */",
    ":smile: 06:42 mailto:a",
    "100 % $5 ~ ^ { } ( ) ! ? ' \" = +",
    "=HYPERLINK(\"https://link.example\")",
    "<!-- no comment -->",
    "--- \"quoted\" -- 'single' ... 1/2 (c)",
];

/// A month as a small hospital has it.
pub fn month() -> Report {
    Report {
        about: about(),
        figures: figures(),
        sections: vec![page_one(), machines(), outage(), sources(), drawn(), sign_off()],
    }
}

/// A report in which every place for a text holds a text that tries to be markup.
pub fn nasty() -> Report {
    let mut next = 0;
    let mut report = month().map_texts(|_| {
        next += 1;
        NASTY[next % NASTY.len()].to_owned()
    });
    for (at, figure) in report.figures.iter_mut().enumerate() {
        figure.note = NASTY[at % NASTY.len()].to_owned();
    }
    let texts = NASTY.map(str::to_owned).to_vec();
    report.sections.push(Section {
        id: "Not an id!".to_owned(),
        title: "<h1>".to_owned(),
        blocks: vec![
            Block::List(texts.clone()),
            Block::Table(Table {
                caption: "a | b".to_owned(),
                columns: vec![Column::left("one | two"), Column::right("<th>")],
                rows: texts.iter().map(|text| vec![text.clone(), text.clone(), text.clone()]).collect(),
                total: true,
            }),
            Block::Signatures(texts),
        ],
        new_page: true,
    });
    report
}

/// A report with one paragraph.
pub fn saying(text: &str) -> Report {
    let mut report = month();
    report.sections = vec![section("only", "Only", vec![Block::Paragraph(text.to_owned())])];
    report
}

fn section(id: &str, title: &str, blocks: Vec<Block>) -> Section {
    Section { id: id.to_owned(), title: title.to_owned(), blocks, new_page: false }
}

fn about() -> About {
    About {
        title: "Anaesthesia machine checks: monthly summary".to_owned(),
        site: "Stillwater Valley Hospital, Theatre Department".to_owned(),
        period: "2026-10".to_owned(),
        period_words: "October 2026".to_owned(),
        from: "2026-10-01".to_owned(),
        to: "2026-10-31".to_owned(),
        as_of: "2026-11-05T08:00:00+01:00".to_owned(),
        commit: Some("4f0c2a9d81e7b35560cd1f2e9a7740be6d3c8812".to_owned()),
        commit_time: Some("2026-11-05T07:41:09+01:00".to_owned()),
        timestamp: 1_793_860_869,
        records_counted: 214,
        records_left_out: 1,
        language: "en".to_owned(),
        paper: Paper::A4,
        foot: "Stillwater Valley Hospital · October 2026 · commit 4f0c2a9d81e7 of 2026-11-05 · 214 records counted, \
               1 left out"
            .to_owned(),
    }
}

fn figures() -> Vec<Figure> {
    let figure = |name: &str, of: &str, k, n, value: &str| Figure {
        figure: name.to_owned(),
        of: of.to_owned(),
        k: Some(k),
        n: Some(n),
        value: Some(value.to_owned()),
        unit: "%".to_owned(),
        lower: Some("1.0".to_owned()),
        upper: Some("13.5".to_owned()),
        state: "value".to_owned(),
        note: format!("{k} of {n}, {of}"),
    };
    vec![
        figure("failed-checks", "all", 3, 62, "4.8"),
        figure("failed-checks", "theatre-1", 2, 23, "8.7"),
        figure("change", "all", 3, 62, "-1.2"),
        Figure {
            value: None,
            lower: None,
            upper: None,
            state: "too-little-data".to_owned(),
            note: "=SUM(A1:A9), \"quoted\"".to_owned(),
            ..figure("time-to-return", "spare-1", 0, 0, "")
        },
    ]
}

fn tile(label: &str, value: &str, detail: &str) -> Tile {
    Tile { label: label.to_owned(), value: value.to_owned(), detail: detail.to_owned() }
}

fn page_one() -> Section {
    let blocks = vec![
        Block::Tiles(vec![
            tile("Checks done", "62 of 66", "93.9 % of the checks that were expected (95 % interval 85.2 to 98.3 %)"),
            tile("Failed checks", "3 of 62", "4.8 % (95 % interval 1.0 to 13.5 %); September: 2 of 60"),
            tile("Machines withheld", "2", "theatre-1 once, theatre-2 once"),
            tile(
                "Time to return to service",
                "26 h 40 min",
                "median of 2 outages; shortest 3 h 10 min, longest 50 h 10 min",
            ),
            tile("Open faults", "1", "theatre-2, restricted until 2026-11-20"),
            tile("Late records", "1 of 214", "written down more than 24 hours after the work"),
        ]),
        Block::Notice(
            "1 of 215 records is left out: records/2026/10/14/064402-spare-1.check.yaml has faults.".to_owned(),
        ),
        Block::Paragraph(
            "Three machines were expected in use on 66 days in all. Four checks are missing: theatre-2 on 12 and 13 \
             October (both days the list was cancelled at short notice), spare-1 on 14 October and theatre-1 on 30 \
             October (no reason recorded)."
                .to_owned(),
        ),
        Block::Paragraph(
            "Two faults took a machine out of service. Both machines were returned to service after a complete \
             check that passed. One restriction is still open."
                .to_owned(),
        ),
        Block::Picture(pictures::shown("strip", Table::default())),
        Block::Heading("What needs a decision".to_owned()),
        Block::List(vec![
            "theatre-2: the restriction \"no low-flow use\" ends on 20 November; the part is on order.".to_owned(),
            "theatre-1: scavenging failed twice in three months, each time the same flow indicator.".to_owned(),
            "30 October: find out why no check of theatre-1 was recorded.".to_owned(),
        ]),
        Block::Paragraph(
            "This report is an aid to record keeping. It does not test, clear or certify any machine; a pass is what \
             the named person recorded. The maker's instructions and local policy take precedence."
                .to_owned(),
        ),
    ];
    section("summary", "The month on one page", blocks)
}

fn table(caption: &str, columns: Vec<Column>, rows: Vec<Vec<String>>, total: bool) -> Block {
    Block::Table(Table { caption: caption.to_owned(), columns, rows, total })
}

fn row(cells: &[&str]) -> Vec<String> {
    cells.iter().map(|cell| (*cell).to_owned()).collect()
}

fn machines() -> Section {
    let columns = vec![
        Column::left("Machine"),
        Column::right("Expected"),
        Column::right("Done"),
        Column::right("On time"),
        Column::right("Failed"),
        Column::left("Share failed, 95 % interval"),
    ];
    let rows = vec![
        row(&["theatre-1", "24", "23", "23", "2", "8.7 % (1.1 to 28.0 %)"]),
        row(&["theatre-2", "22", "20", "19", "1", "5.0 % (0.1 to 24.9 %)"]),
        row(&["spare-1", "20", "19", "19", "0", "0.0 % (0.0 to 17.6 %)"]),
        row(&["All", "66", "62", "61", "3", "4.8 % (1.0 to 13.5 %)"]),
    ];
    let items = (1..=58).map(|number| {
        let machine = ["theatre-1", "theatre-2", "spare-1"][number % 3];
        let day = number / 2 + 1;
        vec![
            format!("2026-10-{day:02} 06:42"),
            machine.to_owned(),
            ["M. Okafor", "L. Brânză-Íñigo", "Þ. Ólafsdóttir"][number % 3].to_owned(),
            if number % 19 == 0 { "failed: scavenging".to_owned() } else { "passed".to_owned() },
            format!("records/2026/10/{day:02}/064210-{machine}.check.yaml"),
        ]
    });
    let heads = ["Started", "Machine", "By", "Result", "Record"].map(Column::left).to_vec();
    Section {
        new_page: true,
        ..section(
            "machines",
            "Checks by machine",
            vec![
                Block::Paragraph(
                    "A check counts as done when it was recorded for a day on which it was expected.".to_owned(),
                ),
                table("Checks expected, done and failed, by machine", columns, rows, true),
                Block::Heading("Every check".to_owned()),
                table("Checks in October 2026, in order of time", heads, items.collect(), false),
            ],
        )
    }
}

fn step(when: &str, what: &str, who: &str, record: &str) -> Step {
    Step { when: when.to_owned(), what: what.to_owned(), who: who.to_owned(), record: record.to_owned() }
}

fn outage() -> Section {
    let steps = vec![
        step(
            "2026-10-05 06:44",
            "Found: scavenging failed in the daily check; machine withheld from use",
            "M. Okafor",
            "records/2026/10/05/065531-theatre-1.fault.yaml",
        ),
        step("2026-10-05 09:15", "Work began", "L. Brânză-Íñigo", "records/2026/10/06/141003-theatre-1.repair.yaml"),
        step(
            "2026-10-05 10:00",
            "Waited for a part: flow indicator of the scavenging receiver (27 h 20 min)",
            "L. Brânză-Íñigo",
            "records/2026/10/06/141003-theatre-1.repair.yaml",
        ),
        step("2026-10-06 14:10", "Work ended", "L. Brânză-Íñigo", "records/2026/10/06/141003-theatre-1.repair.yaml"),
        step(
            "2026-10-07 08:54",
            "Returned to service after the complete check passed",
            "Þ. Ólafsdóttir",
            "records/2026/10/07/085400-theatre-1.release.yaml",
        ),
    ];
    section(
        "outages",
        "Outages",
        vec![
            Block::Heading("theatre-1: scavenging, 50 h 10 min out of service".to_owned()),
            Block::Steps(steps),
            table(
                "How the time went",
                vec![Column::left("Part of the outage"), Column::right("Hours")],
                vec![
                    row(&["Found until work began", "2.5"]),
                    row(&["Waiting for parts", "27.3"]),
                    row(&["Hands on", "1.6"]),
                    row(&["Until returned to service", "18.7"]),
                    row(&["Whole outage", "50.2"]),
                ],
                true,
            ),
        ],
    )
}

fn sources() -> Section {
    let columns = ["Item", "Limit used", "From", "Source", "Standing", "Machine", "Procedure", "Revision", "Since"];
    let rows = vec![
        row(&[
            "spare-oxygen-cylinder",
            "at least 1000 psi",
            "procedure",
            "FDA 1993, step 2",
            "published",
            "all",
            "daily",
            "3",
            "2026-09-01",
        ]),
        row(&[
            "pipeline-pressure",
            "at least 50 psi",
            "procedure",
            "ASA 2008, item 6",
            "published",
            "all",
            "daily",
            "3",
            "2026-09-01",
        ]),
        row(&[
            "circuit-leak",
            "30 cmH2O held 10 s, fall at most 2 cmH2O",
            "this site",
            "local",
            "local",
            "theatre-1",
            "daily",
            "3",
            "2026-09-01",
        ]),
    ];
    section(
        "limits",
        "Limits and where they come from",
        vec![table("Limits in force in October 2026", columns.map(Column::left).to_vec(), rows, false)],
    )
}

/// Every other picture, the first with many numbers behind it and the others with few.
fn drawn() -> Section {
    let columns = || vec![Column::left("Machine"), Column::right("Faults")];
    let behind = |rows: usize| Table {
        caption: String::new(),
        columns: columns(),
        rows: (1..=rows).map(|number| vec![format!("theatre-{number}"), (number % 3).to_string()]).collect(),
        total: false,
    };
    let blocks = pictures::NAMES.iter().skip(1).enumerate();
    let blocks = blocks.map(|(at, name)| Block::Picture(pictures::shown(name, behind(if at == 0 { 9 } else { 2 }))));
    Section { new_page: true, ..section("pictures", "The year in pictures", blocks.collect()) }
}

fn sign_off() -> Section {
    section(
        "sign-off",
        "Read and signed",
        vec![
            Block::Paragraph(
                "Signing says that the report was read, not that every machine is free of faults.".to_owned(),
            ),
            Block::Signatures(vec!["Responsible anaesthetist".to_owned(), "Clinical engineer".to_owned()]),
        ],
    )
}
