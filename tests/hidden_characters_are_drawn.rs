//! What cannot be seen, or would move what is seen, never reaches the screen as it is.

use apical::report::text::line::visible;

#[test]
fn controls_have_pictures() {
    // Unicode, Control Pictures: U+2400 and on, in the order of the controls.
    assert_eq!(visible("k\0æ\u{1B}t\u{7F}\t"), "k␀æ␛t␡␉");
}

#[test]
fn every_control_and_every_bidi_control_is_named() {
    let mut hidden: Vec<char> = (0x80..=0x9F).filter_map(char::from_u32).collect();
    // UAX #9, table of explicit directional formatting characters; then zero-width ones.
    hidden.extend(
        "\u{61C}\u{200E}\u{200F}\u{202A}\u{202B}\u{202C}\u{202D}\u{202E}".chars(),
    );
    hidden.extend(
        "\u{2066}\u{2067}\u{2068}\u{2069}\u{200B}\u{200C}\u{200D}\u{2060}".chars(),
    );
    hidden.extend("\u{FEFF}\u{AD}\u{34F}\u{FE0F}\u{3164}\u{A0}\u{2028}\u{E000}".chars());
    for character in hidden {
        let shown = visible(&format!("a{character}b"));
        assert_eq!(shown, format!("a⟨U+{:04X}⟩b", u32::from(character)));
    }
}

#[test]
fn what_is_seen_stays() {
    let text = "[ˈt\u{361}ʃʰɪ\u{303}n.d͡ʒɚ‿ˌɡoʊ ˥˩ \u{FFFD}]";
    assert_eq!(visible(text), text);
}
