//! Two transcribers of one sample are set against each other, and nothing is lost on the way.
//!
//! Counts were made by hand on the rows that stand beside them.

use std::path::PathBuf;
use std::process::Command;

use serde_json::Value;

/// Writes a table where tests may write.
fn table(name: &str, text: &str) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, text).unwrap();
    path
}

/// Runs `agree`: standard output, standard error, exit status.
fn run(tables: &[PathBuf], arguments: &[&str]) -> (String, String, i32) {
    let output = Command::new(env!("CARGO_BIN_EXE_apical"))
        .arg("agree")
        .args(tables)
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (
        text(output.stdout),
        text(output.stderr),
        output.status.code().unwrap(),
    )
}

fn json(tables: &[PathBuf], arguments: &[&str]) -> Value {
    let arguments = [&["--format", "json"], arguments].concat();
    let (out, err, status) = run(tables, &arguments);
    assert_eq!((status, err.as_str()), (0, ""));
    assert_eq!(out.lines().count(), 1);
    serde_json::from_str(&out).unwrap()
}

fn share(value: &Value) -> (u64, u64) {
    let number = |field: &str| value[field].as_u64().unwrap();
    (number("agreements"), number("comparisons"))
}

const FIRST: &str = "word\tproduction\n\
    think\tθɪŋk\n\
    pan\t[pʰæn]\n\
    blue\tblu\n\
    chair\ttʃɛɹ\n";
const SECOND: &str = "word\tproduction\n\
    think\tfɪŋk\n\
    pan\t[pæn]\n\
    blue\tbəlu\n\
    chair\tt͡ʃɛr\n";

fn two(name: &str) -> Vec<PathBuf> {
    vec![
        table(&format!("{name}-first.tsv"), FIRST),
        table(&format!("{name}-second.tsv"), SECOND),
    ]
}

#[test]
fn places_are_counted_broad_and_narrow() {
    let found = json(&two("counted"), &[]);
    // think 4, pan 3, blue with what only one has 4, chair 3: an affricate is one sound
    // however it is written, and r between slashes or bare is the r of English.
    assert_eq!(share(&found["broad"]), (12, 14));
    assert_eq!(share(&found["narrow"]), (11, 14));
    assert_eq!(share(&found["whole"]), (1, 4));
    assert!(
        found["denominator"]
            .as_str()
            .unwrap()
            .contains("every place")
    );
    let disagreements = found["disagreements"].as_array().unwrap();
    let pairs: Vec<_> = disagreements
        .iter()
        .map(|it| {
            (
                it["row"].as_u64().unwrap(),
                &it["a"],
                &it["b"],
                &it["broad"],
            )
        })
        .map(|(row, a, b, broad)| (row, a.as_str(), b.as_str(), broad.as_bool()))
        .collect();
    let wanted = [
        (2, Some("θ"), Some("f"), Some(true)),
        (3, Some("pʰ"), Some("p"), Some(false)),
        (4, None, Some("ə"), Some(true)),
    ];
    assert_eq!(pairs, wanted);
    let differences = &disagreements[0]["differences"][0];
    assert_eq!(differences["feature"], "place");
    assert_eq!(differences["a"], "dental");
    assert_eq!(differences["b"], "labiodental");
    let classes = found["classes"].as_array().unwrap();
    let class = |name: &str| classes.iter().find(|it| it["name"] == name).unwrap();
    // θŋk pn bl t͡ʃɹ; ɪ æ əu ɛ.
    assert_eq!(share(&class("consonants")["narrow"]), (7, 9));
    assert_eq!(share(&class("consonants")["broad"]), (8, 9));
    assert_eq!(share(&class("vowels")["narrow"]), (4, 5));
    assert_eq!(share(&class("fricatives")["broad"]), (0, 1));
}

#[test]
fn coefficients_are_those_of_their_definitions() {
    // Ten words of one sound, two vowels: a table of 4 1 / 2 3 by hand.
    let rows = |said: &[&str]| {
        let rows = said.iter().enumerate();
        let rows: Vec<String> = rows.map(|(at, it)| format!("w{at}\t{it}")).collect();
        format!("word\tproduction\n{}\n", rows.join("\n"))
    };
    let one = ["i", "i", "i", "i", "i", "u", "u", "u", "u", "u"];
    let other = ["i", "i", "i", "i", "u", "i", "i", "u", "u", "u"];
    let tables = [
        table("kappa-first.tsv", &rows(&one)),
        table("kappa-second.tsv", &rows(&other)),
    ];
    let found = json(&tables, &[]);
    // pₒ = 7/10, pₑ = (5·6 + 5·4)/100 = 1/2: κ = 0.4; with two labels all weights are one.
    let near = |name: &str, wanted: f64| {
        let value = found[name].as_f64().unwrap();
        assert!((value - wanted).abs() < 1e-9, "{name}: {value}");
    };
    near("kappa", 0.4);
    near("broad_kappa", 0.4);
    near("weighted_kappa", 0.4);
    // Dₒ = 3/10, Dₑ = 2·11·9/(20·19).
    near("alpha", 1.0 - 0.3 / (198.0 / 380.0));
    let two = found["coefficients"].as_array().unwrap();
    assert_eq!(two[0]["name"], "kappa");
    assert!((two[0]["observed"].as_f64().unwrap() - 0.7).abs() < 1e-9);
    assert!((two[0]["expected"].as_f64().unwrap() - 0.5).abs() < 1e-9);
}

#[test]
fn near_sounds_cost_less_in_the_weighted_kappa() {
    let rows =
        |last: &str| format!("word\tproduction\na\tθɪn\nb\tsɪn\nc\tkɪn\nd\t{last}\n");
    let weighted = |name: &str, last: &str| {
        let tables = [
            table(&format!("{name}-a.tsv"), &rows("θæt")),
            table(&format!("{name}-b.tsv"), &rows(last)),
        ];
        let found = json(&tables, &[]);
        found["weighted_kappa"].as_f64().unwrap()
    };
    assert!(weighted("near", "sæt") > weighted("far", "kæt"));
}

#[test]
fn every_row_is_compared_or_named() {
    let first = "word\ttarget\tsession\tproduction\n\
        cat\tkæt\t1\tkæt\n\
        cat\tkæt\t1\tkæk\n\
        dog\tdɔɡ\t1\txxx\n\
        sun\tsʌn\t1\t\n\
        hat\thæt\t1\t[hæt\n\
        red\tɹɛd\t1\tɹɛd\n\
        only\tˈoʊnli\t1\tˈoʊni\n\
        cat\tkæt\t2\tkæt\n";
    let second = "session\tword\ttarget\tproduction\n\
        2\tcat\tkæt\tkæt\n\
        1\tcat\tkæt\tkæt\n\
        1\tcat\tkæt\tkæk\n\
        1\tdog\tdɔɡ\txxx\n\
        1\tsun\tsʌn\tsʌn\n\
        1\that\thæt\thæt\n\
        1\tred\twɛd\twɛd\n\
        1\tother\tˈʌðɚ\tˈʌdɚ\n";
    let tables = [
        table("rows-first.tsv", first),
        table("rows-second.tsv", second),
    ];
    let found = json(&tables, &[]);
    assert_eq!(found["items"], 3);
    assert_eq!(share(&found["narrow"]), (9, 9));
    // Everything agrees, but not all is one label.
    assert_eq!(found["kappa"], 1.0);
    let left: Vec<_> = found["left_out"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| (it["row"].as_u64().unwrap(), it["cause"].as_str().unwrap()))
        .collect();
    let wanted = [
        (4, "unintelligible"),
        (5, "no response"),
        (6, "unreadable"),
        (7, "targets differ"),
        (8, "in one only"),
        (9, "in one only"),
    ];
    assert_eq!(left, wanted);
    let reasons = found["left_out"].to_string();
    assert!(reasons.contains("both: not understood"), "{reasons}");
    assert!(reasons.contains("the first: no production"), "{reasons}");
    let (out, _, _) = run(&tables, &["--width", "200"]);
    assert!(out.starts_with("3 rows compared"), "{out}");
    assert!(out.contains("6 rows left out"), "{out}");
    assert!(out.contains("only: has no partner in"), "{out}");
}

#[test]
fn one_table_may_hold_both() {
    let sheet = "word\theard first\theard again\nthink\tθɪŋk\tsɪŋk\npan\tpæn\tpæn\n";
    let tables = [table("columns.tsv", sheet)];
    let found = json(&tables, &["--columns", "heard first,heard again"]);
    assert_eq!(share(&found["broad"]), (6, 7));
    let (out, err, status) = run(&tables, &["--columns", "heard first,heard agian"]);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("columns.tsv:1"), "{err}");
    assert!(err.contains("no column is called “heard agian”"), "{err}");
    assert!(
        err.contains("there are: word, heard first, heard again"),
        "{err}"
    );
}

#[test]
fn what_cannot_be_compared_says_why_and_what_to_do() {
    let good = table("good.tsv", FIRST);
    let case = |tables: &[PathBuf], arguments: &[&str], reason: &str, remedy: &str| {
        let (out, err, status) = run(tables, arguments);
        assert_eq!((status, out.as_str()), (2, ""), "{reason}");
        assert!(err.contains(reason), "{reason}: {err}");
        assert!(
            err.contains("remedy") && err.contains(remedy),
            "{remedy}: {err}"
        );
    };
    let alone = [good.clone()];
    case(&alone, &[], "one table is named", "--columns FIRST,SECOND");
    case(&alone, &["--columns", "production"], "two names", "comma");
    let same = ["--columns", "production,production"];
    case(&alone, &same, "both columns are the same", "name two");
    let with = |name: &str, text: &str| [good.clone(), table(name, text)];
    case(&with("void.tsv", ""), &[], "is empty", "names the columns");
    let other = with("other.tsv", "word\tproduction\ndoor\tdɔɹ\n");
    case(
        &other,
        &[],
        "no row of the one is in the other by word",
        "spelled alike",
    );
    let bare = with("bare.tsv", "production\ndɔɹ\n");
    case(
        &bare,
        &[],
        "no column in common",
        "`word`, `target` or `id`",
    );
    let silent = with("silent.tsv", "word\tsaid\nthink\tθɪŋk\n");
    case(
        &silent,
        &[],
        "no column is called “production”",
        "--columns",
    );
    let double = with("double.tsv", "word\tword\tproduction\n");
    case(
        &double,
        &[],
        "two columns are called “word”",
        "another name",
    );
    let missing = [good.clone(), PathBuf::from("no-such-table.tsv")];
    case(&missing, &[], "no-such-table.tsv", "path");
    let input = [PathBuf::from("-"), PathBuf::from("-")];
    case(&input, &[], "once only", "into a file");
}

#[test]
fn nothing_to_compare_has_no_figures() {
    let rows = "word\tproduction\nthink\txxx\n";
    let tables = [
        table("none-first.tsv", rows),
        table("none-second.tsv", rows),
    ];
    let found = json(&tables, &[]);
    for name in ["kappa", "weighted_kappa", "alpha", "broad_kappa"] {
        assert_eq!(found[name], Value::Null, "{name}");
    }
    assert_eq!(found["broad"]["percent"], Value::Null);
    let (out, _, status) = run(&tables, &[]);
    assert_eq!(status, 0);
    assert!(out.contains("undefined here"), "{out}");
}
