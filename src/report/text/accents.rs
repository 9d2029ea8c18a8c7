//! The accents there are, or one of them with what it holds.

use super::{counted, padded, palette, push_hanging, push_line, styled};
use crate::accent::Accent;
use crate::inventory::PhonemeKind;
use crate::text::width;

/// Draws a line for each accent.
#[must_use]
pub fn index(accents: &[Accent], columns: usize) -> String {
    let mut page = String::new();
    for accent in accents {
        let name = styled(palette::STRONG, &padded(accent.name(), 8));
        push_line(&mut page, &format!("{name}  {}", accent.called()));
    }
    let hint = "`apical accents NAME` shows its phonemes, options and rules.";
    push_hanging(&mut page, 0, "", palette::FAINT, 0, hint, columns);
    page
}

/// Draws an accent: phonemes, what can be declared, what its phonemes may be where, weak
/// forms.
#[must_use]
pub fn page(accent: &Accent, columns: usize) -> String {
    const LABELS: usize = 12;
    let mut page = String::new();
    let name = styled(palette::STRONG, accent.name());
    push_line(&mut page, &format!("{name}  {}", accent.called()));
    for (label, kinds) in [
        (
            "consonants",
            &[PhonemeKind::Consonant, PhonemeKind::Affricate][..],
        ),
        ("vowels", &[PhonemeKind::Monophthong]),
        ("diphthongs", &[PhonemeKind::Diphthong]),
        ("r-coloured", &[PhonemeKind::RColoured]),
        ("syllabic", &[PhonemeKind::Syllabic]),
    ] {
        let rows = accent.inventory().filter(|row| kinds.contains(&row.kind));
        let listed: Vec<String> = rows
            .map(|row| format!("{} {}", row.text, row.keyword))
            .collect();
        if !listed.is_empty() {
            let text = listed.join(", ");
            push_hanging(&mut page, 2, label, palette::FAINT, LABELS, &text, columns);
        }
    }
    let options = accent.options();
    if !options.is_empty() {
        push_line(
            &mut page,
            "\nto declare with --accent-option; `no-` before it takes it back:",
        );
        let wide = options.iter().map(|it| width(it.name)).max().unwrap_or(0);
        for option in options {
            let on = if accent.is_on(option.name) {
                "on: "
            } else {
                "off: "
            };
            let text = format!("{on}{}", option.means);
            let label = option.name;
            let style = palette::STRONG;
            push_hanging(&mut page, 2, label, style, wide + 2, &text, columns);
        }
    }
    push_line(&mut page, "\nwhat a phoneme may be where:");
    let mut names: Vec<&str> = Vec::new();
    for row in accent.allophones() {
        let heading = if names.contains(&row.name) {
            ""
        } else {
            row.name
        };
        names.push(row.name);
        if !heading.is_empty() {
            let asked = if row.obligatory {
                "  asked for in […]"
            } else {
                ""
            };
            push_line(
                &mut page,
                &format!("  {}{asked}", styled(palette::STRONG, heading)),
            );
        }
        let text = format!("{}; {}", row.rule(), row.example);
        push_hanging(&mut page, 4, "", palette::FAINT, 0, &text, columns);
    }
    let weak = accent.weak_forms();
    if !weak.is_empty() {
        let count = counted(weak.len(), "weak form", "weak forms");
        push_line(&mut page, &format!("\n{count}:"));
        for row in weak {
            let text = format!("{} → {}  {}", row.strong, row.weak.join(", "), row.when);
            let style = palette::STRONG;
            push_hanging(&mut page, 2, row.word, style, LABELS, &text, columns);
        }
    }
    page
}
