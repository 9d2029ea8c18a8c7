//! The mouth in a terminal, with its key and the same in words.

use super::line::visible;
use super::{palette, push_hanging, push_line, styled};
use crate::report::picture::dots::{self, Cell, Grain, Part};
use crate::report::picture::{Sound, change_in_words};

/// Blanks before a picture.
const INDENT: usize = 4;

/// Draws each moment of a sound, `wide` cells wide and half as high.
#[must_use]
pub fn sound(sound: &Sound, wide: usize, grain: Grain) -> String {
    let mut page = String::new();
    for gesture in &sound.gestures {
        let title = [visible(&sound.text), gesture.moment.to_owned()].join(" ");
        push_line(&mut page, &format!("  {}", styled(palette::STRONG, &title)));
        push_cells(&mut page, &dots::sound(gesture, wide, wide / 2, grain));
    }
    key(&mut page, grain, false, wide);
    push_hanging(
        &mut page,
        2,
        "",
        palette::FAINT,
        2,
        &sound.in_words(),
        wide + INDENT,
    );
    page.push('\n');
    page
}

/// Draws a production over its target, and says what has to change.
#[must_use]
pub fn difference(target: &Sound, said: &Sound, wide: usize, grain: Grain) -> String {
    let mut page = String::new();
    let title = format!(
        "target {}, said {}",
        visible(&target.text),
        visible(&said.text)
    );
    push_line(&mut page, &format!("  {}", styled(palette::STRONG, &title)));
    let most = target.gestures.len().max(said.gestures.len());
    for at in 0..most {
        let of = |it: &'_ Sound| it.gestures.get(at).or(it.gestures.last()).cloned();
        let (Some(wanted), Some(produced)) = (of(target), of(said)) else {
            continue;
        };
        if !wanted.moment.is_empty() {
            push_line(&mut page, &format!("  {}", wanted.moment));
        }
        let cells = dots::difference(&wanted, &produced, wide, wide / 2, grain);
        push_cells(&mut page, &cells);
    }
    key(&mut page, grain, true, wide);
    let mut words = change_in_words(target, said);
    if words.is_empty() {
        words.push("the mouth does the same".to_owned());
    }
    for sentence in words {
        push_hanging(
            &mut page,
            2,
            "·",
            palette::FAINT,
            2,
            &sentence,
            wide + INDENT,
        );
    }
    page.push('\n');
    page
}

/// What the signs of a picture stand for.
fn key(page: &mut String, grain: Grain, two: bool, wide: usize) {
    let text = match (grain, two) {
        (Grain::Dots, false) => "█ contact  ≈ friction",
        (Grain::Dots, true) => {
            "tongue: whole line target, dotted line said  █ contact of the target  ≈ friction"
        }
        (Grain::Characters, false) => "o tongue  # contact  ~ friction  = soft roof",
        (Grain::Characters, true) => {
            "o target's tongue  x said  8 both  # contact of the target  ~ friction"
        }
    };
    push_hanging(page, 2, "", palette::FAINT, 2, text, wide + INDENT);
}

fn push_cells(page: &mut String, cells: &[Vec<Cell>]) {
    for row in cells {
        let mut line = " ".repeat(INDENT);
        for (character, part) in row {
            let style = match part {
                Part::Said => palette::WARNING,
                Part::Contact | Part::Friction => palette::STRONG,
                Part::Tongue | Part::Both => palette::DETAIL,
                _ => palette::FAINT,
            };
            if *character == ' ' {
                line.push(' ');
            } else {
                line.push_str(&styled(style, &character.to_string()));
            }
        }
        push_line(page, &line);
    }
}
