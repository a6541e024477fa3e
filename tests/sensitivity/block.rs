//! A table of Markdown with the sentence that says what it means for a hospital.

/// A table and its meaning.
pub struct Block {
    pub title: &'static str,
    pub meaning: String,
    pub columns: Vec<&'static str>,
    pub rows: Vec<Vec<String>>,
}

impl Block {
    /// Returns it as Markdown.
    pub fn text(&self) -> String {
        let line = |cells: Vec<&str>| format!("| {} |\n", cells.join(" | "));
        let marks = (0..self.columns.len()).map(|column| if column == 0 { "---" } else { "---:" }).collect();
        let head = line(self.columns.clone()) + &line(marks);
        let rows: String = self.rows.iter().map(|row| line(row.iter().map(String::as_str).collect())).collect();
        format!("### {}\n\n{}\n\n{head}{rows}", self.title, self.meaning)
    }
}

/// Returns a share in percent with two decimals, rounded down: a promise that is missed by a hair must not look kept.
pub fn at_least(share: f64) -> String {
    // What sums of probabilities lose to rounding is far below this.
    format!("{:.2} %", (share * 1e4 + 1e-6).floor() / 1e2)
}

/// Returns a share in percent with two decimals.
pub fn percent(share: f64) -> String {
    format!("{:.2} %", share * 1e2)
}

/// Returns a share in whole percent.
pub fn in_hundred(share: f64) -> String {
    match share * 1e2 {
        low if low < 0.5 && low > 0.0 => "< 1 %".to_owned(),
        high if high > 99.5 && high < 100.0 => "> 99 %".to_owned(),
        other => format!("{other:.0} %"),
    }
}

/// Returns how many of how many.
pub fn of(k: usize, n: usize) -> String {
    format!("{k} of {n}")
}
