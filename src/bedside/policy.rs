//! What a page is allowed to do, as browsers are told it: its own style and script, and nothing else.
//!
//! Takes the two texts and gives the value of a Content-Security-Policy. A script that came in by way of a remark has
//! another digest, and no browser runs it.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// Returns the policy of a page with one style and one script, whose texts stand between their tags exactly so.
pub fn of(style: &str, script: &str) -> String {
    let digest = |text: &str| STANDARD.encode(Sha256::digest(text.as_bytes()));
    format!(
        "default-src 'none'; style-src 'sha256-{}'; script-src 'sha256-{}'; base-uri 'none'; form-action 'none'",
        digest(style),
        digest(script)
    )
}

#[cfg(test)]
mod tests {
    /// The digest of nothing, as `openssl dgst -sha256 -binary < /dev/null | base64` prints it.
    #[test]
    fn the_digest_is_that_of_other_programs() {
        let nothing = "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='";
        assert_eq!(super::of("", "").matches(nothing).count(), 2);
    }
}
