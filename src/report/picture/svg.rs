//! A drawing as SVG: the same text for the same drawing, and the words in it as words.
//!
//! Every mark has the colours of print as attributes and a class for each: a web page changes them for the dark by
//! its style sheet, and a program that knows no style sheet still draws the picture. Every text is one line of its own,
//! so that a typesetter can take the words out and set them itself.

use std::fmt::Write as _;

use super::drawing::{Anchor, Dash, Drawing, Label, Mark, Point, Role, Stroke};
use super::metrics;
use crate::diagnostic::hidden::markup;

/// The fonts of the web page; none but the last two is wider than the first, by whose letters texts are measured.
const FAMILY: &str = "'Noto Sans', 'Segoe UI', Roboto, 'Helvetica Neue', Arial, 'DejaVu Sans', sans-serif";

/// Returns the drawing as an SVG document; `id` begins the ids inside it, which must differ within one page.
///
/// The title names the picture and the description reads it out, for those who hear a page.
pub fn write(drawing: &Drawing, id: &str, title: &str, description: &str) -> String {
    let (width, height) = (number(drawing.width), number(drawing.height));
    let id = if id.is_empty() { "picture".to_owned() } else { id.replace(|c: char| !c.is_ascii_alphanumeric(), "-") };
    let named = |what: &str, text: &str| match text.trim() {
        "" => (String::new(), String::new()),
        text => (format!(" {id}-{what}"), format!("<{what} id=\"{id}-{what}\">{}</{what}>\n", markup(text))),
    };
    let ((title_id, title), (description_id, description)) = (named("title", title), named("desc", description));
    let ids = format!("{title_id}{description_id}");
    let labelled = if ids.is_empty() { String::new() } else { format!(" aria-labelledby=\"{}\"", ids.trim()) };
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\"{labelled} font-family=\"{FAMILY}\">\n{title}{description}"
    );
    for mark in drawing.marks.iter().filter(|mark| !blank(mark)) {
        svg.push_str(&element(mark));
        svg.push('\n');
    }
    svg.push_str("</svg>\n");
    svg
}

/// Returns the colour of a role in print.
pub fn colour(role: Role) -> &'static str {
    match role {
        Role::Ink => "#1b1f24",
        Role::Accent => "#1f4e79",
        Role::Soft => "#4d555e",
        Role::Edge => "#727d88",
        Role::Line => "#c6ccd2",
        Role::Band => "#d3dee9",
        Role::Shade => "#f0f3f6",
        Role::Ground | Role::White => "#ffffff",
        Role::Black => "#000000",
    }
}

/// Returns the word for a role in the names of classes.
pub fn word(role: Role) -> &'static str {
    match role {
        Role::Ink => "ink",
        Role::Accent => "accent",
        Role::Soft => "soft",
        Role::Edge => "edge",
        Role::Line => "line",
        Role::Band => "band",
        Role::Shade => "shade",
        Role::Ground => "ground",
        Role::Black => "black",
        Role::White => "white",
    }
}

/// Returns whether a mark is a text of nothing, as a change of all texts may leave behind.
fn blank(mark: &Mark) -> bool {
    matches!(mark, Mark::Text(label) if label.content.trim().is_empty())
}

fn element(mark: &Mark) -> String {
    match mark {
        Mark::Path { points, stroke } => {
            format!("<polyline points=\"{}\" {}/>", places(points), painted(None, Some(stroke)))
        }
        Mark::Area { points, fill, stroke } => {
            format!("<polygon points=\"{}\" {}/>", places(points), painted(Some(*fill), stroke.as_ref()))
        }
        Mark::Rectangle { corner: (x, y), width, height, fill, stroke } => format!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" {}/>",
            number(*x),
            number(*y),
            number(*width),
            number(*height),
            painted(Some(*fill), stroke.as_ref())
        ),
        Mark::Dot { centre: (x, y), radius, fill, stroke } => format!(
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" {}/>",
            number(*x),
            number(*y),
            number(*radius),
            painted(Some(*fill), Some(stroke))
        ),
        Mark::Cells { corner, side, rows, fill } => {
            format!("<path d=\"{}\" {}/>", filled(*corner, *side, rows), painted(Some(*fill), None))
        }
        Mark::Text(label) => written(label),
    }
}

/// Returns the filled cells as one outline for each run in a row. All are one shape, so that no seam shows between rows.
fn filled((x, y): Point, side: f64, rows: &[Vec<bool>]) -> String {
    let mut outline = String::new();
    for (at, row) in rows.iter().enumerate() {
        let mut column = 0;
        for run in row.chunk_by(|one, other| one == other) {
            if run[0] {
                let (left, top) = (x + side * column as f64, y + side * at as f64);
                let (width, height) = (number(side * run.len() as f64), number(side));
                let _ = write!(outline, "M{},{}h{width}v{height}h-{width}z", number(left), number(top));
            }
            column += run.len();
        }
    }
    outline
}

fn written(label: &Label) -> String {
    let anchor = match label.anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let weight = if label.bold { " font-weight=\"bold\"" } else { "" };
    format!(
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{weight}{anchor} {}>{}</text>",
        number(label.at.0),
        number(label.at.1),
        number(label.size.points()),
        painted(Some(label.role), None),
        markup(&metrics::fitted(label).replace(['\n', '\r', '\t'], " ")),
    )
}

/// Returns the attributes of the inside and the rim, with their classes first.
fn painted(fill: Option<Role>, stroke: Option<&Stroke>) -> String {
    let mut classes = Vec::new();
    let mut attributes = String::new();
    match fill {
        Some(role) => {
            classes.push(format!("fill-{}", word(role)));
            let _ = write!(attributes, " fill=\"{}\"", colour(role));
        }
        None => attributes.push_str(" fill=\"none\""),
    }
    if let Some(stroke) = stroke {
        classes.push(format!("stroke-{}", word(stroke.role)));
        let _ = write!(attributes, " stroke=\"{}\" stroke-width=\"{}\"", colour(stroke.role), number(stroke.width));
        match stroke.dash {
            Dash::Solid => {}
            Dash::Dashed => attributes.push_str(" stroke-dasharray=\"4 2.5\""),
            Dash::Dotted => attributes.push_str(" stroke-dasharray=\"1 2\""),
        }
    }
    format!("class=\"{}\"{attributes}", classes.join(" "))
}

fn places(points: &[Point]) -> String {
    points.iter().map(|(x, y)| format!("{},{}", number(*x), number(*y))).collect::<Vec<_>>().join(" ")
}

/// Returns a length with at most two decimals; what is no number becomes 0.
fn number(length: f64) -> String {
    let length = if length.is_finite() { length } else { 0.0 };
    let written = format!("{length:.2}");
    let short = written.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}
