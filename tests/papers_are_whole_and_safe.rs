//! A report says to each reader what the reader needs, in the words of the work, and whatever
//! a caseload holds stays text: in a page, in Markdown and in plain text.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use apical::accent::Accent;
use apical::app::caseload::Caseload;
use apical::lexicon::Lexicon;
use apical::record::{Client, Hat, Item, Outcome, Session, SessionKind};
use apical::report::paper::handout::{self, Wish};
use apical::report::paper::{Block, Run, html, markdown, plain};
use unicode_width::UnicodeWidthStr;

/// What a careless or a hostile hand could type.
const HOSTILE: [&str; 6] = [
    "<script>alert(1)</script>",
    "</title></style><img src=x onerror=alert(1)>",
    "\u{202E}evil\u{202C} & \"quoted\" 'too'",
    "שלום עולם <b>",
    "{{ 7 * 7 }} {% include 'x' %}",
    "*bold* [link](http://example.org) `code` | cell\u{7}",
];

fn apical(caseload: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_apical"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("APICAL_CASELOAD", caseload)
        .env("NO_COLOR", "1")
        .output()
        .expect("the program runs")
}

fn report(caseload: &Path, arguments: &[&str]) -> String {
    let output = apical(caseload, &[&["report"], arguments].concat());
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// A caseload whose only client is recorded in words like [`HOSTILE`], over some sessions.
pub(crate) fn hostile(folder: &Path, sessions: u32) -> PathBuf {
    let path = folder.join("caseload.sqlite");
    let mut caseload = Caseload::open(&path, None).unwrap();
    caseload
        .keep_client(&Client {
            code: "H-1".to_owned(),
            first_language: HOSTILE[1].to_owned(),
            accent: "en-US".to_owned(),
            hat: Hat::Clinical,
            note: HOSTILE[3].to_owned(),
            opened: "2026-01-01T09:00:00Z".to_owned(),
            ..Client::default()
        })
        .unwrap();
    for number in 0..sessions {
        let day = format!("2026-{:02}-{:02}", 1 + number / 28 % 12, 1 + number % 28);
        let session = Session {
            kind: if number % 5 == 4 {
                SessionKind::Probe
            } else {
                SessionKind::List
            },
            list: HOSTILE[number as usize % HOSTILE.len()].to_owned(),
            began: format!("{day}T09:00:00Z"),
            ..Session::default()
        };
        let item = |position: u32, word: &str, target: &str, said: &str| Item {
            position,
            word: word.to_owned(),
            target: target.to_owned(),
            production: Some(said.to_owned()),
            outcome: Outcome::Said,
            attempt: 1,
            pass: 1,
            note: HOSTILE[(number + position) as usize % HOSTILE.len()].to_owned(),
            at: session.began.clone(),
            ..Item::default()
        };
        let items = [
            item(1, HOSTILE[0], "/θɪŋk/", "[sɪŋk]"),
            item(2, HOSTILE[3], "/ɹɛd/", "[ɻ̊ɛt͡ʃ]"),
            item(3, HOSTILE[5], "/t͡ʃu/", "[t͡ʃu˥˩]"),
        ];
        caseload.keep_session("H-1", &session, &items).unwrap();
    }
    path
}

/// Markdown without what a backslash takes the meaning from.
fn without_escapes(text: &str) -> String {
    let mut rest = text.chars();
    let mut bare = String::new();
    while let Some(character) = rest.next() {
        if character == '\\' {
            rest.next();
        } else {
            bare.push(character);
        }
    }
    bare
}

/// Every tag of a page that is not one of those that our own template and pictures use, and
/// every attribute that could run or load something.
fn strange(page: &str) -> Vec<String> {
    const TAGS: &[&str] = &[
        "!DOCTYPE",
        "animate",
        "bdi",
        "body",
        "caption",
        "circle",
        "desc",
        "div",
        "ellipse",
        "figcaption",
        "figure",
        "footer",
        "g",
        "h1",
        "h2",
        "h3",
        "head",
        "html",
        "li",
        "main",
        "meta",
        "p",
        "path",
        "polygon",
        "rect",
        "section",
        "span",
        "strong",
        "style",
        "svg",
        "table",
        "tbody",
        "td",
        "text",
        "th",
        "thead",
        "title",
        "tr",
        "ul",
    ];
    let mut strange = Vec::new();
    for piece in page.split('<').skip(1) {
        let tag = piece.split('>').next().unwrap_or_default();
        let name: String = tag
            .trim_start_matches('/')
            .chars()
            .take_while(|it| it.is_ascii_alphanumeric() || *it == '!')
            .collect();
        let inside = format!(" {tag}");
        let attribute = [" on", " src", " href", " xlink", " action"];
        if !TAGS.contains(&name.as_str())
            || attribute.iter().any(|it| inside.contains(it)) && !tag.contains("content=")
        {
            strange.push(tag.to_owned());
        }
    }
    strange
}

#[test]
fn a_hostile_caseload_of_three_hundred_sessions_makes_safe_pages() {
    let folder = tempfile::tempdir().unwrap();
    let path = hostile(folder.path(), 300);
    apical(&path, &["client", "H-1", "--consent-export", "yes"]);
    for reader in ["client", "colleague"] {
        let whole = ["--client", "H-1", "--for", reader, "--identified"];
        let page = report(&path, &whole);
        assert_eq!(strange(&page), Vec::<String>::new(), "{reader}");
        assert!(page.contains("&lt;script&gt;alert(1)&lt;"), "{reader}");
        assert!(page.contains("<bdi>"), "text of any direction is set apart");
        assert!(
            page.contains("{{ 7 * 7 }}"),
            "what looks like a template is none"
        );
        assert!(!page.chars().any(|it| it.is_control() && it != '\n'));
        let text = report(&path, &[&whole[..], &["--as", "text"]].concat());
        let turning = |it: char| matches!(it, '\u{202A}'..='\u{202E}');
        assert!(
            !text
                .chars()
                .any(|it| turning(it) || it.is_control() && it != '\n')
        );
        assert!(text.contains("[U+202E]evil") || reader == "client");
        let marked = report(&path, &[&whole[..], &["--as", "markdown"]].concat());
        // CommonMark 0.31, 2.4: punctuation behind a backslash is no markup.
        let bare = without_escapes(&marked);
        assert!(!bare.contains("<script") && !bare.contains("](") && !bare.contains('`'));
        assert!(!bare.contains("://"), "no address becomes a link");
    }
    let page = report(&path, &["--client", "H-1", "--for", "colleague"]);
    assert!(
        page.contains("240 of 240") || page.contains("0 of 3"),
        "every session is there"
    );
}

#[test]
fn codes_and_notes_stay_off_unless_agreed_to() {
    let folder = tempfile::tempdir().unwrap();
    let path = hostile(folder.path(), 1);
    let page = report(&path, &["--client", "H-1", "--for", "colleague"]);
    assert!(!page.contains("H-1") && !page.contains("שלום עולם &lt;b&gt;</bdi></td>"));
    let whole = [
        "report",
        "--client",
        "H-1",
        "--for",
        "colleague",
        "--identified",
    ];
    let refused = apical(&path, &whole);
    assert_eq!(refused.status.code(), Some(2));
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(
        said.contains("did not agree") && said.contains("--consent-export yes"),
        "{said}"
    );
    // The client may have what is theirs.
    let own = report(
        &path,
        &["--client", "H-1", "--for", "client", "--identified"],
    );
    assert!(own.contains("<bdi>H-1</bdi>"));
}

#[cfg(unix)]
#[test]
fn a_written_report_is_its_owners_alone() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().unwrap();
    let path = hostile(folder.path(), 1);
    let page = folder.path().join("page.html");
    let to = page.to_str().unwrap();
    report(&path, &["--client", "H-1", "--for", "client", "--to", to]);
    let mode = std::fs::metadata(&page).unwrap().permissions().mode();
    assert_eq!(mode & 0o077, 0);
    let nowhere = folder.path().join("none/page.html");
    let to = nowhere.to_str().unwrap();
    let output = apical(
        &path,
        &["report", "--client", "H-1", "--for", "client", "--to", to],
    );
    assert_eq!(output.status.code(), Some(2));
}

const SHEET: &str = "tests/data/demo/word_list.tsv";

#[test]
fn the_client_reads_no_letter_without_its_sound_explained() {
    let page = report(Path::new("none"), &[SHEET, "--for", "client"]);
    for line in page.lines().filter(|it| it.contains("class=\"ipa\"")) {
        let letters = line.matches("class=\"ipa\"").count();
        let explained = line.matches("<strong>").count();
        assert!(explained >= letters, "{line}");
        assert!(line.contains(" of <strong>"), "{line}");
    }
    // No figure without what it means.
    assert!(page.contains("somewhere between") && page.contains("no grade"));
    assert!(page.contains("An accent is a difference, not a disorder"));
    assert!(
        page.find("<svg").unwrap() < page.find("How often").unwrap(),
        "pictures first"
    );
    for jargon in ["PCC", "fricative →", "functional load", "kappa"] {
        assert!(!page.contains(jargon), "{jargon}");
    }
}

#[test]
fn the_words_are_those_of_the_work() {
    let elective = report(Path::new("none"), &[SHEET, "--for", "colleague"]);
    assert!(
        elective.contains("accent modification") && !elective.contains("diagnosis is")
    );
    assert!(elective.contains("as intended") && !elective.contains("incorrect"));
    let clinical = report(
        Path::new("none"),
        &[SHEET, "--for", "colleague", "--hat", "clinical"],
    );
    assert!(clinical.contains("no score here is a diagnosis"));
    assert!(!clinical.contains("difference, not a disorder"));
}

#[test]
fn the_colleague_reads_counts_rules_measures_and_reliability() {
    let page = report(
        Path::new("none"),
        &[SHEET, "--for", "colleague", "--as", "text"],
    );
    for wanted in [
        "Rules behind the errors",
        "Measures",
        "PCC-R",
        "Apical scoring rules",
        "Reliability",
        "No second transcription is at hand",
        "Every word",
        "θɪŋk (TINk)",
    ] {
        assert!(page.contains(wanted), "{wanted}");
    }
    for line in page.lines() {
        assert!(line.width() <= 80, "{line}");
        assert!(!line.ends_with(' '), "{line}");
    }
}

#[test]
fn a_second_pass_is_reported_as_agreement_with_oneself() {
    let folder = tempfile::tempdir().unwrap();
    let path = hostile(folder.path(), 1);
    let mut caseload = Caseload::open(&path, None).unwrap();
    let session = caseload.sessions("H-1").unwrap()[0].id;
    let mut again = caseload.items(session).unwrap()[0].clone();
    again.pass = 2;
    again.production = Some("[s̪ɪŋk]".to_owned());
    caseload.record(session, &again).unwrap();
    let arguments = ["--client", "H-1", "--for", "colleague", "--as", "text"];
    let page = report(&path, &arguments).replace('\n', " ");
    // Four sounds, of which one has another mark.
    assert!(page.contains("4 of 4 (100 %) by the letters"), "{page}");
    assert!(page.contains("3 of 4 (75 %) with their marks"), "{page}");
}

#[test]
fn a_practice_sheet_keeps_what_it_says() {
    let accent = Accent::named("en-US").unwrap();
    let lexicon = Lexicon::of("en-US").unwrap();
    let phoneme =
        |text: &str| accent.phonemes().iter().find(|it| it.text == text).unwrap();
    // Every fourth: each looks through the whole word list.
    for row in accent
        .inventory()
        .filter(|it| it.option.is_empty())
        .step_by(4)
    {
        let target = phoneme(row.text);
        let contrast = handout::neighbour(target, &accent, &lexicon).unwrap();
        let paper = handout::paper(&Wish {
            target,
            contrast,
            accent: &accent,
            lexicon: Lexicon::of("en-US").unwrap(),
        });
        assert!(
            paper
                .blocks
                .iter()
                .any(|it| matches!(it, Block::Picture { .. }))
        );
        let page = html(&paper).unwrap();
        assert_eq!(strange(&page), Vec::<String>::new(), "{}", row.text);
        assert!(!plain(&paper).is_empty() && !markdown(&paper).is_empty());
        for (place, words) in words_of(&paper.blocks) {
            for word in words.split(", ") {
                let entry = lexicon.look_up(word).unwrap();
                let target = entry.targets().next().unwrap();
                let letters = |it: &str| it.replace(['ˈ', 'ˌ', '.', '\u{361}'], "");
                let (whole, sound) = (letters(&target), letters(row.text));
                let fits = match place.as_str() {
                    "At the beginning" => whole.starts_with(&sound),
                    "At the end" => whole.ends_with(&sound),
                    _ => whole.contains(&sound),
                };
                assert!(fits, "{word} /{target}/ for {}: {place}", row.text);
            }
        }
    }
}

/// The words of a practice sheet by position.
fn words_of(blocks: &[Block]) -> Vec<(String, String)> {
    let lists = blocks.iter().filter_map(|it| match it {
        Block::List { lines, .. } => Some(lines),
        _ => None,
    });
    lists
        .flatten()
        .filter_map(|line| match line.as_slice() {
            [Run::Strong(place), Run::Text(words)] if place.ends_with(": ") => {
                Some((place.trim_end_matches(": ").to_owned(), words.clone()))
            }
            _ => None,
        })
        .collect()
}

#[test]
fn a_sound_that_is_none_is_refused_with_those_there_are() {
    let output = apical(Path::new("none"), &["handout", "ʘ"]);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(
        said.contains("no sound of General American") && said.contains("θ"),
        "{said}"
    );
    let typed = apical(
        Path::new("none"),
        &["handout", "T", "--alphabet", "x-sampa"],
    );
    assert!(typed.status.success());
}
