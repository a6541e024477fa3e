//! The report as a value: about, figures for scripts, and sections of plain blocks for people.
//!
//! Every text is plain: no markup, no escapes. [`Report::map_texts`] is the one place that knows where texts are,
//! for a rendering that cannot carry every character.

use super::picture::{Drawing, svg};
pub use crate::register::site::Paper;
use serde::ser::SerializeStruct;
use serde::{Serialize, Serializer};

/// A whole report.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Report {
    pub about: About,
    /// Every figure as a row, for spreadsheets and scripts. The same numbers stand in the sections.
    pub figures: Vec<Figure>,
    /// What people read, in order. The first section is page one.
    pub sections: Vec<Section>,
}

/// What the report is about and what it was built from.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct About {
    pub title: String,
    pub site: String,
    /// The period as it is asked for, such as `2026-10`; also the file name's stem.
    pub period: String,
    /// The period in words, such as `October 2026`.
    pub period_words: String,
    /// First and last day of the period.
    pub from: String,
    pub to: String,
    /// What happened after this moment is not counted.
    pub as_of: String,
    /// The commit it was built from; nothing when the files are in no git history.
    pub commit: Option<String>,
    /// The time of that commit, which is also the document's date: the same commit gives the same bytes.
    pub commit_time: Option<String>,
    /// Seconds since 1970 of the document's date.
    pub timestamp: i64,
    pub records_counted: usize,
    pub records_left_out: usize,
    pub language: String,
    /// The sheet the report is printed on.
    pub paper: Paper,
    /// One line for the foot of every page: site, period, commit.
    pub foot: String,
}

/// One figure: what, of what, and the number with its counts and limits, each as printed.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Figure {
    /// Which figure, such as `failed-checks`.
    pub figure: String,
    /// What it is about: `all`, a machine's id, an item's id.
    pub of: String,
    /// The count above the line, where the figure is a count or a share.
    pub k: Option<u64>,
    /// The count below the line.
    pub n: Option<u64>,
    pub value: Option<String>,
    pub unit: String,
    pub lower: Option<String>,
    pub upper: Option<String>,
    /// `value`, `more-than` (the true number is larger than the value), `too-little-data`, `not-recorded`, or `not-given`
    /// (there is enough data, and they say that this figure would mislead).
    pub state: String,
    /// The figure in a sentence.
    pub note: String,
}

/// A section with its heading.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Section {
    /// A short id, for links.
    pub id: String,
    pub title: String,
    pub blocks: Vec<Block>,
    /// Whether it begins on a new page in print.
    pub new_page: bool,
}

/// One block of a section.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "block", content = "content")]
pub enum Block {
    /// The figures of page one: a label, a value in large type, a line below.
    Tiles(Vec<Tile>),
    Paragraph(String),
    /// A sentence that must not be missed.
    Notice(String),
    Heading(String),
    List(Vec<String>),
    Table(Table),
    Picture(Picture),
    /// Steps in time, such as a fault's way from found to released.
    Steps(Vec<Step>),
    /// Lines to sign on, one for each role.
    Signatures(Vec<String>),
}

/// One figure of page one.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Tile {
    pub label: String,
    pub value: String,
    pub detail: String,
}

/// A table with its caption, which says what it shows.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Table {
    pub caption: String,
    pub columns: Vec<Column>,
    pub rows: Vec<Vec<String>>,
    /// Whether the last row is a total.
    pub total: bool,
}

/// A picture with the sentence that reads it out and the numbers behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// A short id of its own among the pictures, such as `failed-checks-by-month`.
    pub id: String,
    /// What it shows.
    pub caption: String,
    /// What it says, for those who do not see it and for those in a hurry.
    pub reads: String,
    pub drawing: Drawing,
    /// The numbers behind it; a table without columns is not shown, where they stand in another section.
    pub table: Table,
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Column {
    pub title: String,
    pub align: Align,
}

/// How a column is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Align {
    Left,
    Right,
}

/// One step in time.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Step {
    pub when: String,
    pub what: String,
    pub who: String,
    /// The record that says so.
    pub record: String,
}

impl Column {
    /// Returns a column of words.
    pub fn left(title: &str) -> Column {
        Column { title: title.to_owned(), align: Align::Left }
    }

    /// Returns a column of numbers.
    pub fn right(title: &str) -> Column {
        Column { title: title.to_owned(), align: Align::Right }
    }
}

impl Table {
    /// Returns the number of columns that hold every cell, also of a row that is longer than the heads.
    pub fn width(&self) -> usize {
        self.rows.iter().map(Vec::len).max().unwrap_or(0).max(self.columns.len())
    }

    fn change_texts(&mut self, change: &mut impl FnMut(&mut String)) {
        change(&mut self.caption);
        self.columns.iter_mut().for_each(|column| change(&mut column.title));
        self.rows.iter_mut().flatten().for_each(change);
    }

    /// Returns how a column is set; one without a head is set left.
    pub fn align(&self, column: usize) -> Align {
        self.columns.get(column).map_or(Align::Left, |column| column.align)
    }
}

impl Serialize for Picture {
    /// Writes the drawing as SVG, which every reader of the data can show.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut fields = serializer.serialize_struct("Picture", 5)?;
        fields.serialize_field("id", &self.id)?;
        fields.serialize_field("caption", &self.caption)?;
        fields.serialize_field("reads", &self.reads)?;
        fields.serialize_field("svg", &svg::write(&self.drawing, &self.id, &self.caption, &self.reads))?;
        fields.serialize_field("table", &self.table)?;
        fields.end()
    }
}

impl Report {
    /// Returns the report with every text that people read changed by `change`: not the ids, not the figures.
    pub fn map_texts(&self, mut change: impl FnMut(&str) -> String) -> Report {
        let mut report = self.clone();
        let mut change = |text: &mut String| *text = change(text);
        let about = &mut report.about;
        for text in [
            &mut about.title,
            &mut about.site,
            &mut about.period,
            &mut about.period_words,
            &mut about.from,
            &mut about.to,
            &mut about.as_of,
            &mut about.foot,
        ] {
            change(text);
        }
        for section in &mut report.sections {
            change(&mut section.title);
            section.blocks.iter_mut().for_each(|block| block.change_texts(&mut change));
        }
        report
    }
}

impl Block {
    fn change_texts(&mut self, change: &mut impl FnMut(&mut String)) {
        match self {
            Block::Tiles(tiles) => tiles.iter_mut().for_each(|tile| {
                [&mut tile.label, &mut tile.value, &mut tile.detail].into_iter().for_each(&mut *change);
            }),
            Block::Paragraph(text) | Block::Notice(text) | Block::Heading(text) => change(text),
            Block::List(texts) | Block::Signatures(texts) => texts.iter_mut().for_each(change),
            Block::Table(table) => table.change_texts(change),
            Block::Picture(picture) => {
                change(&mut picture.caption);
                change(&mut picture.reads);
                picture.drawing.texts_mut().for_each(&mut *change);
                picture.table.change_texts(change);
            }
            Block::Steps(steps) => steps.iter_mut().for_each(|step| {
                [&mut step.when, &mut step.what, &mut step.who, &mut step.record].into_iter().for_each(&mut *change);
            }),
        }
    }
}
