//! The report as Markdown, with tables in the dialect that code hosts read.
//!
//! Takes plain texts and gives markup in which each of them appears as typed and does nothing: no link, no emphasis,
//! no HTML, no table cell more than there is. Blocks that Markdown has no form for (figures of page one, steps in
//! time, lines to sign on) become tables.

use super::document::{Align, Block, Picture, Report, Step, Table, Tile};
use super::words::WORDS;
use crate::diagnostic::hidden::by_number;

/// Returns the whole report as Markdown.
pub fn render(report: &Report) -> String {
    let report = &report.map_texts(by_number);
    let about = &report.about;
    let title = if about.title.trim().is_empty() { WORDS.untitled } else { &about.title };
    let mut blocks = vec![
        format!("# {}", escape(title)),
        escape(&about.site),
        format!("{} ({} {} {})", escape(&about.period_words), escape(&about.from), WORDS.from_to, escape(&about.to)),
    ];
    for section in &report.sections {
        if !section.title.is_empty() {
            blocks.push(format!("## {}", escape(&section.title)));
        }
        blocks.extend(section.blocks.iter().map(block));
    }
    blocks.push("---".to_owned());
    blocks.push(escape(&about.foot));
    blocks.retain(|block| !block.is_empty());
    blocks.join("\n\n") + "\n"
}

/// Returns one block as Markdown, without a line break at its end.
pub fn block(block: &Block) -> String {
    match block {
        Block::Tiles(tiles) => tile_rows(tiles),
        Block::Paragraph(text) => escape(text),
        Block::Notice(text) => format!("> **{}:** {}", WORDS.notice, escape(text)),
        Block::Heading(text) => format!("### {}", escape(text)),
        Block::List(texts) => texts.iter().map(|text| format!("- {}", escape(text))).collect::<Vec<_>>().join("\n"),
        Block::Table(table) => captioned(table),
        Block::Picture(picture) => told(picture),
        Block::Steps(steps) => step_rows(steps),
        Block::Signatures(roles) => signature_rows(roles),
    }
}

/// Returns the text in Markdown that shows exactly this text.
///
/// A line break inside a text is written as a character reference: so a text stays on its line and can't begin
/// a new block, a new row or a new quotation, wherever it stands.
pub fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len() + 8);
    // Digits followed by a dot or a bracket and a space would begin a numbered list.
    let numbered = text.bytes().take_while(u8::is_ascii_digit).count();
    let mut rest = text.char_indices().peekable();
    while let Some((at, c)) = rest.next() {
        let next = rest.peek().map_or(' ', |(_, next)| *next);
        let edge = at == 0 || rest.peek().is_none();
        let number = numbered > 0 && at == numbered && next.is_whitespace();
        let risky = match c {
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '$' | '@' => true,
            // A character reference, which would show as another character.
            '&' => text[at..].contains(';') && (next == '#' || next.is_ascii_alphabetic()),
            // An address or a picture code; not the colon of a time.
            ':' => at == 0 || !next.is_ascii_digit() && !next.is_whitespace(),
            '.' => number || begins_address(&text.as_bytes()[..at]),
            ')' => number,
            // A list, a rule or the line under a heading.
            '-' | '+' | '=' => at == 0,
            _ => false,
        };
        // Readers trim what is blank at the edges, and a mark of byte order at the start.
        if c.is_control() || edge && (c.is_whitespace() || c == '\u{FEFF}') {
            escaped.push_str(&format!("&#{};", u32::from(c)));
        } else if risky {
            escaped.extend(['\\', c]);
        } else {
            escaped.push(c);
        }
    }
    escaped
}

fn begins_address(before: &[u8]) -> bool {
    before.len() >= 3 && before[before.len() - 3..].eq_ignore_ascii_case(b"www")
}

fn tile_rows(tiles: &[Tile]) -> String {
    let rows = tiles.iter().map(|tile| cells([&tile.label, &tile.value, &tile.detail])).collect();
    grid(&[WORDS.figure, WORDS.value, WORDS.detail].map(left), rows)
}

fn step_rows(steps: &[Step]) -> String {
    let rows = steps.iter().map(|step| cells([&step.when, &step.what, &step.who, &step.record])).collect();
    grid(&[WORDS.when, WORDS.what, WORDS.who, WORDS.record].map(left), rows)
}

fn signature_rows(roles: &[String]) -> String {
    let rows = roles.iter().map(|role| cells([role])).collect();
    grid(&[WORDS.role, WORDS.name_in_print, WORDS.date, WORDS.signature].map(left), rows)
}

/// Returns a picture as what it shows, what it says and its numbers: Markdown holds no drawing.
fn told(picture: &Picture) -> String {
    let caption = match picture.caption.trim() {
        "" => String::new(),
        _ => format!("**{}**", escape(&picture.caption)),
    };
    let parts = [caption, escape(&picture.reads), captioned(&picture.table)];
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("\n\n")
}

fn captioned(table: &Table) -> String {
    let title = |column: usize| table.columns.get(column).map_or("", |column| &column.title);
    let heads: Vec<_> = (0..table.width()).map(|column| (title(column), table.align(column))).collect();
    let mut rows: Vec<_> = table.rows.iter().map(cells).collect();
    if let Some(total) = rows.last_mut().filter(|_| table.total) {
        total.iter_mut().filter(|cell| !cell.is_empty()).for_each(|cell| *cell = format!("**{cell}**"));
    }
    let rows = grid(&heads, rows);
    if table.caption.is_empty() { rows } else { format!("**{}**\n\n{rows}", escape(&table.caption)) }
}

fn left(head: &'static str) -> (&'static str, Align) {
    (head, Align::Left)
}

fn cells<'a>(texts: impl IntoIterator<Item = &'a String>) -> Vec<String> {
    texts.into_iter().map(|text| escape(text)).collect()
}

/// Returns a table of cells that are Markdown already; a short row is filled up.
fn grid(heads: &[(&str, Align)], rows: Vec<Vec<String>>) -> String {
    if heads.is_empty() {
        return String::new();
    }
    let rule = |align: &Align| match align {
        Align::Left => "---".to_owned(),
        Align::Right => "--:".to_owned(),
    };
    let line = |cells: &[String]| {
        let empty = String::new();
        let cells = (0..heads.len()).map(|column| cells.get(column).unwrap_or(&empty).as_str());
        format!("| {} |", cells.collect::<Vec<_>>().join(" | "))
    };
    let titles: Vec<_> = heads.iter().map(|(title, _)| escape(title)).collect();
    let rules: Vec<_> = heads.iter().map(|(_, align)| rule(align)).collect();
    let mut lines = vec![line(&titles), line(&rules)];
    lines.extend(rows.iter().map(|row| line(row)));
    lines.join("\n")
}
