//! One spelling for one meaning: what was read, written the way the chart writes it.

use unicode_normalization::UnicodeNormalization as _;

use super::{ItemKind, SLIDE, Transcription};
use crate::inventory::{self, Status, Symbol};

impl Transcription {
    /// The transcription in its canonical spelling.
    ///
    /// Lookalikes give way to what they were read as, and of two shapes of one letter (g, ɡ)
    /// the first in the tables is written; retired letters stay what they are. Every tie is a bar above (a slide stays one),
    /// marks before a letter stand before it and the others behind it in the order typed,
    /// signs between sounds are the chart's, and the whole is in NFC. What has no reading
    /// stands as it was typed. Reading the result gives the same sounds again.
    ///
    /// Cost: linear in the text; one String.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::notation::Transcription;
    ///
    /// let typed = Transcription::parse("['t͜ʃi:z]");
    /// assert_eq!(typed.canonical(), "[ˈt͡ʃiːz]");
    /// // What cannot be read is left alone.
    /// assert_eq!(Transcription::parse("[漢]").canonical(), "[漢]");
    /// ```
    ///
    /// # Source
    ///
    /// IPA chart (2020): "symbols can be joined by a tie bar if necessary"; a tie below means
    /// the same (IPA Handbook, 1999).
    #[must_use]
    pub fn canonical(&self) -> String {
        let mut all = String::with_capacity(self.text().len());
        for item in self.items() {
            let typed = item.span().of(self.text());
            match item.kind() {
                ItemKind::Segment => {
                    if let Some(segment) = self.segment(item) {
                        for letter in segment.letters() {
                            match letter.letter.tie {
                                0 => {}
                                SLIDE => all.push('\u{362}'),
                                _ => all.push('\u{361}'),
                            }
                            let marks = |leading| {
                                letter.marks().filter(move |(_, leads)| *leads == leading)
                            };
                            all.extend(marks(true).map(|(mark, _)| mark.text));
                            all.push_str(chart_letter(letter.symbol()).text);
                            all.extend(marks(false).map(|(mark, _)| mark.text));
                        }
                    }
                }
                ItemKind::PrimaryStress => all.push('ˈ'),
                ItemKind::SecondaryStress => all.push('ˌ'),
                ItemKind::SyllableBreak => all.push('.'),
                ItemKind::MinorGroup => all.push('|'),
                ItemKind::MajorGroup => all.push('‖'),
                ItemKind::Linking => all.push('‿'),
                ItemKind::Space => all.push(' '),
                _ => all.push_str(typed),
            }
        }
        all.nfc().collect()
    }
}

/// The first current letter that means the same.
fn chart_letter(letter: &'static Symbol) -> &'static Symbol {
    let same = |other: &&Symbol| {
        other.status == Status::Current && other.bundle == letter.bundle
    };
    match letter.status {
        Status::Current => inventory::symbols().iter().find(same).unwrap_or(letter),
        _ => letter,
    }
}
