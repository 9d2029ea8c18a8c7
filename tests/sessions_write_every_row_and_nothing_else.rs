//! A session over a sheet file: what is typed is in the file once Enter was pressed, and
//! everything that nobody touched is there byte for byte.

use std::io::Write;
use std::process::{Command, Stdio};

use crate::terminal::{Desk, Folder};

const SHEET: &str = "word\tx-code\ttarget\tproduction\tnote\r\n\
    think\t\"7\"\t/θɪŋk/\t\t\r\n\
    teacher\t 8 \t/ˈti.t͡ʃɚ/\t\tkeep me\r\n\
    \r\n\
    street\t9\t[stɹit]\n";

/// Runs a script on a sheet and gives what it printed and what the sheet is afterwards.
fn script(name: &str, sheet: &[u8], lines: &str) -> (String, String, Vec<u8>) {
    let folder = Folder::new();
    let path = folder.file(name, sheet);
    let mut child = Command::new(env!("CARGO_BIN_EXE_apical"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let whole = format!("sheet {path}\n{lines}");
    child
        .stdin
        .take()
        .expect("its input")
        .write_all(whole.as_bytes())
        .expect("it reads");
    let output = child.wait_with_output().expect("it ends");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let after = std::fs::read(&path).expect("the sheet");
    (text(&output.stdout), text(&output.stderr), after)
}

#[test]
fn only_what_was_typed_is_changed() {
    let (_, errors, after) = script("a.tsv", SHEET.as_bytes(), "t̪ɪŋk\n:same\n");
    assert_eq!(errors, "");
    let expected = SHEET
        .replace("/θɪŋk/\t\t", "/θɪŋk/\tt̪ɪŋk\t")
        .replace("t͡ʃɚ/\t\tkeep", "t͡ʃɚ/\tˈti.t͡ʃɚ\tkeep");
    assert_eq!(String::from_utf8(after).expect("UTF-8"), expected);
}

#[test]
fn a_short_row_is_filled_and_a_missing_column_added() {
    let (_, errors, after) = script(
        "a.tsv",
        SHEET.as_bytes(),
        ":go street\nstrit\n:go street\n:unsure\n",
    );
    assert_eq!(errors, "");
    let after = String::from_utf8(after).expect("UTF-8");
    let lines: Vec<&str> = after.split('\n').collect();
    assert_eq!(
        lines[0],
        "word\tx-code\ttarget\tproduction\tnote\tresponse\r"
    );
    assert_eq!(lines[1], "think\t\"7\"\t/θɪŋk/\t\t\r");
    assert_eq!(lines[3], "\r");
    assert_eq!(lines[4], "street\t9\t[stɹit]\tstrit\t\tunsure");
}

#[test]
fn quotation_marks_byte_order_marks_and_odd_bytes_stay() {
    let sheet = b"\xEF\xBB\xBFword,\"a \"\"b\"\", c\",target,production\nthink,\"x,\ny\",\"/\xCE\xB8ink/\",\nodd,\xFF\xFE,/ka/,";
    let (_, errors, after) = script("a.csv", sheet, "tink\nka\n:note a, \"b\"\n");
    assert_eq!(errors, "");
    let expected: &[u8] = b"\xEF\xBB\xBFword,\"a \"\"b\"\", c\",target,production,note\nthink,\"x,\ny\",\"/\xCE\xB8ink/\",tink\nodd,\xFF\xFE,/ka/,ka,\"a, \"\"b\"\"\"";
    assert_eq!(after, expected);
}

#[test]
fn rows_come_and_go_and_every_column_can_be_edited() {
    let (page, errors, after) = script(
        "a.tsv",
        b"word\ttarget\tproduction\nthink\t\t",
        ":add sheep\n:edit production ʃɪp\n:add zzyx [z]\n:go 1\n:remove\n:go sheep\n:edit word ship\n:rows\n",
    );
    assert_eq!(errors, "");
    // The target of a known word is looked up (Carnegie Mellon dictionary: SH IY1 P).
    assert!(page.contains("item 2 sheep added, ʃip"), "{page}");
    assert_eq!(
        String::from_utf8(after).expect("UTF-8"),
        "word\ttarget\tproduction\nship\tʃip\tʃɪp\nzzyx\t[z]\t"
    );
}

#[test]
fn silence_second_attempts_and_cues_are_recorded() {
    let (_, errors, after) = script(
        "a.tsv",
        b"word\ttarget\tproduction\nthink\t/\xCE\xB8\xC9\xAA\xC5\x8Bk/\t\nsee\t/si/\t\n",
        "tɪŋk\n:cue model\n:again\nθɪŋk\n:cue none\n:silent\n",
    );
    assert_eq!(errors, "");
    assert_eq!(
        String::from_utf8(after).expect("UTF-8"),
        "word\ttarget\tproduction\tsecond_attempt\tcue\tresponse\n\
         think\t/θɪŋk/\ttɪŋk\tθɪŋk\tmodel\nsee\t/si/\t\t\t\tnone\n"
    );
}

#[test]
fn a_blind_pass_hides_the_first_and_ends_in_the_agreement() {
    let sheet = "word\ttarget\tproduction\nthink\t/θɪŋk/\ttɪŋk\nsee\t/si/\tsi\n";
    let (page, errors, after) =
        script("a.tsv", sheet.as_bytes(), ":blind\n:rows\nθɪŋk\nsi\n");
    assert_eq!(errors, "");
    let hidden = page
        .find("item 1 think: tɪŋk, then θɪŋk")
        .expect("the disagreement");
    assert!(!page[..hidden].contains("  tɪŋk"), "{page}");
    // By hand: one of two items, five of six sounds.
    assert!(
        page.contains("items 1 of 2 (50 %)\n  sounds 5 of 6 (83 %)"),
        "{page}"
    );
    assert!(
        String::from_utf8(after)
            .expect("UTF-8")
            .contains("tɪŋk\tθɪŋk\n")
    );
}

#[test]
fn a_sheet_that_is_none_is_refused_with_a_remedy() {
    for (name, bytes) in [
        ("a.tsv", &b"a\tb\n1\t2\n"[..]),
        ("b.tsv", b""),
        ("c.tsv", b"\xFF\xFEw\0"),
    ] {
        let (_, errors, after) = script(name, bytes, ":same\n");
        assert!(errors.contains("remedy"), "{name}: {errors}");
        assert_eq!(after, bytes, "{name}");
    }
}

/// A desk with the sheet open.
fn opened(folder: &Folder) -> (Desk, String) {
    let path = folder.file("a.tsv", SHEET.as_bytes());
    let mut desk = Desk::open(folder);
    desk.press("sheet a.tsv\r");
    desk.shows("item 1 of 3  think\ntarget  θ ɪ ŋ k\n        ^\n heard>");
    (desk, path)
}

fn sheet(path: &str) -> String {
    std::fs::read_to_string(path).expect("the sheet")
}

#[test]
fn enter_shows_the_difference_and_the_next_item() {
    let folder = Folder::new();
    let (mut desk, path) = opened(&folder);
    desk.press("t_dINk");
    desk.line_is("t̪ɪŋk", 4);
    desk.press("\r");
    desk.shows("θ→t̪  manner: ");
    desk.shows("item 2 of 3  teacher\n");
    desk.line_is("", 0);
    assert!(sheet(&path).contains("/θɪŋk/\tt̪ɪŋk\t"));
}

#[test]
fn one_key_each_for_what_is_commonest() {
    let folder = Folder::new();
    let (mut desk, path) = opened(&folder);
    desk.press("=");
    desk.shows("item 2 of 3  teacher");
    assert!(sheet(&path).contains("/θɪŋk/\tθɪŋk\t"));
    desk.press(">");
    desk.shows("item 3 of 3  street");
    desk.press("-");
    desk.shows("street  no response");
    assert!(sheet(&path).contains("none"));
    desk.press("<");
    desk.shows("item 1 of 3  think");
    // What was written before stands ready to be corrected.
    desk.line_is("θɪŋk", 4);
    desk.press("\x15\r");
    desk.shows("nothing typed yet");
    desk.line_is("", 0);
    // The target itself, to be changed where it differs.
    desk.press("\t");
    desk.line_is("θɪŋk", 4);
}

#[test]
fn an_unfinished_text_waits_at_its_item() {
    let folder = Folder::new();
    let (mut desk, path) = opened(&folder);
    desk.press("TI");
    desk.line_is("θɪ", 2);
    desk.press("\x1b[6~");
    desk.shows("item 2 of 3  teacher");
    desk.line_is("", 0);
    desk.press("\x1b[5~");
    desk.line_is("θɪ", 2);
    assert_eq!(sheet(&path), SHEET);
}

#[test]
fn a_recording_is_played_by_the_program_that_was_set() {
    let folder = Folder::new();
    let played = folder.0.join("played");
    std::fs::create_dir(&played).expect("a folder");
    folder.file("one.wav", b"RIFF");
    folder.file(
        "a.tsv",
        b"word\ttarget\trecording\nthink\t/\xCE\xB8\xC9\xAA\xC5\x8Bk/\tone.wav\n",
    );
    let mut desk = Desk::open(&folder);
    desk.press("sheet a.tsv\r");
    desk.shows("item 1 of 1");
    desk.press("ti\x14");
    desk.shows("no program to play it is set");
    desk.line_is("ti", 2);
    desk.press("\x15:player cp -t played\r");
    desk.shows("player: cp -t played");
    desk.press("ti\x14");
    desk.shows("playing one.wav");
    desk.line_is("ti", 2);
}

#[test]
fn trials_are_counted_with_one_key_and_n_stands_beside_the_percentage() {
    let folder = Folder::new();
    let (mut desk, path) = opened(&folder);
    desk.press(":tally\r");
    desk.shows("no trials yet");
    desk.press("1");
    desk.shows("right 1/1 (100 %)");
    desk.press("13");
    desk.shows("right 2/3 (67 %), cued 0/3 (0 %), wrong 1/3 (33 %)");
    desk.press("0");
    desk.shows("right 2/2 (100 %)");
    desk.press("2>1");
    desk.shows("item 2 of 3  teacher  counting\nright 1/1 (100 %)");
    let after = sheet(&path);
    assert!(
        after.starts_with(
            "word\tx-code\ttarget\tproduction\tnote\tright\twrong\tcued\r\n"
        )
    );
    assert!(after.contains("/θɪŋk/\t\t\t2\t\t1\r\n"), "{after}");
}

#[test]
fn what_cannot_be_saved_stays_in_the_line() {
    let folder = Folder::new();
    let (mut desk, path) = opened(&folder);
    // Someone else writes the sheet meanwhile.
    let other = SHEET.replace("keep me", "changed by another");
    std::fs::write(&path, &other).expect("another program");
    desk.press("TINk\r");
    desk.shows("changed by someone else");
    desk.line_is("θɪŋk", 4);
    assert_eq!(sheet(&path), other);
    desk.press("\x15:close\r");
    desk.shows("closed");
    let mut permissions = std::fs::metadata(&path).expect("the sheet").permissions();
    permissions.set_readonly(true);
    std::fs::set_permissions(&path, permissions).expect("read-only");
    desk.press("sheet a.tsv\r");
    desk.shows("item 1 of 3");
    desk.press("TINk\r");
    desk.shows("read-only");
    desk.line_is("θɪŋk", 4);
    assert_eq!(sheet(&path), other);
}
