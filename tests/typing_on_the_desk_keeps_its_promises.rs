//! On a terminal: each key does what is promised, in one step that one undo takes back, and
//! the screen says what is typed, what is wrong and what mends it.

use crate::terminal::{Desk, Folder, Start};

const LEFT: &str = "\x1b[D";
const RIGHT: &str = "\x1b[C";
const UNDO: &str = "\x1f";
const MEND: &str = "\x06";
const SEGMENT: &str = "\x17";
const BACKSPACE: &str = "\x7f";

#[test]
fn capitals_and_signs_become_the_alphabet_as_they_are_typed() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("['t_hINk@`N:?4]");
    desk.line_is("[ˈtʰɪŋkɚŋːʔɾ]", 13);
    // Outside the brackets a capital is a capital.
    desk.press(" TD");
    desk.line_is("[ˈtʰɪŋkɚŋːʔɾ] TD", 16);
}

#[test]
fn each_substitution_is_one_undo_step() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("[t");
    desk.line_is("[t", 2);
    desk.press("\t");
    desk.line_is("[θ", 2);
    desk.press("\t");
    desk.line_is("[ʈ", 2);
    desk.press(UNDO);
    desk.line_is("[θ", 2);
    desk.press(UNDO);
    desk.line_is("[t", 2);
}

#[test]
fn a_ring_turns_both_ways_and_a_numbered_list_is_picked_by_digit() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("[s_d\t");
    desk.line_is("[ʃ̪", 2);
    desk.shows("Tab turns: s [ʃ] ʂ");
    desk.press("\x1b[Z");
    desk.line_is("[s̪", 2);
    desk.press("\x1d");
    desk.shows("3 ʂ  voiceless retroflex fricative");
    desk.press("3");
    desk.line_is("[ʂ̪", 2);
    // Once the list is closed a digit types again.
    desk.press("4");
    desk.line_is("[ʂ̪ɾ", 3);
}

#[test]
fn the_next_key_can_be_taken_literally() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("[\x16N");
    desk.line_is("[N", 2);
}

#[test]
fn a_whole_line_is_converted_from_other_notations() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    // Pasted, so that it is not taken for typing.
    desk.press("target think\r");
    desk.shows("heard>");
    desk.press("\x1b[200~\"TINk@r\\\x1b[201~");
    desk.line_is("\"TINk@r\\", 8);
    desk.press("\x1b[17~");
    desk.line_is("ˈθɪŋkəɹ", 7);
    desk.press("\x15:arpabet TH IH1 NG K\r");
    desk.line_is("ˈθɪŋk", 5);
}

#[test]
fn pasted_text_and_other_keyboards_are_left_alone() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("\x1b[200~[SIp]\x1b[201~");
    desk.line_is("[SIp]", 5);
    desk.press("\x15");
    desk.line_is("", 0);
    desk.press("[ʃɪp");
    desk.line_is("[ʃɪp", 4);
}

#[test]
fn arrows_go_by_segment_and_deletion_by_mark_or_segment() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("[t_Sha_Ik_h");
    desk.line_is("[t͡ʃha͡ɪkʰ", 8);
    for column in [6, 4, 3, 1, 0] {
        desk.press(LEFT);
        desk.line_is("[t͡ʃha͡ɪkʰ", column);
    }
    desk.press(RIGHT);
    desk.press(RIGHT);
    desk.line_is("[t͡ʃha͡ɪkʰ", 3);
    desk.press("\x05");
    desk.line_is("[t͡ʃha͡ɪkʰ", 8);
    desk.press(BACKSPACE);
    desk.line_is("[t͡ʃha͡ɪk", 7);
    desk.press(SEGMENT);
    desk.press(SEGMENT);
    desk.line_is("[t͡ʃh", 4);
    desk.press(UNDO);
    desk.line_is("[t͡ʃha͡ɪ", 6);
}

#[test]
fn faults_are_underlined_and_named_and_one_key_mends_them() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("[\x16\x3aa]");
    desk.line_is("[:a]", 4);
    desk.shows("colon typed for the length mark");
    let row = desk.screen().row();
    assert!(desk.screen().underlined(row, 9), "the colon is underlined");
    assert!(!desk.screen().underlined(row, 10), "the vowel is not");
    desk.press("\x15[be\x16\x3a]");
    desk.line_is("[be:]", 5);
    desk.press(MEND);
    desk.line_is("[beː]", 4);
}

#[test]
fn the_sound_at_the_cursor_is_named_with_its_posture() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("[Ta");
    desk.shows("a  open front unrounded vowel: jaw open");
    desk.press(LEFT);
    desk.shows(
        "θ  voiceless dental fricative: jaw slightly open, lips neutral, tongue tip",
    );
}

#[test]
fn the_caret_stands_under_the_segment_that_is_answered() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("target /stɹit/\r");
    desk.shows("target  s t ɹ i t\n        ^");
    let rows = [
        ("s", "        ^"),
        ("t", "          ^"),
        ("4", "            ^"),
        ("i", "            ≠ ^"),
    ];
    for (keys, below) in rows {
        desk.press(keys);
        desk.shows(&format!("target  s t ɹ i t\n{below}\n"));
    }
    // What is left out is passed over.
    desk.press("\x15stit");
    desk.shows("target  s t ɹ i t\n            −   ^");
}

#[test]
fn enter_keeps_a_faulty_line_and_says_why() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("[kæt");
    desk.line_is("[kæt", 4);
    desk.press("\r");
    desk.shows("not taken: error: `[` is never closed");
    desk.line_is("[kæt", 4);
    desk.press("]\r");
    desk.shows("in order (narrow)");
}

#[test]
fn a_line_is_set_aside_by_ctrl_c_and_comes_back() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("[kæt");
    desk.line_is("[kæt", 4);
    desk.press("\x03");
    desk.shows("Set aside");
    desk.line_is("", 0);
    desk.press("\x1b[A");
    desk.line_is("[kæt", 4);
    desk.press("\x15\x04");
    assert!(desk.end().success());
}

#[test]
fn commands_are_completed_and_listed() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("desc\t");
    desk.line_is("describe", 8);
    desk.press("\x15help\r");
    desk.shows("The desk itself");
    desk.press("help target\r");
    desk.shows("target [WORD or TRANSCRIPTION]");
}

#[test]
fn without_colour_faults_are_still_underlined() {
    let state = Folder::new();
    let mut desk = Desk::start(&Start {
        rows: 24,
        columns: 60,
        state: &state,
        environment: &[("NO_COLOR", "1")],
        in_shell: false,
    });
    desk.press("[be\x16\x3a]");
    desk.line_is("[be:]", 5);
    desk.shows("colon typed for the length mark");
    let row = desk.screen().row();
    assert!(desk.screen().underlined(row, 11));
    assert!(!desk.screen().coloured());
    desk.press("\x06\r");
    desk.shows("in order");
    assert!(!desk.screen().coloured());
    for row in desk.screen().rows() {
        assert!(row.chars().count() <= 60);
    }
}

#[test]
fn histories_are_kept_apart_and_searched() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("describe [θ]\r");
    desk.shows("voiceless dental fricative\n");
    desk.press("target think\r");
    desk.shows("heard>");
    desk.press("tɪŋk\r");
    desk.shows("manner: plosive");
    desk.line_is("", 0);
    desk.press("\x1b[A");
    desk.line_is("tɪŋk", 4);
    desk.press("\x1b[A");
    desk.press("\x15:target\r");
    desk.until("the command prompt", |screen| {
        screen.last_row() == "apical>"
    });
    desk.press("\x12desc");
    desk.until("the search", |screen| {
        let row = screen.last_row();
        row.contains("desc") && row.ends_with("describe [θ]")
    });
    desk.press("\x1b[F");
    desk.line_is("describe [θ]", 12);
    desk.press("\x15\x04");
    assert!(desk.end().success());
    // And they outlive the desk.
    let mut desk = Desk::open(&state);
    desk.press("\x1b[A\x1b[A");
    desk.line_is("describe [θ]", 12);
}

#[test]
fn lines_can_be_edited_as_in_vi() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("keys vi\r");
    desk.shows("lines are edited as in vi");
    desk.press("[TIN");
    desk.line_is("[θɪŋ", 4);
    desk.press("\x1b");
    desk.line_is("[θɪŋ", 3);
    desk.press("hx");
    desk.line_is("[θŋ", 2);
    desk.press("a:");
    desk.line_is("[θŋː", 4);
    desk.press("\x15\x04");
    assert!(desk.end().success());
    // The choice is kept.
    let mut desk = Desk::open(&state);
    desk.press("ab");
    desk.line_is("ab", 2);
    desk.press("\x1b");
    desk.line_is("ab", 1);
}

#[test]
fn a_key_takes_a_symbol_of_ones_own() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("key r ɹ\r");
    desk.shows("r types ɹ");
    desk.press("[rEd");
    desk.line_is("[ɹɛd", 4);
    desk.press("\x15key r\r");
    desk.shows("r types what it usually does");
    desk.press("[r");
    desk.line_is("[r", 2);
}
