//! `--fix` makes the mends that leave no choice and leaves every other byte as it was; a
//! file that cannot be read or written whole stays as it was.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A folder of one test alone, gone when it is over.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let name = format!("apical-mends-{}-{name}", std::process::id());
        let path = std::env::temp_dir().join(name);
        std::fs::create_dir_all(&path).expect("a scratch folder");
        Self(path)
    }

    fn file(&self, name: &str, content: &[u8]) -> PathBuf {
        let path = self.0.join(name);
        std::fs::write(&path, content).expect("a scratch file");
        path
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn check(path: &Path, options: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["check", "--file"])
        .arg(path)
        .args(options)
        .stdin(Stdio::null())
        .output()
        .expect("the program starts")
}

/// Name, content, options, what it is to become. The mend is a colon made a length mark
/// (handbook practice), in bytes that must not change otherwise.
const CASES: &[(&str, &str, &[&str], &str)] = &[
    (
        "a.txt",
        "\u{FEFF}be:d\r\n\r\npæn\n[t͡ʃɪ\nbe:",
        &[],
        "\u{FEFF}beːd\r\n\r\npæn\n[t͡ʃɪ\nbeː",
    ),
    (
        "a.tsv",
        "w\tipa\nbe:\tbe:d\t\n",
        &["--column", "ipa"],
        "w\tipa\nbe:\tbeːd\t\n",
    ),
    (
        "a.csv",
        "ipa,w\r\n\"be:d\",\"a:, \"\"b\"\"\"\r\nbe:d,x\r\n",
        &["--column", "ipa"],
        "ipa,w\r\n\"beːd\",\"a:, \"\"b\"\"\"\r\nbeːd,x\r\n",
    ),
    (
        "a.jsonl",
        "{\"id\" : 1e2, \"text\":\"b\\u0065:d\"}\n",
        &[],
        "{\"id\" : 1e2, \"text\":\"b\\u0065ːd\"}\n",
    ),
    (
        "a.pls",
        "<lexicon alphabet='ipa'><!-- e: --><phoneme>\n &#98;e<![CDATA[:]]>d </phoneme></lexicon>",
        &[],
        "<lexicon alphabet='ipa'><!-- e: --><phoneme>\n &#98;e<![CDATA[ː]]>d </phoneme></lexicon>",
    ),
    (
        "a.ssml",
        "<speak><phoneme ph='&#98;e:d'>e:</phoneme></speak>",
        &[],
        "<speak><phoneme ph='&#98;eːd'>e:</phoneme></speak>",
    ),
    (
        "a.html",
        "<p>e: <i data-ipa=b&aelig;:d>e:</i> & <br>",
        &["--attribute", "data-ipa"],
        "<p>e: <i data-ipa=b&aelig;ːd>e:</i> & <br>",
    ),
    (
        "a.md",
        "the /ʃi:p/: and e:\n",
        &["--in-text"],
        "the /ʃiːp/: and e:\n",
    ),
];

#[test]
fn every_form_is_mended_in_place() {
    let folder = Folder::new("forms");
    for (name, content, options, expected) in CASES {
        let path = folder.file(name, content.as_bytes());
        let diff = check(&path, &[*options, &["--fix", "--dry-run"]].concat());
        assert_eq!(std::fs::read_to_string(&path).unwrap(), *content, "{name}");
        let diff = String::from_utf8(diff.stdout).expect("UTF-8");
        let patch = diffy::Patch::from_str(&diff).expect("a diff");
        assert_eq!(
            diffy::apply(content, &patch).expect("it applies"),
            *expected,
            "{name}"
        );
        let output = check(&path, &[*options, &["--fix"]].concat());
        assert_eq!(std::fs::read_to_string(&path).unwrap(), *expected, "{name}");
        let remains = i32::from(expected.contains("[t͡ʃɪ\n"));
        assert_eq!(output.status.code(), Some(remains), "{name}: {output:?}");
        let again = check(&path, &[*options, &["--fix", "--dry-run"]].concat());
        assert!(again.stdout.is_empty(), "{name}: nothing is left to mend");
    }
}

#[test]
fn ill_formed_bytes_stay() {
    let folder = Folder::new("bytes");
    let path = folder.file("a.txt", b"be:\xFFd\nbe:d\n");
    check(&path, &["--fix"]);
    let now = std::fs::read(&path).unwrap();
    assert_eq!(now, [&b"be\xCB\x90\xFFd\n"[..], b"be\xCB\x90d\n"].concat());
}

#[test]
fn standard_input_comes_out_mended() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(["check", "--fix"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    child
        .stdin
        .take()
        .unwrap()
        .write_all("be:d\n[t͡ʃɪ\n".as_bytes())
        .unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.stdout, "beːd\n[t͡ʃɪ\n".as_bytes());
    assert_eq!(output.status.code(), Some(1));
}

#[test]
fn what_cannot_be_read_is_refused_and_left() {
    let folder = Folder::new("bad");
    let bomb = "<!DOCTYPE lexicon [<!ENTITY a \"&b;&b;\"><!ENTITY b \"&a;&a;\">\
                <!ENTITY f SYSTEM \"file:///etc/hostname\">]>\
                <lexicon alphabet=\"ipa\"><phoneme>be:d</phoneme><phoneme>X</phoneme></lexicon>";
    let huge = format!("<lexicon>{}", "<a>".repeat(200_000));
    for (name, content) in [
        ("bomb.pls", bomb.replace('X', "&a;").into_bytes()),
        ("external.pls", bomb.replace('X', "&f;").into_bytes()),
        ("open.pls", b"<lexicon><phoneme>be:d".to_vec()),
        (
            "crossed.pls",
            b"<lexicon><phoneme>be:d</lexicon></phoneme>".to_vec(),
        ),
        ("deep.pls", huge.into_bytes()),
        ("wide.pls", b"\xFF\xFE<\0".to_vec()),
        (
            "latin.pls",
            b"<?xml version='1.0' encoding='ISO-8859-1'?><lexicon/>".to_vec(),
        ),
        ("other.xml", b"<a/>".to_vec()),
        ("a.jsonl", b"\"be:d\"\n{\n".to_vec()),
    ] {
        let path = folder.file(name, &content);
        for options in [
            &[][..],
            &["--fix"],
            &["--format", "sarif"],
            &["--format", "lines"],
        ] {
            let output = check(&path, options);
            assert_eq!(output.status.code(), Some(2), "{name}: {output:?}");
            let said = String::from_utf8_lossy(&output.stderr);
            assert!(
                said.contains(name) && said.contains("remedy"),
                "{name}: {said}"
            );
        }
        assert_eq!(std::fs::read(&path).unwrap(), content, "{name}");
    }
    let left: Vec<_> = std::fs::read_dir(&folder.0)
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .filter(|name| name.to_string_lossy().starts_with('.'))
        .collect();
    assert!(left.is_empty(), "{left:?}");
    let output = check(&folder.0, &["--fix"]);
    assert_eq!(output.status.code(), Some(2));
}

#[cfg(unix)]
#[test]
fn rights_and_links_stay() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let folder = Folder::new("rights");
    let path = folder.file("a.txt", b"be:d\n");
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o640)).unwrap();
    let link = folder.0.join("link.txt");
    symlink(&path, &link).unwrap();
    check(&link, &["--fix"]);
    assert_eq!(std::fs::read(&path).unwrap(), "beːd\n".as_bytes());
    assert!(link.symlink_metadata().unwrap().is_symlink());
    assert_eq!(path.metadata().unwrap().permissions().mode() & 0o777, 0o640);
    std::fs::write(&path, "be:d\n").unwrap();
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o440)).unwrap();
    assert_eq!(check(&path, &["--fix"]).status.code(), Some(2));
    assert_eq!(std::fs::read(&path).unwrap(), b"be:d\n");
    let pipe = folder.0.join("pipe.txt");
    let made = Command::new("mkfifo").arg(&pipe).status();
    if made.is_ok_and(|made| made.success()) {
        let output = check(&pipe, &["--fix"]);
        assert_eq!(output.status.code(), Some(2), "{output:?}");
        assert!(String::from_utf8_lossy(&output.stderr).contains("plain file"));
    }
}

/// Any damage to a document of any form ends in a verdict or a clear refusal.
#[test]
fn damaged_documents_are_read_or_refused() {
    let folder = Folder::new("damage");
    let mut state = 0x9E37_79B9_u32;
    let mut random = |below: usize| {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        state as usize % below
    };
    let pieces: [&[u8]; 10] = [
        b"\0",
        b"\xFF",
        b"<",
        b">",
        b"&",
        b"\"",
        b"]]>",
        b"<!--",
        b"&#x110000;",
        b"\n",
    ];
    for (name, content, options, _) in CASES {
        for _ in 0..20 {
            let mut bytes = content.as_bytes().to_vec();
            for _ in 0..=random(3) {
                let at = random(bytes.len());
                let piece = pieces[random(pieces.len())];
                let to = (at + random(4)).min(bytes.len());
                bytes.splice(at..to, piece.iter().copied());
            }
            let path = folder.file(name, &bytes);
            let output = check(&path, &[*options, &["--fix"]].concat());
            let status = output.status.code();
            assert!(
                matches!(status, Some(0..=2)),
                "{name}: {bytes:?}: {output:?}"
            );
            if status == Some(2) {
                assert_eq!(std::fs::read(&path).unwrap(), bytes, "{name}");
                assert!(!output.stderr.is_empty());
            }
        }
    }
}
