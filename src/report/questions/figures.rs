//! The sheet's figures for spreadsheets and scripts.

use super::asked;
use super::weighed::at_most;
use crate::question::Questions;
use crate::report::document::Figure;
use crate::report::proportion::count;

/// Returns the figures; what was not looked at is unknown, and no nought.
pub fn figures(questions: &Questions) -> Vec<Figure> {
    // Among nothing looked at, nobody knows how many there are.
    let of = |figure: &str, k: usize, n: usize, otherwise: &str, note: &str| {
        let counted = Figure { n: Some(n as u64), ..count(figure, "all", k, note) };
        if n > 0 { counted } else { Figure { k: None, value: None, state: otherwise.to_owned(), ..counted } }
    };
    let (finer, places) = (&questions.finer, &questions.places.asked);
    let mut figures = vec![
        of(
            "checks-shorter-than-holds",
            questions.short.questions.len(),
            questions.short.looked_at,
            "not-recorded",
            "of the checks with a time held; none by chance",
        ),
        of(
            "person-in-two-places",
            places.questions.len(),
            places.looked_at,
            "not-recorded",
            "overlaps among the checks, repairs and services; none by chance",
        ),
        of(
            "readings-finer-than-gauge",
            finer.questions.iter().map(|f| f.readings.len()).sum(),
            finer.looked_at,
            "not-recorded",
            "of the readings whose gauge has a stated step; none by chance",
        ),
    ];
    figures.push(of(
        "numbers-not-believed",
        questions.beyond.questions.len(),
        questions.beyond.looked_at,
        "not-recorded",
        "of the answers that were judged; none by chance",
    ));
    for c in &questions.copies {
        let id = format!("{}/{}", c.what.machine, c.what.procedure);
        let asked = if c.asked() { "worth asking about" } else { "not asked about" };
        let note = format!("equal to the check before, {asked}; at most {} by chance", at_most(c.what.by_chance));
        let copies = count("copied-checks", &id, c.what.copies.len(), note);
        figures.push(Figure { n: Some(c.what.looked_at as u64), ..copies });
    }
    for (figure, k, n, note) in [
        (
            "series-with-copies",
            asked(&questions.copies),
            questions.copies.len(),
            "series of checks with copies worth asking about",
        ),
        (
            "streaks",
            asked(&questions.streaks),
            questions.streaks.len(),
            "series of readings with a streak worth asking about",
        ),
        (
            "fifth-marks",
            asked(&questions.marks),
            questions.marks.len(),
            "series of readings with fifth marks worth asking about",
        ),
    ] {
        figures.push(of(figure, k, n, "too-little-data", note));
    }
    figures
}
