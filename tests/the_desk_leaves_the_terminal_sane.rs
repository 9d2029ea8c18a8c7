//! However the desk is left or disturbed, the terminal is as a shell wants it and the text
//! that was being typed is kept.

use crate::terminal::{Desk, Folder, Start};

#[test]
fn at_its_end() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    assert!(!desk.is_sane(), "while a line is typed the terminal is raw");
    desk.press("\x04");
    assert!(desk.end().success());
    assert!(desk.is_sane());
}

#[test]
fn when_it_is_terminated_in_the_middle_of_a_line() {
    for signal in ["TERM", "HUP"] {
        let state = Folder::new();
        let mut desk = Desk::open(&state);
        desk.press("[TINk");
        desk.line_is("[θɪŋk", 5);
        desk.signal(signal);
        assert!(!desk.end().success());
        assert!(desk.is_sane(), "after {signal}");
        let raw = String::from_utf8_lossy(&desk.raw).into_owned();
        let on = raw.rfind("\x1b[?2004h").expect("pasting is bracketed");
        let off = raw.rfind("\x1b[?2004l").expect("and no longer");
        assert!(on < off);
        let mut desk = Desk::open(&state);
        desk.line_is("[θɪŋk", 5);
        desk.press("\x03");
        desk.shows("Set aside");
        desk.leave();
        assert!(desk.end().success());
        // The draft is given back once.
        let mut desk = Desk::open(&state);
        desk.line_is("", 0);
    }
}

#[test]
fn when_the_screen_changes_its_size() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    let text = format!("[{}", "ta".repeat(30));
    desk.press(&text);
    desk.line_is(&text, 61);
    desk.resize(24, 40);
    desk.until("the line on two rows", |screen| {
        let rows = screen.rows().join("");
        rows.contains(&text) && screen.column() + 8 < 40
    });
    desk.resize(24, 80);
    desk.line_is(&text, 61);
    desk.press("]");
    desk.line_is(&format!("{text}]"), 62);
    let prompts = desk
        .screen()
        .rows()
        .iter()
        .filter(|row| row.starts_with("apical>"))
        .count();
    assert_eq!(prompts, 1);
}

#[test]
fn when_it_is_suspended_and_taken_up_again() {
    let state = Folder::new();
    let mut desk = Desk::start(&Start {
        rows: 24,
        columns: 80,
        state: &state,
        environment: &[],
        in_shell: true,
    });
    desk.press("[TIN");
    desk.line_is("[θɪŋ", 4);
    desk.press("\x1a");
    desk.until("the shell", |screen| screen.last_row() == "shell$");
    assert!(desk.screen().text().contains("Stopped"));
    desk.press("fg\r");
    desk.line_is("[θɪŋ", 4);
    desk.press("k]\r");
    desk.shows("in order (narrow)");
}

#[test]
fn when_control_characters_are_pasted() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    desk.press("\x1b[200~[k\x07æ\tt\x08\r\nə]\x1b[201~");
    desk.until("the text", |screen| screen.text().contains("ə]"));
    // Nothing was obeyed: no bell rang.
    assert!(!desk.raw.contains(&7));
    desk.press("\r");
    desk.shows("taken out");
    desk.line_is("[kæ t ə]", 8);
    desk.press("\r");
    desk.shows("in order (narrow)");
    desk.line_is("", 0);
}

#[test]
fn when_a_line_has_ten_thousand_characters() {
    let state = Folder::new();
    let mut desk = Desk::open(&state);
    let text = format!("[{}]", "ta".repeat(5_000));
    desk.press(&format!("\x1b[200~{text}\x1b[201~"));
    desk.until("its end", |screen| screen.text().contains("tata]"));
    desk.press("\x03");
    desk.shows("Set aside");
    desk.leave();
    assert!(desk.end().success());
    assert!(desk.is_sane());
    let history = state.0.join("apical").join("commands.history");
    let kept = std::fs::read_to_string(history).expect("the history");
    assert!(
        kept.lines().any(|line| line == text),
        "the line is kept whole"
    );
}
