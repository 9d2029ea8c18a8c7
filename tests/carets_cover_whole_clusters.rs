//! A caret run stands under the whole of every letter it marks, whatever is stacked on the
//! letter, and nothing beside it. Columns are those of a terminal: a combining mark takes
//! none, an East Asian wide letter two (UAX #11, UAX #29).

use apical::report::text::line::window;
use apical::text::Span;

/// The text of the line and a second line with the carets, as they would stand on screen.
fn drawn(text: &str, marked: &str) -> (String, String) {
    let start = text
        .find(marked)
        .expect("the marked stretch is in the text");
    let span = Span::new(start, start + marked.len());
    let (view, shown) = window(text, &[span], 60);
    assert_eq!(shown, 1);
    let (column, wide) = view.carets[0];
    (
        view.line,
        format!("{}{}", " ".repeat(column), "^".repeat(wide)),
    )
}

#[test]
fn a_lone_mark_is_marked_by_its_letter() {
    // The ring is one of two marks on [u]; the caret must not fall on the [n] after it.
    let (line, carets) = drawn("[bu\u{325}\u{303}n]", "\u{325}");
    assert_eq!(line, "[bu\u{325}\u{303}n]");
    assert_eq!(carets, "  ^");
}

#[test]
fn a_tied_pair_is_two_columns() {
    // t͡ʃ: the tie bar takes no column, the two letters one each.
    let (_, carets) = drawn("[at\u{361}ʃa]", "t\u{361}ʃ");
    assert_eq!(carets, "  ^^");
}

#[test]
fn marks_before_the_fault_do_not_shift_it() {
    let (_, carets) = drawn("[a\u{303}\u{325}\u{330}ʃ:]", ":");
    assert_eq!(carets, "   ^");
}

#[test]
fn a_wide_letter_takes_two_columns() {
    let (_, carets) = drawn("[kａt]", "ａ");
    assert_eq!(carets, "  ^^");
    let (_, carets) = drawn("[ａ:]", ":");
    assert_eq!(carets, "   ^");
}

#[test]
fn a_mark_without_a_letter_sits_on_a_circle() {
    let (line, carets) = drawn("\u{325}bæt", "\u{325}");
    assert_eq!(line, "\u{25CC}\u{325}bæt");
    assert_eq!(carets, "^");
}

#[test]
fn a_hidden_character_is_marked_over_all_that_is_drawn_for_it() {
    let (line, carets) = drawn("[k\u{202E}t]", "\u{202E}");
    assert_eq!(line, "[k⟨U+202E⟩t]");
    assert_eq!(carets, "  ^^^^^^^^");
}

#[test]
fn the_end_of_the_text_has_a_caret_of_its_own() {
    let text = "[kæt";
    let (view, _) = window(text, &[Span::new(text.len(), text.len())], 60);
    assert_eq!(view.carets, [(4, 1)]);
}

#[test]
fn a_long_span_is_marked_from_end_to_end() {
    let (_, carets) = drawn("[{4V!hɑːʃ4V!}]", "4V!hɑːʃ4V!");
    assert_eq!(carets, "  ^^^^^^^^^^");
}

#[test]
fn a_span_that_cuts_a_character_is_widened() {
    let (view, _) = window("aʃb", &[Span::new(2, 3)], 60);
    assert_eq!(view.carets, [(1, 1)]);
}

proptest::proptest! {
    /// The span that is drawn begins and ends between clusters and holds the span asked for
    /// (UAX #29: the clusters are those of the crate that implements it, walked one by one).
    #[test]
    fn whole_clusters_are_whole(text in "([a-zɐ-ʯ]|[\u{300}-\u{36F}]|\u{200D}|👩|🇦|\r|\n|한){0,12}",
                                from in 0_usize..40, long in 0_usize..10) {
        use unicode_segmentation::UnicodeSegmentation;
        let span = Span::new(from.min(text.len()), (from + long).min(text.len()));
        let wide = apical::text::whole_clusters(&text, span);
        let mut bounds: Vec<usize> = text.grapheme_indices(true).map(|(at, _)| at).collect();
        bounds.push(text.len());
        proptest::prop_assert!(bounds.contains(&wide.start) && bounds.contains(&wide.end));
        proptest::prop_assert!(wide.start <= span.start && span.end <= wide.end);
        let inside = bounds.iter().filter(|at| wide.start < **at && **at < wide.end);
        // No cluster more than needed: every bound inside lies inside the span asked for.
        for bound in inside {
            proptest::prop_assert!(span.start < *bound && *bound < span.end);
        }
    }
}
