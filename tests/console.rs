//! The console blocks of the README, run as they are written, so that the README cannot lie.
//!
//! `TRYCMD=overwrite cargo test --test console` writes the output in; read it before you commit it.

#[test]
fn the_readme_shows_what_the_program_says() {
    trycmd::TestCases::new().case("README.md");
}
