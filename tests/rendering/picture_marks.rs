//! What holds for every picture: the same bytes, well formed, nothing beyond its sheet, no word over another, and
//! strong enough to be seen in grey and in the dark.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use chrono::NaiveDate;
use pinindex::report::picture::drawing::{Anchor, Label, Mark, Role};
use pinindex::report::picture::{
    Calendar, CalendarMonth, CalendarRow, Card, CardLine, Curve, CurveStep, Day, DotRow, Dots, Drawing, Drift,
    Estimate, Funnel, FunnelRow, Level, Moment, Range, Reading, Readings, Strip, StripMonth, metrics, svg,
};
use proptest::prelude::*;
use proptest::sample::select;

use crate::{golden, pictures, sample};

#[test]
fn the_pictures_are_those_that_were_looked_at() {
    for name in pictures::NAMES {
        let drawn = svg::write(&pictures::drawn(name), name, "A title", "What it says.");
        golden::matches(&format!("pictures/{name}.svg"), &drawn);
    }
}

/// A rectangle: from left and top to right and bottom.
type Extent = [f64; 4];

/// Returns where a text stands; of the letters' height only what letters of a name take.
fn of_label(label: &Label) -> Extent {
    let width = metrics::taken(label);
    let left = match label.anchor {
        Anchor::Start => label.at.0,
        Anchor::Middle => label.at.0 - width / 2.0,
        Anchor::End => label.at.0 - width,
    };
    let size = label.size.points();
    [left, label.at.1 - 0.76 * size, left + width, label.at.1 + 0.22 * size]
}

fn around(points: &[(f64, f64)]) -> Extent {
    if points.iter().any(|(x, y)| x.is_nan() || y.is_nan()) {
        return [f64::NAN; 4];
    }
    let nothing = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    points.iter().fold(nothing, |all, (x, y)| [all[0].min(*x), all[1].min(*y), all[2].max(*x), all[3].max(*y)])
}

fn extent(mark: &Mark) -> Extent {
    match mark {
        Mark::Path { points, .. } | Mark::Area { points, .. } => around(points),
        Mark::Rectangle { corner: (x, y), width, height, .. } => [*x, *y, x + width, y + height],
        Mark::Dot { centre: (x, y), radius, .. } => [x - radius, y - radius, x + radius, y + radius],
        Mark::Cells { corner: (x, y), side, rows, .. } => {
            let widest = rows.iter().map(Vec::len).max().unwrap_or(0);
            [*x, *y, x + side * widest as f64, y + side * rows.len() as f64]
        }
        Mark::Text(label) => of_label(label),
    }
}

/// Returns the first mark that is not wholly on the sheet.
fn astray(drawing: &Drawing) -> Option<&Mark> {
    drawing.marks.iter().find(|mark| {
        let [left, top, right, bottom] = extent(mark);
        // Written so that a number that is none counts as astray.
        !(left >= -0.01 && top >= -0.01 && right <= drawing.width + 0.01 && bottom <= drawing.height + 0.01)
    })
}

#[test]
fn every_sample_stays_on_its_sheet_and_no_word_covers_another() {
    for name in pictures::NAMES {
        let drawing = pictures::drawn(name);
        assert_eq!(astray(&drawing), None, "{name}");
        let labels: Vec<&Label> = drawing.texts().collect();
        assert!(labels.len() > 8, "{name}");
        for (at, one) in labels.iter().enumerate() {
            for other in &labels[at + 1..] {
                let ([a, b, c, d], [e, f, g, h]) = (of_label(one), of_label(other));
                assert!(c <= e || g <= a || d <= f || h <= b, "{name}: {one:?} covers {other:?}");
            }
        }
    }
}

#[test]
fn every_sample_has_the_height_of_its_place() {
    let centimetres = |name: &str| pictures::drawn(name).height / 72.0 * 2.54;
    assert!(centimetres("strip") <= 4.5, "{}", centimetres("strip"));
    for name in pictures::NAMES {
        assert!(centimetres(name) <= 7.0 && pictures::drawn(name).width == pinindex::report::picture::WIDTH, "{name}");
    }
}

fn number() -> BoxedStrategy<f64> {
    prop_oneof![
        4 => 0.0..100.0,
        2 => select(vec![0.0, -0.0, 1.0, 0.5, 100.0, 1e-9, 1e9, 1e300, -1e300, f64::NAN, f64::INFINITY, f64::NEG_INFINITY]),
        1 => prop::num::f64::ANY,
    ]
    .boxed()
}

fn words() -> BoxedStrategy<String> {
    prop_oneof![
        Just(String::new()),
        "[A-Za-z0-9 ,.-]{0,90}",
        "(?s).{0,40}",
        select(sample::NASTY.to_vec()).prop_map(str::to_owned),
        Just("王🙂א\u{5b7}o\u{323}\u{300}\u{202E}".repeat(9)),
    ]
    .boxed()
}

fn few<S: Strategy + 'static>(one: S) -> BoxedStrategy<Vec<S::Value>> {
    let one = one.boxed();
    let many = select(vec![0..1usize, 1..2, 2..9, 38..45]);
    many.prop_flat_map(move |many| prop::collection::vec(one.clone(), many)).boxed()
}

fn range() -> impl Strategy<Value = Range> {
    (number(), number()).prop_map(|(low, high)| Range { low, high })
}

fn estimate() -> impl Strategy<Value = Option<Estimate>> {
    prop::option::of((number(), number(), number()).prop_map(|(value, low, high)| Estimate { value, low, high }))
}

fn strip() -> impl Strategy<Value = Drawing> {
    let month = (words(), words(), words(), words(), estimate(), prop::option::of(range()), any::<[bool; 2]>());
    let month = month.prop_map(|(name, year, count, of, estimate, quiet, [outside, current])| StripMonth {
        name,
        year,
        count,
        of,
        estimate,
        quiet,
        outside,
        current,
    });
    (few(month), words(), words(), words(), words(), words()).prop_map(|(months, axis, dot, quiet, outside, empty)| {
        Strip { axis, dot, quiet, outside, empty, months }.draw()
    })
}

fn curve() -> impl Strategy<Value = Drawing> {
    let step = (number(), number(), prop::option::of(range()));
    let step = step.prop_map(|(days, returned, interval)| CurveStep { days, returned, interval });
    let moment = || prop::option::of((number(), words()).prop_map(|(days, label)| Moment { days, label }));
    (few(step), few(number()), number(), moment(), moment(), [words(), words(), words(), words()]).prop_map(
        |(steps, open, days, target, median, [axis, across, band, open_words])| {
            Curve { axis, across, band, open_words, steps, open, days, target, median }.draw()
        },
    )
}

fn funnel() -> impl Strategy<Value = Drawing> {
    let limits = || prop::option::of(range());
    let row = (words(), words(), estimate(), prop::option::of(number()), limits(), limits(), any::<bool>());
    let row = row.prop_map(|(name, count, estimate, target, narrow, wide, outside)| FunnelRow {
        name,
        count,
        estimate,
        target,
        narrow,
        wide,
        outside,
    });
    let texts = [words(), words(), words(), words(), words(), words(), words()];
    (few(row), texts).prop_map(|(machines, [axis, dot, narrow, wide, target, outside, empty])| {
        Funnel { axis, dot, narrow, wide, target, outside, empty, machines }.draw()
    })
}

fn dots() -> impl Strategy<Value = Drawing> {
    let row = (words(), words(), estimate(), any::<bool>()).prop_map(|(title, count, estimate, strong)| DotRow {
        title,
        count,
        estimate,
        strong,
    });
    (few(row), [words(), words(), words()])
        .prop_map(|(rows, [axis, dot, empty])| Dots { axis, dot, empty, rows }.draw())
}

fn date() -> impl Strategy<Value = NaiveDate> {
    let days = (0..40_000i64).prop_map(|days| NaiveDate::default() + chrono::TimeDelta::days(days));
    prop_oneof![4 => days, 1 => select(vec![NaiveDate::MIN, NaiveDate::MAX])]
}

fn readings() -> impl Strategy<Value = Drawing> {
    let reading = (number(), number(), any::<bool>()).prop_map(|(day, value, counted)| Reading { day, value, counted });
    let level = (number(), words()).prop_map(|(value, label)| Level { value, label });
    let drift = (number(), number(), number(), range(), number(), number());
    let drift = drift.prop_map(|(day, value, slope, interval, from, to)| Drift {
        pivot: (day, value),
        slope,
        interval,
        from,
        to,
    });
    let days = prop_oneof![number(), 0.0..3000.0];
    let flag = || (number(), words());
    let lists = (few(reading), prop::collection::vec(level, 0..3), prop::collection::vec(flag(), 0..5));
    (date(), days, lists, prop::option::of(drift), prop::option::of(flag()), [words(), words(), words(), words()])
        .prop_map(|(start, days, (readings, limits, restarts), drift, crossing, [axis, line, filled, hollow])| {
            Readings { axis, start, days, readings, limits, drift, restarts, crossing, line, filled, hollow }.draw()
        })
}

fn calendar() -> impl Strategy<Value = Drawing> {
    let kinds =
        [Day::Done, Day::DoneLate, Day::Incomplete, Day::Missing, Day::Withheld, Day::NotExpected, Day::NotOver];
    let row = (words(), prop::collection::vec(select(kinds.to_vec()), 0..33))
        .prop_map(|(machine, days)| CalendarRow { machine, days });
    let month = (words(), date(), few(row)).prop_map(|(title, first, rows)| CalendarMonth { title, first, rows });
    prop::collection::vec(month, 0..4).prop_map(|months| Calendar { months }.draw())
}

fn card() -> impl Strategy<Value = Drawing> {
    let line = (words(), any::<bool>()).prop_map(|(words, bold)| CardLine { words, bold });
    let code = prop_oneof![3 => words(), 1 => "[a-z0-9]{0,4000}"];
    (code, few(line)).prop_map(|(code, lines)| Card { code, lines }.draw())
}

fn any_picture() -> impl Strategy<Value = Drawing> {
    // In boxes: as one value the seven would be larger than the stack of a test.
    let each = [
        strip().boxed(),
        curve().boxed(),
        funnel().boxed(),
        dots().boxed(),
        readings().boxed(),
        calendar().boxed(),
        card().boxed(),
    ];
    prop::strategy::Union::new(each)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]
    #[test]
    fn no_numbers_and_no_words_drive_a_mark_off_its_sheet(drawing in any_picture()) {
        prop_assert_eq!(astray(&drawing), None);
    }

    #[test]
    fn every_picture_is_xml_that_holds_its_words(drawing in any_picture(), title in words(), says in words()) {
        let drawn = svg::write(&drawing, "an id, \"odd\"", &title, &says);
        let parsed = roxmltree::Document::parse(&drawn).map_err(|error| TestCaseError::fail(format!("{error}: {drawn}")))?;
        let root = parsed.root_element();
        prop_assert_eq!(root.attribute("role"), Some("img"));
        let written: Vec<String> = root
            .children()
            .filter(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "text")))
            .map(|node| node.text().unwrap_or_default().to_owned())
            .collect();
        let shown = |label: &Label| {
            pinindex::diagnostic::hidden::by_number(&metrics::fitted(label).replace(['\n', '\r', '\t'], " "))
        };
        let expected: Vec<String> = drawing.texts().map(shown).filter(|text| !text.is_empty()).collect();
        prop_assert_eq!(written.into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>(), expected);
    }
}

#[test]
fn a_long_word_is_cut_and_a_short_one_is_not() {
    let of = |content: &str, room: f64| metrics::fitted(&Label::new(content, (0.0, 0.0), room));
    assert_eq!(of("theatre-1", 60.0), "theatre-1");
    assert_eq!(of("theatre-1, the one beside the store", 60.0), "theatre-1, the…");
    assert_eq!(of("theatre-1", 3.0), "");
    let own = metrics::width("Þ. Ólafsdóttir", pinindex::report::picture::drawing::Size::Normal, false);
    assert_eq!(of("Þ. Ólafsdóttir", own), "Þ. Ólafsdóttir");
}

/// Returns the relative luminance of `#rrggbb` as WCAG 2.2 defines it.
fn luminance(colour: &str) -> f64 {
    let part = |at: usize| {
        let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).expect("two hexadecimal digits")) / 255.0;
        if value <= 0.04045 { value / 12.92 } else { libm::pow((value + 0.055) / 1.055, 2.4) }
    };
    0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
}

fn contrast(one: &str, other: &str) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

/// Returns the colours of the style sheet by name: of the light, of the dark and of paper.
fn themes() -> Vec<BTreeMap<String, String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("report-templates/summary.css");
    let sheet = fs::read_to_string(path).expect("the style sheet is part of the project");
    let blocks = sheet.split(":root {").skip(1).map(|rest| rest.split('}').next().unwrap_or_default().to_owned());
    let colours = |block: String| {
        let pairs = block.lines().filter_map(|line| line.trim().strip_prefix("--")?.split_once(": "));
        pairs.map(|(name, colour)| (name.to_owned(), colour.trim_end_matches(';').to_owned())).collect()
    };
    blocks.map(colours).collect()
}

#[test]
fn marks_are_seen_without_colour_in_the_light_in_the_dark_and_on_paper() {
    const ROLES: [Role; 8] =
        [Role::Ink, Role::Accent, Role::Soft, Role::Edge, Role::Line, Role::Band, Role::Shade, Role::Ground];
    let own = ROLES.map(|role| (svg::word(role).to_owned(), svg::colour(role).to_owned())).into();
    let mut all = themes();
    assert_eq!(all.len(), 3);
    all.push(own);
    for theme in all {
        let apart = |one: &str, other: &str| contrast(&theme[one], &theme[other]);
        // WCAG 2.2: 4.5 for words, 3 for what must be seen of a picture. Luminance is what a copy in grey keeps.
        for ground in ["ground", "shade", "band"] {
            assert!(apart("ink", ground) >= 4.5, "ink on {ground}: {theme:?}");
            assert!(apart("accent", ground) >= 4.5, "accent on {ground}: {theme:?}");
        }
        assert!(apart("soft", "ground") >= 4.5 && apart("soft", "shade") >= 4.5, "{theme:?}");
        assert!(apart("edge", "ground") >= 3.0, "edge {}: {theme:?}", apart("edge", "ground"));
    }
}
