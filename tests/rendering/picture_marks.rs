//! What holds for every picture: the same bytes, well formed, nothing beyond its sheet, no word over another.

use pinindex::report::picture::svg;

use crate::{golden, pictures};

#[test]
fn the_pictures_are_those_that_were_looked_at() {
    for name in pictures::NAMES {
        let drawn = svg::write(&pictures::drawn(name), name, "A title", "What it says.");
        golden::matches(&format!("pictures/{name}.svg"), &drawn);
    }
}
