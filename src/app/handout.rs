//! `apical handout`: a practice sheet for one sound.

use super::arguments::{Alphabet, Handout};
use super::{Failure, Status, Stop, report};
use crate::accent::{Accent, Phoneme};
use crate::lexicon::Lexicon;
use crate::notation::{Transcription, x_sampa};
use crate::report::paper::handout::{self, Wish};

/// Runs the command.
pub(super) fn run(arguments: &Handout) -> Result<Status, Stop> {
    let accent = super::declared(&arguments.accent, &[])?;
    let Some(lexicon) = Lexicon::of(accent.name()) else {
        return Err(Stop::Run(Failure::new(
            format!("--accent {}", accent.name()),
            "there is no word list for this accent",
            "name one that has a word list, such as en-US",
        )));
    };
    let target = phoneme(&accent, &arguments.target, arguments.alphabet)?;
    let contrast = match &arguments.beside {
        Some(text) => phoneme(&accent, text, arguments.alphabet)?,
        None => handout::neighbour(target, &accent, &lexicon).unwrap_or(target),
    };
    if contrast.number == target.number && arguments.beside.is_some() {
        return Err(Stop::Run(Failure::new(
            format!("--beside {}", contrast.text),
            "this is the target itself",
            "name another sound",
        )));
    }
    let paper = handout::paper(&Wish {
        target,
        contrast,
        accent: &accent,
        lexicon,
    });
    report::written(&paper, arguments.form, arguments.to.as_deref())?;
    Ok(Status::Good)
}

/// The phoneme of an accent as it was typed: in slashes or without, tied or not.
fn phoneme<'a>(
    accent: &'a Accent,
    typed: &str,
    alphabet: Alphabet,
) -> Result<&'a Phoneme, Stop> {
    let inner = typed.trim().trim_matches(['/', '[', ']']);
    let inner = match alphabet {
        Alphabet::XSampa => x_sampa::to_ipa(inner).text,
        Alphabet::Ipa | Alphabet::Arpabet => inner.to_owned(),
    };
    let loose = |text: &str| -> String {
        let read = Transcription::parse(text);
        let letters = read.segments().map(|it| it.text().to_owned());
        letters.collect::<String>().replace('\u{0361}', "")
    };
    let wanted = loose(&inner);
    let found = accent.phonemes().iter().find(|it| loose(it.text) == wanted);
    let found = found.map(|it| {
        // The phoneme itself, where another spelling of it was typed.
        let own = accent.row(it.number).map_or(it.text, |row| row.text);
        let mut all = accent.phonemes().iter();
        all.find(|known| known.text == own).unwrap_or(it)
    });
    found.ok_or_else(|| {
        let known: Vec<&str> = accent.inventory().map(|it| it.text).collect();
        Stop::Run(Failure::new(
            format!("`{typed}`"),
            format!("is no sound of {}", accent.called()),
            format!("its sounds: {}", known.join(" ")),
        ))
    })
}
