//! A word made ready: what each of its sounds costs where it stands.

use super::Sound;
use super::constant::Constants;
use super::table::{Code, Kind, Table, Traits};

/// One sound where it stands.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Slot {
    /// The sound and its role.
    pub(crate) code: Code,
    /// Leaving it unpaired.
    pub(crate) gap: i32,
    /// Added to that after the other word has ended.
    pub(crate) end: i32,
    /// Added when it and the sound after it are both paired, beside each other.
    pub(crate) link: i32,
    /// Added when it is paired and a gap follows: nothing or the one constant.
    pub(crate) cut: i32,
    /// The unit that it and the sound before it make, as the table numbers it; 0 for none.
    pub(crate) unit: u32,
    /// For a tone, what is added to its gap inside a syllable of the other word; else 0.
    pub(crate) tone: i32,
}

impl Slot {
    /// What is added to its gap where the other word has come just past `other`: something
    /// for a tone, unless that ends a syllable there too.
    pub(crate) const fn tone_inside(&self, other: &Self) -> i32 {
        if other.tone == 0 { self.tone } else { 0 }
    }
}

/// What is added after a sound, by its kind and that of the sound that follows: a link and a
/// cut. A table, since which kinds follow each other can't be foretold.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Neighbours([[[i32; 2]; Kind::COUNT]; Kind::COUNT]);

impl Neighbours {
    pub(crate) const fn new(by: &Constants) -> Self {
        const VOWEL: usize = Kind::Vowel as usize;
        let mut table = [[[0; 2]; Kind::COUNT]; Kind::COUNT];
        table[VOWEL][Kind::Consonant as usize] = [by.coda_link, 0];
        table[VOWEL][Kind::Liquid as usize] = [by.coda_link, 0];
        table[Kind::Consonant as usize][VOWEL] = [by.onset_link, by.onset_cut];
        table[Kind::Liquid as usize][VOWEL] = [by.onset_link, by.onset_cut];
        Self(table)
    }

    #[allow(clippy::indexing_slicing, reason = "as many rows and columns as kinds")]
    const fn of(&self, here: Kind, after: Kind) -> [i32; 2] {
        self.0[here as usize][after as usize]
    }
}

/// Makes a word ready, in a vector kept from pair to pair.
pub(crate) fn prepare(slots: &mut Vec<Slot>, word: &[Sound], table: &Table) {
    let traits = |sound: Option<&Sound>| {
        sound.map_or(&Traits::NOTHING, |sound| table.traits(sound.0))
    };
    let mut before = &Traits::NOTHING;
    let mut here = traits(word.first());
    slots.clear();
    slots.extend(word.iter().enumerate().map(|(at, sound)| {
        let after = traits(word.get(at + 1));
        let [link, cut] = table.neighbours.of(here.kind, after.kind);
        let offglide = here.is_offglide_after(before);
        let last =
            here.kind == Kind::Vowel && matches!(after.kind, Kind::Tone | Kind::Nothing);
        let [gap, end] = here.gap(offglide, last);
        let tone = if here.kind == Kind::Tone { table.constants.tone_inside } else { 0 };
        let code = 2 * sound.0 + u32::from(offglide);
        (before, here) = (here, after);
        Slot { code, gap, end, link, cut, unit: 0, tone }
    }));
}

/// Looks for units and for liquids that no vowel follows.
pub(crate) fn find_units(slots: &mut [Slot], word: &[Sound], table: &mut Table) {
    let kind = |table: &Table, sound: Option<&Sound>| {
        sound.map_or(Kind::Nothing, |sound| table.traits(sound.0).kind)
    };
    let mut before: Option<&Sound> = None;
    let mut sounds = word.iter().peekable();
    for slot in slots {
        let here = sounds.next();
        if kind(table, here) == Kind::Liquid
            && kind(table, sounds.peek().copied()) != Kind::Vowel
        {
            slot.code |= 1;
        }
        if let (Some(&Sound(before)), Some(&Sound(here))) = (before, here) {
            slot.unit = table.unit(before, here);
        }
        before = here;
    }
}
