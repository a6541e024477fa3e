//! The report as one web page that needs nothing else: no script, no picture file, no other address.
//!
//! Prose (headings, paragraphs, notes, lists) is the Markdown of the report, turned into HTML by comrak. Tables, the
//! figures of page one, steps and lines to sign on are written here, because Markdown has no caption, no head cell
//! that names its scope and no group of figures: patching those into finished HTML would break with the next
//! release of the converter, while a block that is written once cannot.

use super::document::{Align, Block, Column, Paper, Picture, Report, Section, Step, Table, Tile};
use super::markdown;
use super::picture::svg;
use super::words::WORDS;
use crate::diagnostic::hidden::{by_number, markup};

const STYLE: &str = include_str!("../../report-templates/summary.css");

/// Returns the whole page.
pub fn render(report: &Report) -> String {
    let report = &report.map_texts(by_number);
    let about = &report.about;
    let title = if about.title.trim().is_empty() { WORDS.untitled } else { &about.title };
    let paper = match about.paper {
        Paper::A4 => "A4",
        Paper::UsLetter => "letter",
    };
    let mut counted = Counted::default();
    let sections: String = (0..report.sections.len()).map(|at| section(&report.sections, at, &mut counted)).collect();
    format!(
        "<!DOCTYPE html>\n<html lang=\"{language}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n<meta name=\"generator\" content=\"pinindex\">\n\
         <title>{title}, {site}, {words}</title>\n<style>\n{STYLE}@page {{ size: {paper}; }}\n</style>\n</head>\n\
         <body>\n<header>\n<p class=\"site\">{site}</p>\n<h1>{title}</h1>\n\
         <p class=\"period\">{words} <span>({from} {to_word} {to})</span></p>\n</header>\n\
         <main>\n{sections}</main>\n<footer>\n<p>{foot}</p>\n</footer>\n</body>\n</html>\n",
        language = language(&about.language),
        title = markup(title),
        site = markup(&about.site),
        words = markup(&about.period_words),
        from = markup(&about.from),
        to_word = WORDS.from_to,
        to = markup(&about.to),
        foot = markup(&about.foot),
    )
}

/// How many there were so far: ids must differ within a page.
#[derive(Default)]
struct Counted {
    tables: usize,
    pictures: usize,
}

fn section(sections: &[Section], at: usize, counted: &mut Counted) -> String {
    let section = &sections[at];
    let id = anchor(sections, at);
    // Page one is the first section's alone. Of the others only the last begins a page, so that none ends early.
    let last = at + 1 == sections.len();
    let class = if at == 1 || last && section.new_page { " class=\"new-page\"" } else { "" };
    let blocks: String = section.blocks.iter().map(|part| block(part, counted)).collect();
    if section.title.trim().is_empty() {
        return format!("<div id=\"{id}\"{class}>\n{blocks}</div>\n");
    }
    let heading = prose(&format!("## {}", markdown::escape(&section.title)));
    let heading = heading.replacen("<h2>", &format!("<h2 id=\"{id}\">"), 1);
    format!("<section aria-labelledby=\"{id}\"{class}>\n{heading}{blocks}</section>\n")
}

fn block(block: &Block, counted: &mut Counted) -> String {
    match block {
        Block::Paragraph(text) | Block::Heading(text) if text.trim().is_empty() => String::new(),
        Block::Paragraph(_) | Block::Heading(_) | Block::List(_) => prose(&markdown::block(block)),
        Block::Notice(text) => {
            format!("<div class=\"notice\" role=\"note\">\n{}</div>\n", prose(&markdown::escape(text)))
        }
        Block::Tiles(parts) => tiles(parts),
        Block::Table(part) => table(part, "", counted),
        Block::Picture(part) => picture(part, counted),
        Block::Steps(parts) => table(&steps(parts), " class=\"steps\"", counted),
        Block::Signatures(roles) => table(&signatures(roles), " class=\"signatures\"", counted),
    }
}

/// Returns the HTML of Markdown; raw HTML, were there any, is left out by comrak.
fn prose(markdown: &str) -> String {
    comrak::markdown_to_html(markdown, &comrak::Options::default())
}

fn tiles(tiles: &[Tile]) -> String {
    if tiles.is_empty() {
        return String::new();
    }
    let tile = |tile: &Tile| {
        let [label, value, detail] = [&tile.label, &tile.value, &tile.detail].map(|part| markup(part));
        format!("<div>\n<dt>{label}</dt>\n<dd class=\"value\">{value}</dd>\n<dd>{detail}</dd>\n</div>\n")
    };
    format!("<dl class=\"tiles\">\n{}</dl>\n", tiles.iter().map(tile).collect::<String>())
}

/// Returns a picture, what it says, and its numbers; many numbers are folded away, on screen.
fn picture(picture: &Picture, counted: &mut Counted) -> String {
    const FEW: usize = 6;
    counted.pictures += 1;
    let named = |text: &str| if text.trim().is_empty() { String::new() } else { text.to_owned() };
    let (caption, reads) = (named(&picture.caption), named(&picture.reads));
    let title = if caption.is_empty() { WORDS.picture } else { &caption };
    let drawn = svg::write(&picture.drawing, &format!("picture-{}", counted.pictures), title, &reads);
    let caption = match caption.as_str() {
        "" => String::new(),
        caption => format!("<figcaption>{}</figcaption>\n", markup(caption)),
    };
    let reads = if reads.is_empty() { reads } else { format!("<p>{}</p>\n", markup(&reads)) };
    let numbers = match table(&picture.table, "", counted) {
        numbers if numbers.is_empty() => numbers,
        numbers => {
            let open = if picture.table.rows.len() > FEW { "" } else { " open" };
            format!("<details{open}>\n<summary>{}</summary>\n{numbers}</details>\n", WORDS.behind)
        }
    };
    format!("<figure class=\"picture\">\n{caption}<div class=\"drawn\">\n{drawn}</div>\n{reads}{numbers}</figure>\n")
}

fn steps(steps: &[Step]) -> Table {
    let cells = |step: &Step| [&step.when, &step.what, &step.who, &step.record].map(Clone::clone).to_vec();
    Table {
        caption: String::new(),
        columns: [WORDS.when, WORDS.what, WORDS.who, WORDS.record].map(Column::left).to_vec(),
        rows: steps.iter().map(cells).collect(),
        total: false,
    }
}

fn signatures(roles: &[String]) -> Table {
    Table {
        caption: String::new(),
        columns: [WORDS.role, WORDS.name_in_print, WORDS.date, WORDS.signature].map(Column::left).to_vec(),
        rows: roles.iter().map(|role| vec![role.clone()]).collect(),
        total: false,
    }
}

/// Returns a table in a region of its own that scrolls by finger and by keyboard when the screen is narrower.
fn table(table: &Table, class: &str, counted: &mut Counted) -> String {
    let width = table.width();
    if width == 0 {
        return String::new();
    }
    counted.tables += 1;
    let tables = counted.tables;
    let (region, caption) = if table.caption.trim().is_empty() {
        (format!("aria-label=\"{} {tables}\"", WORDS.table), String::new())
    } else {
        let id = format!("table-{tables}");
        (format!("aria-labelledby=\"{id}\""), format!("<caption id=\"{id}\">{}</caption>\n", markup(&table.caption)))
    };
    let title = |column: usize| table.columns.get(column).map_or("", |column| &column.title);
    let heads: String = (0..width).map(|column| head(title(column), table.align(column))).collect();
    let last = table.rows.len().saturating_sub(1);
    let row = |(at, cells): (usize, &Vec<String>)| {
        let total = if table.total && at == last { " class=\"total\"" } else { "" };
        let cells: String = (0..width).map(|column| cell(table, cells, column)).collect();
        format!("<tr{total}>{cells}</tr>\n")
    };
    let rows: String = table.rows.iter().enumerate().map(row).collect();
    format!(
        "<div class=\"wide\" role=\"region\" {region} tabindex=\"0\">\n<table{class}>\n{caption}\
         <thead>\n<tr>{heads}</tr>\n</thead>\n<tbody>\n{rows}</tbody>\n</table>\n</div>\n"
    )
}

fn head(title: &str, align: Align) -> String {
    // A head cell without words would name nothing.
    let tag = if title.trim().is_empty() { "td" } else { "th" };
    let scope = if tag == "th" { " scope=\"col\"" } else { "" };
    format!("<{tag}{scope}{}>{}</{tag}>", side(align), markup(title))
}

/// Returns a cell; a first cell of words heads its row.
fn cell(table: &Table, cells: &[String], column: usize) -> String {
    let content = cells.get(column).map(String::as_str).unwrap_or_default();
    let align = table.align(column);
    if column == 0 && align == Align::Left && !content.trim().is_empty() {
        format!("<th scope=\"row\">{}</th>", markup(content))
    } else {
        format!("<td{}>{}</td>", side(align), markup(content))
    }
}

fn side(align: Align) -> &'static str {
    match align {
        Align::Left => "",
        Align::Right => " class=\"number\"",
    }
}

/// Returns the section's own id where it is a plain word of its own, so that links to it last; else its number.
fn anchor(sections: &[Section], at: usize) -> String {
    let id = &sections[at].id;
    let plain = id.starts_with(|c: char| c.is_ascii_lowercase())
        && id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
    let taken = sections[..at].iter().any(|section| section.id == *id);
    let ours = id.starts_with("table-") || id.starts_with("picture-") || id.starts_with("section-");
    if plain && !taken && !ours { id.clone() } else { format!("section-{}", at + 1) }
}

fn language(language: &str) -> &str {
    let plain = !language.is_empty() && language.chars().all(|c| c.is_ascii_alphanumeric() || c == '-');
    if plain { language } else { "en" }
}
