//! However long a line is, what is drawn of it fits the screen and holds the fault.

use apical::report::text::line::{clipped, window};
use apical::text::{Span, width};

fn fault_in(text: &str) -> Span {
    let start = text.find('!').expect("the fault is in the text");
    Span::new(start, start + 1)
}

#[test]
fn the_window_holds_the_fault_and_fits() {
    for room in [20, 37, 58, 80, 200] {
        for lead in [0, 1, 5, 30, 200, 5_000] {
            for tail in [0, 1, 5, 30, 200, 5_000] {
                let text = format!("{}!{}", "pæ\u{303}".repeat(lead), "tʰo".repeat(tail));
                let (view, _) = window(&text, &[fault_in(&text)], room);
                assert!(
                    width(&view.line) <= room,
                    "{room} {lead} {tail}: {}",
                    view.line
                );
                let (column, wide) = view.carets[0];
                let before =
                    &view.line[..view.line.find('!').expect("the fault is shown")];
                assert_eq!((width(before), 1), (column, wide), "{room} {lead} {tail}");
                // Either the whole text, or an ellipsis where it was cut; and the whole
                // text wherever it fits with room for a caret after it.
                assert_eq!(view.line == text, !view.line.contains('…'));
                assert!(view.line == text || width(&text) > room - 3);
            }
        }
    }
}

#[test]
fn a_line_that_fits_is_whole() {
    let text = "[ˈpæ!tɚn]";
    let (view, _) = window(text, &[fault_in(text)], 40);
    assert_eq!(view.line, text);
}

#[test]
fn faults_far_apart_get_windows_of_their_own() {
    let text = format!("!{}!", "a".repeat(10_000));
    let spans = [Span::new(0, 1), Span::new(text.len() - 1, text.len())];
    let (first, shown) = window(&text, &spans, 60);
    assert_eq!(shown, 1);
    assert!(first.line.starts_with("!a") && first.line.ends_with('…'));
    let (second, shown) = window(&text, &spans[1..], 60);
    assert_eq!(shown, 1);
    assert!(second.line.starts_with('…') && second.line.ends_with("a!"));
}

#[test]
fn a_tower_of_marks_is_counted_not_drawn() {
    // 4,000 marks on one letter: what a terminal makes of them nobody can read.
    let text = format!("[pa{}t]", "\u{303}\u{325}".repeat(2_000));
    let (view, _) = window(&text, &[Span::new(2, 5)], 60);
    assert!(
        view.line.chars().count() < 60,
        "{}",
        view.line.chars().count()
    );
    assert!(view.line.contains("more marks"));
    assert!(clipped(&text, 60).chars().count() < 80);
}

#[test]
fn ten_megabytes_are_drawn_at_once() {
    // Drawing must not walk the line: a thousand windows of it take no time worth naming.
    let text = format!("{}!{}", "ta".repeat(2_500_000), "ta".repeat(2_500_000));
    let spans = [fault_in(&text)];
    let started = std::time::Instant::now();
    for _ in 0..1_000 {
        let (view, _) = window(&text, &spans, 80);
        assert_eq!(view.carets.len(), 1);
    }
    assert!(started.elapsed().as_secs() < 20, "{:?}", started.elapsed());
}
