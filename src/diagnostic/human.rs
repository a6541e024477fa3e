//! The form for people: headline, place, excerpt with a caret, limit, next step.

use super::{Located, Severity, Spot, one_line, visible};
use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet, renderer::DecorStyle};

/// Gives the text of a file by its path, so that an excerpt can be shown.
pub type Text<'a> = &'a dyn Fn(&str) -> Option<String>;

/// Returns the whole form with a line break at its end; with colour codes when `styled`.
pub fn render(located: &Located, text: Text<'_>, styled: bool) -> String {
    let d = &located.diagnostic;
    let level = match d.severity {
        Severity::Problem => Level::ERROR.with_name("problem"),
        Severity::Finding => Level::WARNING.with_name("finding"),
    };
    let headline = one_line(&d.headline);
    let label = one_line(&d.label);
    let path = one_line(&located.spot.path);
    let excerpt = text(&located.spot.path).map(|source| Excerpt::of(&located.spot, &source));
    let elsewhere: Vec<(Excerpt, String, &Spot)> = located
        .also
        .iter()
        .zip(&d.also)
        .map(|(spot, (_, words))| {
            let source = text(&spot.path).unwrap_or_default();
            (Excerpt::of(spot, &source), one_line(words), spot)
        })
        .collect();

    let title = level.clone().primary_title(headline).id(d.rule);
    let mut group = match &excerpt {
        Some(excerpt) => title.element(
            Snippet::source(excerpt.text.as_str())
                .line_start(excerpt.first_line)
                .path(path)
                .annotation(AnnotationKind::Primary.span(excerpt.span.clone()).label(label)),
        ),
        // Of what is not there, or is no text, there is nothing to show.
        None if label.is_empty() => title.element(Origin::path(path)),
        None => title.element(Origin::path(path)).element(Level::NOTE.message(label)),
    };
    if let Some(limit) = &d.limit {
        group = group.element(Level::NOTE.with_name("limit").message(one_line(limit)));
    }
    let help: Vec<String> =
        std::iter::once(d.help.as_str()).chain(d.paste.iter().flat_map(|p| p.lines())).map(one_line).collect();
    let help = help.join("\n");
    if !help.is_empty() {
        group = group.element(Level::HELP.message(help.as_str()));
    }
    let mut report = vec![group];
    for (excerpt, words, spot) in &elsewhere {
        report.push(
            Group::with_title(Level::NOTE.secondary_title(words.as_str())).element(
                Snippet::source(excerpt.text.as_str())
                    .line_start(excerpt.first_line)
                    .path(one_line(&spot.path))
                    .annotation(AnnotationKind::Primary.span(excerpt.span.clone())),
            ),
        );
    }
    let renderer = if styled { Renderer::styled() } else { Renderer::plain() }.decor_style(DecorStyle::Ascii);
    let mut shown = renderer.render(&report);
    shown.push('\n');
    shown
}

/// How many bytes are shown to either side of what the caret points at.
const WIDEST: usize = 160;

/// The lines around a spot, so that a long file costs no more than a short one to draw.
struct Excerpt {
    text: String,
    first_line: usize,
    span: std::ops::Range<usize>,
}

impl Excerpt {
    fn of(spot: &Spot, source: &str) -> Excerpt {
        let start = floor(source, spot.bytes.start);
        let line_start = source[..start].rfind('\n').map_or(0, |i| i + 1);
        let line_end = source[start..].find('\n').map_or(source.len(), |i| start + i);
        // A caret under one line reads better than a bracket over a whole block.
        let end = floor(source, spot.bytes.end).clamp(start, line_end);
        // Of an endless line only what is near the caret is shown.
        let line_start = floor(source, line_start.max(start.saturating_sub(WIDEST)));
        let end = floor(source, end.min(start + 2 * WIDEST));
        let line_end = floor(source, line_end.min(end.saturating_add(WIDEST))).max(end);
        let raw = source[line_start..line_end].trim_end_matches('\r');
        // What is pointed at can lie in the carriage returns behind the line.
        let (start, end) = (start.min(line_start + raw.len()), end.min(line_start + raw.len()));
        let before = visible(&source[line_start..start]);
        let marked = visible(&source[start..end]);
        Excerpt { text: visible(raw), first_line: spot.line.max(1), span: before.len()..before.len() + marked.len() }
    }
}

/// Returns the nearest character boundary at or before a byte index.
fn floor(text: &str, index: usize) -> usize {
    let mut index = index.min(text.len());
    while !text.is_char_boundary(index) {
        index -= 1;
    }
    index
}
