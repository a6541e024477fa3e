//! The console blocks of the README and of `tests/console/`, run as they are written, so that the README cannot lie.
//!
//! `TRYCMD=overwrite cargo test --test console` writes the output in; read it before you commit it.

#[test]
fn pages_show_what_the_program_says() {
    trycmd::TestCases::new().case("README.md").case("tests/console/*.md");
}
