//! A sheet is read as coaches keep them, and what is counted in it is what a person counts.
//!
//! Counts were made by hand on the rows that stand beside them.

use serde_json::Value;

use crate::program::analyzed;

fn json(sheet: &str, name: &str) -> Value {
    let (out, err, status) = analyzed(sheet, name, &["--format", "json"]);
    assert_eq!((status, err.as_str()), (0, ""), "{sheet}");
    assert_eq!(out.lines().count(), 1);
    serde_json::from_str(&out).unwrap()
}

fn pattern<'v>(analysis: &'v Value, name: &str) -> &'v Value {
    let patterns = analysis["patterns"].as_array().unwrap();
    patterns.iter().find(|it| it["name"] == name).expect(name)
}

#[test]
fn the_invented_client_is_counted() {
    let sheet = include_str!("data/demo/word_list.tsv");
    let analysis = json(sheet, "client.tsv");
    assert_eq!(analysis["version"], 1);
    assert_eq!(analysis["accent"], "en-US");
    assert_eq!(analysis["items"], 58);
    assert_eq!(analysis["looked_up"], 57);
    let left_out = analysis["left_out"].as_array().unwrap();
    let rows: Vec<_> = left_out
        .iter()
        .map(|it| it["row"].as_u64().unwrap())
        .collect();
    assert_eq!(rows, [21, 41]);
    assert!(left_out[0]["reason"].as_str().unwrap().contains("no entry"));
    assert!(
        left_out[1]["reason"]
            .as_str()
            .unwrap()
            .contains("production")
    );
    for (name, occurrences, opportunities) in [
        ("θ sibilation", 7, 8),
        // this, mother, weather, either; breathe ends in another sound
        ("ð sibilation", 4, 5),
        // weather, window, west, away, twelve, sandwich, quick, water
        ("w–v merger (w → v)", 8, 8),
        // breathe ends in another sound, bridge and drive are right
        ("final devoicing", 12, 15),
        ("stress shift left or to the root", 2, 7),
    ] {
        let found = pattern(&analysis, name);
        let counts = [&found["occurrences"], &found["opportunities"]];
        assert_eq!(counts, [occurrences, opportunities], "{name}: {found}");
        assert_eq!(found["too_few"], false);
    }
    let first = &analysis["errors"][0];
    assert_eq!(first["row"], 2);
    assert_eq!(first["word"], "think");
    assert_eq!(
        (&first["target"], &first["production"]),
        (&"θ".into(), &"s".into())
    );
    assert_eq!(first["kind"], "substitution");
    assert_eq!(first["position"], "initial");
    assert_eq!(first["syllable_part"], "onset");
    assert_eq!(first["stressed"], true);
    assert_eq!(first["differences"][0]["feature"], "place");
    let prosody = &analysis["prosody"];
    assert_eq!(prosody["stress"]["rows"], serde_json::json!([39, 44]));
}

#[test]
fn columns_come_in_any_order_and_dress() {
    let plain = "word\ttarget\tproduction\nthink\tθɪŋk\tsɪŋk\nzoo\t\tsu\n";
    let expected = json(plain, "plain.tsv");
    for (sheet, name) in [
        (
            "Production\tage\tWord\tTARGET\r\nsɪŋk\t4\tthink\tθɪŋk\r\nsu\t\tzoo\t\r\n",
            "order.tsv",
        ),
        (
            "\u{FEFF}word,target,production\nthink,θɪŋk,sɪŋk\nzoo,,su\n",
            "mark.csv",
        ),
        (
            "word,note,target,production\nthink,\"a, b\",\"θɪŋk\",sɪŋk\nzoo,,,su",
            "quotes.csv",
        ),
        (
            "word\ttarget\tproduction\nthink\tθɪŋk\tsɪŋk\nzoo\t\tsu\n\n\t\t\n",
            "blank.tsv",
        ),
    ] {
        let found = json(sheet, name);
        assert_eq!(found["errors"], expected["errors"], "{sheet}");
        assert_eq!(found["patterns"], expected["patterns"], "{sheet}");
    }
}

#[test]
fn rows_are_counted_as_in_the_file() {
    let sheet = "word,note,production\nthink,\"two\nlines\",sɪŋk\n\nzoo,,su\nzip,,\n";
    let analysis = json(sheet, "rows.csv");
    let rows: Vec<_> = analysis["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| it["row"].as_u64().unwrap())
        .collect();
    assert_eq!(rows, [2, 5]);
    assert_eq!(analysis["left_out"][0]["row"], 6);
}

#[test]
fn every_variant_counts_and_what_is_accepted_too() {
    // Two ways to say either; a coach may accept a third.
    let sheet = "word\ttarget\tproduction\taccepted\n\
                 either\t\tˈaɪðɚ\t\n\
                 either\t\tˈiðɚ\t\n\
                 either\t\tˈɛðɚ\t\n\
                 either\t\tˈɛðɚ\tˈɛðɚ; ˈiðɚ\n\
                 tomato\ttəˈmeɪtoʊ\ttəˈmɑtoʊ\ttəˈmɑtoʊ\n";
    let analysis = json(sheet, "variants.tsv");
    let errors = analysis["errors"].as_array().unwrap();
    let rows: Vec<_> = errors
        .iter()
        .map(|it| it["row"].as_u64().unwrap())
        .collect();
    assert_eq!(rows, [4]);
    assert_eq!(analysis["right"], 4);
}

#[test]
fn what_cannot_be_read_is_left_out_with_its_reason() {
    let sheet = "word\ttarget\tproduction\n\
                 thwink\t\tsɪŋk\n\
                 think\tθɪŋk:\tsɪŋk\n\
                 think\tθɪŋk\t[sɪŋk\n\
                 \t\tsɪŋk\n\
                 think\tθɪŋk\t\n\
                 think\tθɪŋk\t//\n\
                 think\tθɪŋk\tsɪŋk\textra\n\
                 think\tθɪŋk\tsɪŋk\n";
    let analysis = json(sheet, "faults.tsv");
    assert_eq!(analysis["items"], 1);
    let left_out = analysis["left_out"].as_array().unwrap();
    let expected = [
        (2, "no entry “thwink”"),
        (3, "target θɪŋk: cannot be read: at character 5"),
        (4, "never closed"),
        (5, "neither word nor target"),
        (6, "no production"),
        (7, "production //"),
        (8, "4 cells"),
    ];
    assert_eq!(left_out.len(), expected.len());
    for (found, (row, reason)) in left_out.iter().zip(expected) {
        assert_eq!(found["row"], row);
        let text = found["reason"].as_str().unwrap();
        assert!(text.contains(reason), "{row}: {text}");
    }
}

#[test]
fn a_table_that_is_no_sheet_says_what_it_lacks() {
    for (sheet, name, reason) in [
        ("", "empty.tsv", "the sheet is empty"),
        (
            "word\ttarget\nx\ty\n",
            "said.tsv",
            "no column is called “production”",
        ),
        (
            "production\ns\n",
            "wanted.tsv",
            "no column is called “word” or “target”",
        ),
        (
            "word\tword\tproduction\n",
            "twice.tsv",
            "two columns are called “word”",
        ),
        ("\"a\"\n", "lines.jsonl", "a sheet is a table"),
    ] {
        let (out, err, status) = analyzed(sheet, name, &[]);
        assert_eq!((status, out.as_str()), (2, ""), "{sheet}");
        assert!(err.contains(reason) && err.contains("remedy"), "{err}");
    }
}

#[test]
fn a_coach_may_bring_patterns() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("patterns");
    std::fs::create_dir_all(&folder).unwrap();
    let own = "name: mine\ncatches: a thing of mine\nrule: ŋ k → k\n";
    std::fs::write(folder.join("mine.txt"), own).unwrap();
    let sheet = "word\tproduction\nthink\tθɪk\nbank\tbæŋk\n";
    let path = folder.to_str().unwrap();
    let arguments = [
        "--patterns",
        path,
        "--own-patterns-only",
        "--format",
        "json",
    ];
    let (out, err, status) = analyzed(sheet, "own.tsv", &arguments);
    assert_eq!((status, err.as_str()), (0, ""));
    let analysis: Value = serde_json::from_str(&out).unwrap();
    let patterns = analysis["patterns"].as_array().unwrap();
    assert_eq!(patterns.len(), 1);
    assert_eq!(
        (&patterns[0]["occurrences"], &patterns[0]["opportunities"]),
        (&1.into(), &2.into())
    );
    assert_eq!(patterns[0]["rule"], "ŋ k → k");
    std::fs::write(folder.join("mine.txt"), "name: mine\nrule: ŋ k\n").unwrap();
    let (out, err, status) = analyzed(sheet, "own.tsv", &arguments);
    assert_eq!((status, out.as_str()), (2, ""));
    assert!(err.contains("mine.txt:2: rule: there is no arrow"), "{err}");
}

/// The cautions stand on the page, and what comes up most stands first.
#[test]
fn the_page_begins_with_what_comes_up_most() {
    let sheet = include_str!("data/demo/word_list.tsv");
    let (page, ..) = analyzed(sheet, "page.tsv", &["--width", "80"]);
    let first = page.find("What comes up again and again").unwrap();
    let others = page.find("Errors that no pattern names").unwrap();
    let named = first + page[first..].find("final devoicing").unwrap();
    assert!(named < others, "{page}");
    // The rule that is a known pattern has its name.
    assert!(page[..first].contains(": final devoicing"), "{page}");
    assert!(page.contains("a difference, not a disorder"));
    assert!(page.contains("no diagnosis"));
    assert!(
        page.lines().all(|line| line.chars().count() <= 80),
        "{page}"
    );
}

#[test]
fn weights_order_what_to_work_on_and_lists_have_an_end() {
    let sheet = include_str!("data/demo/word_list.tsv");
    let contrasts = |weights: &str| -> Vec<Value> {
        let arguments = ["--format", "json", "--weights", weights];
        let (out, ..) = analyzed(sheet, "weights.tsv", &arguments);
        let analysis: Value = serde_json::from_str(&out).unwrap();
        let all = analysis["priorities"].as_array().unwrap();
        all.iter()
            .filter(|it| !it["functional_load"].is_null())
            .cloned()
            .collect()
    };
    // By errors alone the commonest stand first, by load alone the costliest.
    let errors: Vec<u64> = contrasts("1,0,0")
        .iter()
        .map(|it| it["errors"].as_u64().unwrap())
        .collect();
    assert!(errors.is_sorted_by(|one, other| one >= other), "{errors:?}");
    let load: Vec<f64> = contrasts("0,1,0")
        .iter()
        .map(|it| it["functional_load"].as_f64().unwrap())
        .collect();
    assert!(load.is_sorted_by(|one, other| one >= other), "{load:?}");
    for wrong in ["1,2", "1,x,1", "1,-1,1", "1,1,1,1"] {
        let (_, err, status) = analyzed(sheet, "weights.tsv", &["--weights", wrong]);
        assert_eq!(status, 2, "{err}");
        assert!(err.contains("--weights"), "{err}");
    }
    // Twenty rows that cannot be read: twelve are named, the others counted.
    let many = format!("word\ttarget\tproduction\n{}", "Kwilby\t\ta\n".repeat(20));
    let (page, ..) = analyzed(&many, "many.tsv", &[]);
    assert!(page.contains("and 8 more: --whole-lists"), "{page}");
    let (page, ..) = analyzed(&many, "many.tsv", &["--whole-lists"]);
    assert!(page.contains("row 21") && !page.contains("more:"), "{page}");
}
