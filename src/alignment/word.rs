//! A word made ready: what each of its sounds costs where it stands.

use super::Sound;
use super::table::{Code, Kind, Standing, Table, Traits};

/// One sound where it stands.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Slot {
    /// The sound and its role.
    pub(crate) code: Code,
    /// Leaving it unpaired, and the same after the other word has ended.
    pub(crate) gap: [i32; 2],
    /// Added when it and the sound before it are both paired, beside each other.
    pub(crate) link: i32,
    /// Added when it is paired and a gap follows.
    pub(crate) cut: i32,
    /// The unit that it and the sound before it make, as the table numbers it; 0 for none.
    pub(crate) unit: u32,
}

/// Makes a word ready in a vector kept from pair to pair. `merging` also looks for units and
/// for liquids that no vowel follows.
pub(crate) fn prepare(slots: &mut Vec<Slot>, word: &[Sound], table: &mut Table, merging: bool) {
    let by = table.constants;
    slots.clear();
    slots.reserve(word.len());
    let (mut before, mut standing) = (Traits::NOTHING, Standing::Plain);
    let mut number_before = 0;
    for &Sound(number) in word {
        let here = table.traits(number);
        let vowels = here.kind == Kind::Vowel && before.kind == Kind::Vowel;
        let offglide = vowels
            && here.shape != before.shape
            && (here.height < before.height || here.height == 0 || here.central);
        let mut slot = Slot { code: 2 * number, ..Slot::default() };
        match (before.kind, here.kind) {
            (Kind::Vowel, Kind::Consonant | Kind::Liquid) => slot.link = by.coda_link,
            (Kind::Consonant | Kind::Liquid, Kind::Vowel) => {
                slot.link = by.onset_link;
                if let Some(onset) = slots.last_mut() {
                    onset.cut = by.onset_cut;
                }
            }
            (Kind::Vowel, Kind::Tone) => end_vowel(slots, &before, standing),
            _ => {}
        }
        if merging {
            if before.kind == Kind::Liquid && here.kind != Kind::Vowel {
                mark_coda(slots);
            }
            if !slots.is_empty() {
                slot.unit = table.unit(number_before, number);
            }
        }
        standing = if offglide { Standing::Offglide } else { Standing::Plain };
        slot.gap = here.gap(standing);
        slot.code += u32::from(offglide);
        slots.push(slot);
        (before, number_before) = (here, number);
    }
    if before.kind == Kind::Vowel {
        end_vowel(slots, &before, standing);
    }
    if merging && before.kind == Kind::Liquid {
        mark_coda(slots);
    }
}

fn end_vowel(slots: &mut [Slot], vowel: &Traits, standing: Standing) {
    if let Some(last) = slots.last_mut() {
        last.gap = vowel.gap(match standing {
            Standing::Plain | Standing::Final => Standing::Final,
            Standing::Offglide | Standing::FinalOffglide => Standing::FinalOffglide,
        });
    }
}

fn mark_coda(slots: &mut [Slot]) {
    if let Some(last) = slots.last_mut() {
        last.code |= 1;
    }
}
