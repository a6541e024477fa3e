//! Our own judgement of signatures, on those that git and ssh-keygen made, on published values, and on anything at all.

use crate::bench::{Bench, fingerprint, run};
use pinindex::logbook::signed_commits;
use pinindex::signature::{Check, PublicKey, check, from_answer, sign, to_be_signed};
use proptest::prelude::*;
use ssh_key::PrivateKey;
use ssh_key::private::{Ed25519Keypair, Ed25519PrivateKey};
use std::path::Path;
use std::process::Command;

/// Returns the signature that ssh-keygen makes of a file for a purpose.
fn by_ssh_keygen(key: &Path, purpose: &str, file: &Path) -> String {
    let signature = file.with_extension("sig");
    let _ = std::fs::remove_file(&signature);
    run(Command::new("ssh-keygen").args(["-Y", "sign", "-q", "-n", purpose, "-f"]).arg(key).arg(file)).is(0);
    std::fs::read_to_string(signature).unwrap()
}

#[test]
fn signatures_of_ssh_keygen_are_judged_as_it_judges_them() {
    let bench = Bench::new();
    bench.make_key(".ssh/id_ed25519", "");
    let (key, file) = (bench.ssh("id_ed25519"), bench.home.path().join("text"));
    let print = fingerprint(&key.with_extension("pub"));
    for text in ["", "tree 1\n\nwords\n", "\0\u{ff}\n"] {
        std::fs::write(&file, text).unwrap();
        let armored = by_ssh_keygen(&key, "git", &file);
        assert!(matches!(check(text.as_bytes(), &armored), Check::Good(by) if by.to_string() == print), "{text:?}");
        assert!(matches!(check(b"other", &armored), Check::Bad(by, _) if by.to_string() == print));
        // Ours is the same to the last byte: Ed25519 leaves nothing to chance.
        let private = PrivateKey::read_openssh_file(&key).unwrap();
        assert_eq!(sign(&private, text.as_bytes()).unwrap(), armored);
        let other_purpose = by_ssh_keygen(&key, "file", &file);
        assert!(matches!(check(text.as_bytes(), &other_purpose), Check::Bad(_, why) if why.contains("something else")));
    }
}

#[test]
fn a_signature_of_git_itself_is_good() {
    let bench = Bench::new();
    bench.make_key(".ssh/id_ed25519", "");
    let key = bench.ssh("id_ed25519");
    let mut git = bench.git(&["-c", "user.name=A", "-c", "user.email=a@h.example", "-c", "gpg.format=ssh"]);
    git.args(["-c", &format!("user.signingkey={}", key.display())]);
    run(git.args(["commit", "--quiet", "--allow-empty", "-S", "--message", "one line\n\nÄnother\n"])).is(0);
    let signed = signed_commits(&bench.root(), &[bench.id("HEAD"), bench.id("HEAD~1")]).unwrap();
    let [Some(signed), None] = signed.as_slice() else { panic!("{signed:?}") };
    let print = fingerprint(&key.with_extension("pub"));
    assert!(matches!(check(&signed.payload, &signed.armored), Check::Good(by) if by.to_string() == print));
}

#[test]
fn other_kinds_cannot_be_judged_here() {
    let bench = Bench::new();
    let (key, file) = (bench.ssh("id_rsa"), bench.home.path().join("text"));
    run(Command::new("ssh-keygen").args(["-q", "-t", "rsa", "-b", "2048", "-N", "", "-f"]).arg(&key)).is(0);
    std::fs::write(&file, "words").unwrap();
    let rsa = by_ssh_keygen(&key, "git", &file);
    let pgp = "-----BEGIN PGP SIGNATURE-----\n\niHUEABYKAB0=\n-----END PGP SIGNATURE-----\n";
    let x509 = "-----BEGIN SIGNED MESSAGE-----\nMIIB\n-----END SIGNED MESSAGE-----\n";
    for (text, why) in
        [(rsa.as_str(), "ssh-rsa"), (pgp, "OpenPGP"), (x509, "X.509"), ("", "damaged"), ("words", "damaged")]
    {
        let Check::Unknown(said) = check(b"words", text) else { panic!("{text} is judged") };
        assert!(said.contains(why), "{said}");
    }
    bench.make_key(".ssh/id_ed25519", "");
    let one = by_ssh_keygen(&bench.ssh("id_ed25519"), "git", &file);
    assert!(matches!(check(b"words", &format!("{one}{one}")), Check::Unknown(why) if why.contains("more than one")));
}

fn bytes(hex: &str) -> Vec<u8> {
    (0..hex.len()).step_by(2).map(|at| u8::from_str_radix(&hex[at..at + 2], 16).unwrap()).collect()
}

/// RFC 8032, section 7.1, tests 1 to 3: private key, public key, message, signature.
const RFC_8032: [[&str; 4]; 3] = [
    [
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
    ],
    [
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
    ],
    [
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
    ],
];

fn private(bytes: [u8; 32]) -> PrivateKey {
    PrivateKey::from(Ed25519Keypair::from(Ed25519PrivateKey::from_bytes(&bytes)))
}

/// Signs bytes as they are, without the form around them.
fn bare(key: &impl ssh_key::SigningKey, message: &[u8]) -> ssh_key::Signature {
    key.try_sign(message).unwrap()
}

#[test]
fn the_signatures_of_rfc_8032_come_out() {
    for [secret, public, message, signature] in RFC_8032 {
        let key = private(bytes(secret).try_into().unwrap());
        assert_eq!(bare(&key, &bytes(message)).as_bytes(), bytes(signature));
        assert_eq!(key.public_key().key_data().ed25519().unwrap().0.to_vec(), bytes(public));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn what_was_signed_is_good_and_one_bit_less_is_bad(
        secret in any::<[u8; 32]>(),
        payload in prop::collection::vec(any::<u8>(), 0..300),
        at in any::<prop::sample::Index>(),
        bit in 0..8_u32,
    ) {
        let key = private(secret);
        let armored = sign(&key, &payload).unwrap();
        let public = PublicKey::read(&key.public_key().to_openssh().unwrap()).unwrap();
        prop_assert_eq!(check(&payload, &armored), Check::Good(public.fingerprint()));
        let mut other = payload.clone();
        if other.is_empty() {
            other.push(0);
        } else {
            let at = at.index(other.len());
            other[at] ^= 1_u8 << bit;
        }
        prop_assert!(matches!(check(&other, &armored), Check::Bad(..)));
        // A letter of the signature changed: never good, except where the letter means nothing.
        let at = at.index(armored.len());
        let mut damaged = armored.clone().into_bytes();
        damaged[at] = if damaged[at] == b'A' { b'B' } else { b'A' };
        let damaged = String::from_utf8(damaged).unwrap();
        prop_assert!(!matches!(check(&payload, &damaged), Check::Good(_)), "{}", damaged);
    }

    #[test]
    fn no_text_and_no_answer_of_an_agent_ends_in_a_crash(
        inside in "[A-Za-z0-9+/=\\n ]{0,400}",
        bytes in prop::collection::vec(any::<u8>(), 0..400),
        text in "\\PC{0,200}",
    ) {
        let key = private([7; 32]);
        let public = PublicKey::read(&key.public_key().to_openssh().unwrap()).unwrap();
        let armored = format!("-----BEGIN SSH SIGNATURE-----\n{inside}\n-----END SSH SIGNATURE-----\n");
        prop_assert!(!matches!(check(&bytes, &armored), Check::Good(_)));
        prop_assert!(!matches!(check(&bytes, &text), Check::Good(_)));
        prop_assert_eq!(from_answer(&public, &bytes, b"words"), None);
        prop_assert!(to_be_signed(&bytes).is_some());
        prop_assert!(PublicKey::read(&text).is_err());
        let line = format!("ssh-ed25519 {inside}");
        prop_assert!(PublicKey::read(&line).is_err());
    }
}

#[test]
fn a_signature_with_anything_inside_changed_never_crashes() {
    use base64::Engine;
    let engine = base64::engine::general_purpose::STANDARD;
    let armored = sign(&private([9; 32]), b"words").unwrap();
    let inside: String = armored.lines().filter(|line| !line.starts_with("-----")).collect();
    let whole = engine.decode(inside).unwrap();
    let arm = |bytes: &[u8]| {
        let text = engine.encode(bytes);
        let lines: Vec<&str> = text.as_bytes().chunks(70).map(|line| std::str::from_utf8(line).unwrap()).collect();
        format!("-----BEGIN SSH SIGNATURE-----\n{}\n-----END SSH SIGNATURE-----\n", lines.join("\n"))
    };
    assert!(matches!(check(b"words", &arm(&whole)), Check::Good(_)));
    for at in 0..whole.len() {
        assert!(!matches!(check(b"words", &arm(&whole[..at])), Check::Good(_)), "cut at {at}");
        for value in [0, 1, 0x7f, 0x80, 0xff] {
            let mut other = whole.clone();
            if other[at] == value {
                continue;
            }
            other[at] = value;
            assert!(!matches!(check(b"words", &arm(&other)), Check::Good(_)), "{value} at {at}");
        }
    }
    let mut longer = whole.clone();
    longer.push(0);
    assert!(!matches!(check(b"words", &arm(&longer)), Check::Good(_)));
}
