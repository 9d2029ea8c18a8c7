//! What `grammar/notation.abnf` makes, the parser reads without an error; what is published
//! as clean, the grammar makes; and its rules, the parser's functions and the tables name
//! the same things.

#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::unwrap_used,
    reason = "a test reads its tables and fails where they are not as it expects"
)]

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use apical::diagnostic::Severity;
use apical::notation::Transcription;
use proptest::prelude::*;
use unicode_normalization::UnicodeNormalization;

#[path = "the_grammar_and_the_parser_agree/abnf.rs"]
mod abnf;
#[path = "the_grammar_and_the_parser_agree/writer.rs"]
mod writer;

use abnf::Grammar;
use writer::{Tables, Writer};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn grammar() -> Grammar {
    let text = std::fs::read_to_string(root().join("grammar/notation.abnf")).unwrap();
    Grammar::read(&text)
}

/// The rows of a table, by column name.
fn table(path: PathBuf) -> Vec<BTreeMap<String, String>> {
    let text = std::fs::read_to_string(path).unwrap();
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap().split('\t').collect();
    lines
        .map(|line| {
            header
                .iter()
                .zip(line.split('\t'))
                .map(|(h, c)| ((*h).into(), c.into()))
                .collect()
        })
        .collect()
}

fn grammar_table(name: &str) -> Vec<BTreeMap<String, String>> {
    table(root().join("grammar").join(name))
}

/// The errors of a text, by name.
fn errors(text: &str) -> Vec<&'static str> {
    Transcription::parse(text)
        .diagnostics()
        .iter()
        .filter(|found| found.severity == Severity::Error)
        .map(|found| found.code.name())
        .collect()
}

/// A text as the grammar's code points are: NFD, but for ç.
fn decomposed(text: &str) -> String {
    text.nfd().collect::<String>().replace("c\u{327}", "ç")
}

thread_local! {
    static TABLES: (Grammar, Tables) = {
        let grammar = grammar();
        let tables = Tables::read(&grammar);
        (grammar, tables)
    };
}

/// What the grammar makes of a list of choices.
fn made() -> impl Strategy<Value = String> {
    prop::collection::vec(any::<u32>(), 0..300).prop_map(|choices| {
        TABLES.with(|(grammar, tables)| {
            Writer::new(grammar, tables, &choices).write("transcription")
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: ProptestConfig::default().cases.max(1_000), ..ProptestConfig::default() })]

    #[test]
    fn the_parser_accepts_what_the_grammar_makes(text in made()) {
        prop_assume!(!writer::has_escape(&text));
        prop_assert_eq!(errors(&text), Vec::<&str>::new());
    }
}

#[test]
fn every_rule_is_used() {
    let grammar = grammar();
    let tables = Tables::read(&grammar);
    let reached = RefCell::new(BTreeSet::new());
    // A fixed walk: a multiplicative generator, full period over 32 bits.
    let mut state = 1_u32;
    for _ in 0..3_000 {
        let choices: Vec<u32> = (0..200)
            .map(|_| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                state.rotate_left(16)
            })
            .collect();
        let mut writer = Writer::new(&grammar, &tables, &choices);
        writer.write("transcription");
        reached.borrow_mut().extend(writer.reached);
    }
    let reached = reached.into_inner();
    for rule in grammar.rules.keys() {
        assert!(
            reached.contains(rule.as_str()),
            "no transcription has a `{rule}`"
        );
    }
    for used in grammar.used() {
        assert!(
            grammar.rules.contains_key(&used),
            "`{used}` is used and not defined"
        );
    }
}

#[test]
fn every_rule_has_its_function() {
    let source: String = ["", "/bracket", "/sign", "/stranger", "/tie"]
        .map(|part| root().join(format!("src/notation/parser{part}.rs")))
        .map(|path| std::fs::read_to_string(path).unwrap())
        .concat();
    let mut read = BTreeSet::new();
    let mut doc: Vec<&str> = Vec::new();
    for line in source.lines().map(str::trim_start) {
        if let Some(text) = line.strip_prefix("///") {
            doc.push(text.trim());
        } else if let Some(after) =
            line.split("fn ").nth(1).filter(|_| line.contains("fn "))
        {
            let name = after.split(['(', '<']).next().unwrap_or_default();
            read.insert(name.replace('_', "-"));
            // "rule, rule: what it reads"
            let head = doc.first().and_then(|first| first.split_once(": "));
            if let Some((rules, _)) = head {
                read.extend(rules.split(", ").map(str::to_owned));
            }
            doc.clear();
        } else if line.is_empty() || line == "}" {
            doc.clear();
        }
    }
    let grammar = grammar();
    for rule in grammar
        .rules
        .keys()
        .filter(|rule| !leaves().contains_key(rule.as_str()))
    {
        assert!(
            read.contains(rule),
            "no function of the parser reads `{rule}`"
        );
    }
}

/// The rules that list characters, and what the tables say they should list.
fn leaves() -> BTreeMap<&'static str, BTreeSet<String>> {
    let symbols = grammar_table("symbols.tsv");
    let marks = grammar_table("diacritics.tsv");
    let signs = grammar_table("suprasegmentals.tsv");
    let labels = grammar_table("voice_labels.tsv");
    let pick = |rows: &[BTreeMap<String, String>],
                column: &str,
                fits: &dyn Fn(&BTreeMap<String, String>) -> bool| {
        rows.iter()
            .filter(|row| fits(row))
            .map(|row| row[column].trim_start_matches('◌').to_owned())
            .collect::<BTreeSet<String>>()
    };
    let current = |row: &BTreeMap<String, String>| {
        ["current", "placeholder", "wildcard"].contains(&row["status"].as_str())
    };
    BTreeMap::from([
        (
            "consonant",
            pick(&symbols, "symbol", &|row| {
                current(row) && row["class"] == "consonant"
            }),
        ),
        (
            "vowel",
            pick(&symbols, "symbol", &|row| {
                current(row) && row["class"] == "vowel"
            }),
        ),
        (
            "withdrawn-letter",
            pick(&symbols, "symbol", &|row| {
                ["retired", "ligature", "off-chart"].contains(&row["status"].as_str())
            }),
        ),
        (
            "mark",
            pick(&marks, "mark", &|row| {
                row["sits"] != "after" && row["status"] != "retired"
            }),
        ),
        (
            "withdrawn-mark",
            pick(&marks, "mark", &|row| {
                row["sits"] != "after" && row["status"] == "retired"
            }),
        ),
        (
            "modifier",
            pick(&marks, "mark", &|row| {
                row["sits"] == "after" && row["status"] != "length"
            }),
        ),
        (
            "onset-modifier",
            pick(&marks, "mark", &|row| {
                row["sits"] == "after" && !row["leading"].is_empty()
            }),
        ),
        (
            "length",
            pick(&marks, "mark", &|row| row["status"] == "length"),
        ),
        (
            "tone-letter",
            pick(&signs, "symbol", &|row| row["kind"] == "tone-letter"),
        ),
        (
            "tone-digit",
            pick(&signs, "symbol", &|row| row["kind"] == "tone-digit"),
        ),
        ("label", pick(&labels, "label", &|_| true)),
    ])
}

#[test]
fn the_characters_are_those_of_the_tables() {
    let grammar = grammar();
    for (rule, wanted) in leaves() {
        let listed = grammar.rules[rule].alternatives();
        let missing: Vec<&String> = wanted.difference(&listed).collect();
        let extra: Vec<&String> = listed.difference(&wanted).collect();
        assert!(
            missing.is_empty() && extra.is_empty(),
            "`{rule}` lacks {missing:?} and should not have {extra:?}"
        );
    }
    // The signs that structure rules name one by one.
    for (rule, kinds) in [
        ("stress", &["primary-stress", "secondary-stress"][..]),
        ("step", &["step"]),
        ("intonation", &["intonation"]),
        ("linking", &["linking"]),
        ("syllable-break", &["syllable-break"]),
    ] {
        let wanted: BTreeSet<String> = grammar_table("suprasegmentals.tsv")
            .iter()
            .filter(|row| kinds.contains(&row["kind"].as_str()))
            .map(|row| row["symbol"].clone())
            .collect();
        assert_eq!(grammar.rules[rule].alternatives(), wanted, "{rule}");
    }
}

#[test]
fn the_grammar_makes_what_is_published_as_clean() {
    let grammar = grammar();
    // Signs and their places as on the IPA chart (2020), extIPA (2015) and VoQS (2016); the
    // words are ours.
    for text in [
        "[ˈt͡ʃʰiːz]",
        "/ˌkʌl.əˈfɹeɪ.ʒəs/",
        "[pʰɪ̃n]",
        "⟦n̪ʲiː⟧",
        "[ˈkæt (..) ˈdɒɡ (2.3 s) ma˥˩ ‖ ↗ ma]",
        "[ˈʌvə‿ˈænd]",
        "[p\\p\\pa(t)]",
        "[{3V! hɑːʃ 3V!} ((cough)) {f laʊd f}]",
        "/kæt/, /dɒɡ/",
    ] {
        assert!(grammar.makes("transcription", &decomposed(text)), "{text}");
        assert_eq!(errors(text), Vec::<&str>::new(), "{text}");
    }
    for text in [
        "[kætˈ]",
        "[kæt",
        "/kæt]",
        "[kæ. .tə]",
        "[a‿]",
        "[t͡ˈʃa]",
        "[ːa]",
        "[k3t]",
    ] {
        assert!(!grammar.makes("transcription", &decomposed(text)), "{text}");
        assert!(!errors(text).is_empty(), "{text}");
    }
    let standards = root().join("../shared/data/standards");
    if !standards.exists() {
        return;
    }
    let missed: Vec<String> = table(standards.join("valid.tsv"))
        .iter()
        .filter(|row| row["strictness"] == "clean" && row["text"].chars().count() < 200)
        .filter(|row| !grammar.makes("transcription", &decomposed(&row["text"])))
        .map(|row| format!("{} {}", row["id"], row["text"]))
        .collect();
    assert!(
        missed.is_empty(),
        "clean, and the grammar does not make it: {missed:#?}"
    );
    // Rows that compare marks with each other or with their letter: the grammar says in
    // words that it leaves them out.
    let tables = Tables::read(&grammar);
    let compared = ["contradiction", "mark-misfit"];
    let made: Vec<String> = table(standards.join("invalid.tsv"))
        .iter()
        .filter(|row| {
            row["strictness"] == "error" && !compared.contains(&row["code"].as_str())
        })
        .filter(|row| !row["text"].is_empty() && row["text"].len() < 400)
        .filter(|row| grammar.makes("transcription", &decomposed(&row["text"])))
        .filter(|row| !tables.keeps_apart(&decomposed(&row["text"])))
        .map(|row| format!("{} {}", row["id"], row["text"]))
        .collect();
    assert!(
        made.is_empty(),
        "invalid, and the grammar makes it: {made:#?}"
    );
}
