//! A drawing as plain data: a sheet, and marks on it.
//!
//! Lengths are points, from the upper left corner. A mark says what it means by its [`Role`]; which colour that is,
//! the rendering decides. A text has the room it may take: the rendering shortens what is longer, so that no name,
//! however long, runs over its neighbour.

/// A place on the sheet: to the right, and down.
pub type Point = (f64, f64);

/// A sheet with marks, later ones above earlier ones.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    pub width: f64,
    pub height: f64,
    pub marks: Vec<Mark>,
}

/// One mark.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A line through points.
    Path {
        points: Vec<Point>,
        stroke: Stroke,
    },
    /// A closed shape.
    Area {
        points: Vec<Point>,
        fill: Role,
        stroke: Option<Stroke>,
    },
    Rectangle {
        corner: Point,
        width: f64,
        height: f64,
        fill: Role,
        stroke: Option<Stroke>,
    },
    Dot {
        centre: Point,
        radius: f64,
        fill: Role,
        stroke: Stroke,
    },
    /// Square cells in rows, of which some are filled: what a camera reads.
    Cells {
        corner: Point,
        side: f64,
        rows: Vec<Vec<bool>>,
        fill: Role,
    },
    Text(Label),
}

/// What a mark means, from the strongest to the faintest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Words and numbers.
    Ink,
    /// The data.
    Accent,
    /// Words that stand back.
    Soft,
    /// The rim of what must be seen.
    Edge,
    /// Lines that only guide the eye.
    Line,
    /// A range.
    Band,
    /// What is set off from the ground.
    Shade,
    /// The paper; the inside of a hollow mark.
    Ground,
    /// Black for a camera, whatever the colours of the page.
    Black,
    /// White for a camera, whatever the colours of the page.
    White,
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    pub role: Role,
    pub width: f64,
    pub dash: Dash,
}

/// Whether a line is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dash {
    Solid,
    Dashed,
    Dotted,
}

/// A text on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Where its base line begins, has its middle or ends.
    pub at: Point,
    pub anchor: Anchor,
    pub size: Size,
    pub bold: bool,
    pub role: Role,
    /// The widest it may become.
    pub room: f64,
    pub content: String,
}

/// Which part of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// How large a text is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    Small,
    Normal,
}

impl Size {
    /// Returns the size of the letters in points.
    pub fn points(self) -> f64 {
        match self {
            Size::Small => 6.8,
            Size::Normal => 7.6,
        }
    }
}

impl Stroke {
    /// Returns an unbroken line.
    pub fn solid(role: Role, width: f64) -> Stroke {
        Stroke { role, width, dash: Dash::Solid }
    }

    /// Returns a broken line.
    pub fn dashed(role: Role, width: f64) -> Stroke {
        Stroke { role, width, dash: Dash::Dashed }
    }

    /// Returns a line of dots.
    pub fn dotted(role: Role, width: f64) -> Stroke {
        Stroke { role, width, dash: Dash::Dotted }
    }
}

impl Label {
    /// Returns a text of normal size that begins at a place.
    pub fn new(content: &str, at: Point, room: f64) -> Label {
        let content = content.to_owned();
        Label { at, anchor: Anchor::Start, size: Size::Normal, bold: false, role: Role::Ink, room, content }
    }

    /// Returns the text set small and standing back.
    pub fn small(self) -> Label {
        Label { size: Size::Small, role: Role::Soft, ..self }
    }

    /// Returns the text with another part at its place.
    pub fn anchored(self, anchor: Anchor) -> Label {
        Label { anchor, ..self }
    }

    /// Returns the text in ink, bold where `bold` says so.
    pub fn bold(self, bold: bool) -> Label {
        Label { bold, role: if bold { Role::Ink } else { self.role }, ..self }
    }
}

impl Drawing {
    /// Returns an empty sheet.
    pub fn sheet(width: f64, height: f64) -> Drawing {
        Drawing { width, height, marks: Vec::new() }
    }

    /// Draws a straight line.
    pub fn line(&mut self, from: Point, to: Point, stroke: Stroke) {
        self.path(vec![from, to], stroke);
    }

    /// Draws a line through points.
    pub fn path(&mut self, points: Vec<Point>, stroke: Stroke) {
        if points.len() > 1 {
            self.marks.push(Mark::Path { points, stroke });
        }
    }

    /// Draws a closed shape.
    pub fn area(&mut self, points: Vec<Point>, fill: Role, stroke: Option<Stroke>) {
        if points.len() > 2 {
            self.marks.push(Mark::Area { points, fill, stroke });
        }
    }

    /// Draws a rectangle between two corners.
    pub fn rectangle(&mut self, one: Point, other: Point, fill: Role, stroke: Option<Stroke>) {
        let corner = (one.0.min(other.0), one.1.min(other.1));
        let (width, height) = ((one.0 - other.0).abs(), (one.1 - other.1).abs());
        self.marks.push(Mark::Rectangle { corner, width, height, fill, stroke });
    }

    /// Draws square cells in rows, of which some are filled.
    pub fn cells(&mut self, corner: Point, side: f64, rows: Vec<Vec<bool>>, fill: Role) {
        self.marks.push(Mark::Cells { corner, side, rows, fill });
    }

    /// Draws a dot: filled with its own role, or hollow.
    pub fn dot(&mut self, centre: Point, radius: f64, role: Role, hollow: bool) {
        let fill = if hollow { Role::Ground } else { role };
        self.marks.push(Mark::Dot { centre, radius, fill, stroke: Stroke::solid(role, 1.0) });
    }

    /// Draws a diamond, the shape of what lies outside.
    pub fn diamond(&mut self, (x, y): Point, radius: f64, role: Role) {
        let points = vec![(x, y - radius), (x + radius, y), (x, y + radius), (x - radius, y)];
        self.area(points, Role::Ground, Some(Stroke::solid(role, 1.3)));
        self.dot((x, y), radius / 4.0, role, false);
    }

    /// Draws a cross.
    pub fn cross(&mut self, (x, y): Point, radius: f64, stroke: Stroke) {
        self.line((x - radius, y - radius), (x + radius, y + radius), stroke);
        self.line((x - radius, y + radius), (x + radius, y - radius), stroke);
    }

    /// Writes a text; one of blanks is left out.
    pub fn text(&mut self, label: Label) {
        if !label.content.trim().is_empty() {
            self.marks.push(Mark::Text(label));
        }
    }

    /// Returns the texts, to be changed.
    pub fn texts_mut(&mut self) -> impl Iterator<Item = &mut String> {
        self.marks.iter_mut().filter_map(|mark| match mark {
            Mark::Text(label) => Some(&mut label.content),
            _ => None,
        })
    }

    /// Returns the texts.
    pub fn texts(&self) -> impl Iterator<Item = &Label> {
        self.marks.iter().filter_map(|mark| match mark {
            Mark::Text(label) => Some(label),
            _ => None,
        })
    }
}
