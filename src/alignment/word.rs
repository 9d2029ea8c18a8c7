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
    /// Leaving the sound before it unpaired.
    pub(crate) gap_before: i32,
    /// The unit that it and the sound before it make, as the table numbers it; 0 for none.
    pub(crate) unit: u32,
    /// For a tone, what is added to its gap inside a syllable of the other word; else 0.
    pub(crate) tone: i32,
    /// What it could be to a unit of the other word, as bits.
    pub(crate) answers: u8,
}

impl Slot {
    /// What is added to its gap where the other word has come just past `other`: something
    /// for a tone, unless that ends a syllable there too.
    pub(crate) const fn tone_inside(&self, other: &Self) -> i32 {
        if other.tone == 0 { self.tone } else { 0 }
    }
}

/// What follows from a sound's kind and that of the sound after it. A table, since which
/// kinds follow each other can't be foretold.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Neighbours([[Neighbour; Kind::COUNT]; Kind::COUNT]);

#[derive(Clone, Copy, Debug)]
struct Neighbour {
    link: i32,
    cut: i32,
    /// 1 for a last vowel, before a tone too.
    last: u8,
    /// 1 for a liquid that no vowel follows.
    coda: u8,
}

impl Neighbours {
    #[allow(clippy::indexing_slicing, reason = "as many rows and columns as kinds")]
    pub(crate) const fn new(by: &Constants) -> Self {
        const VOWEL: usize = Kind::Vowel as usize;
        const LIQUID: usize = Kind::Liquid as usize;
        const CONSONANT: usize = Kind::Consonant as usize;
        let nothing = Neighbour {
            link: 0,
            cut: 0,
            last: 0,
            coda: 0,
        };
        let onset = Neighbour {
            link: by.onset_link,
            cut: by.onset_cut,
            ..nothing
        };
        let mut table = [[nothing; Kind::COUNT]; Kind::COUNT];
        table[LIQUID] = [Neighbour { coda: 1, ..nothing }; Kind::COUNT];
        table[LIQUID][VOWEL] = onset;
        table[CONSONANT][VOWEL] = onset;
        table[VOWEL][LIQUID].link = by.coda_link;
        table[VOWEL][CONSONANT].link = by.coda_link;
        table[VOWEL][Kind::Tone as usize].last = 1;
        table[VOWEL][Kind::Nothing as usize].last = 1;
        Self(table)
    }

    #[allow(clippy::indexing_slicing, reason = "as many rows and columns as kinds")]
    const fn of(&self, here: Kind, after: Kind) -> Neighbour {
        self.0[here as usize][after as usize]
    }
}

/// Makes a word ready, in a vector kept from pair to pair, and says what units of the other
/// word its sounds could answer. `merging` also looks for units and for liquids that no vowel
/// follows.
pub(crate) fn prepare(
    slots: &mut Vec<Slot>,
    word: &[Sound],
    table: &mut Table,
    merging: bool,
) -> u8 {
    if !merging {
        fill::<false>(slots, word, table);
        return 0;
    }
    let (answers, all_known) = fill::<true>(slots, word, table);
    if !all_known {
        for pair in word.windows(2) {
            if let &[Sound(before), Sound(here)] = pair {
                table.look_for_unit(before, here);
            }
        }
        fill::<true>(slots, word, table);
    }
    answers
}

/// Forgets the units of a word that no sound of the other could answer; says whether any is
/// left.
pub(crate) fn drop_units(slots: &mut [Slot], answers: u8, table: &Table) -> bool {
    let mut left = false;
    for slot in slots {
        if slot.unit != 0 {
            if table.wants(slot.unit) & answers == 0 {
                slot.unit = 0;
            } else {
                left = true;
            }
        }
    }
    left
}

/// What units of the other word the sounds could answer, and whether it is known of all
/// neighbours what they make.
fn fill<const MERGING: bool>(
    slots: &mut Vec<Slot>,
    word: &[Sound],
    table: &Table,
) -> (u8, bool) {
    let traits = |sound: Option<&Sound>| {
        sound.map_or(&Traits::NOTHING, |sound| table.traits(sound.0))
    };
    let mut before = &Traits::NOTHING;
    let mut here = traits(word.first());
    let (mut gap_before, mut number_before) = (0, None);
    let (mut answers, mut all_known) = (0, true);
    slots.clear();
    slots.extend(word.iter().enumerate().map(|(at, &Sound(number))| {
        let after = traits(word.get(at + 1));
        let Neighbour {
            link,
            cut,
            last,
            coda,
        } = table.neighbours.of(here.kind, after.kind);
        let offglide = here.is_offglide_after(before);
        let [gap, end] = here.gap(offglide, last);
        let mut slot = Slot {
            code: 2 * number + u32::from(offglide),
            gap,
            end,
            link,
            cut,
            gap_before,
            unit: 0,
            tone: here.tone_inside,
            answers: here.answers,
        };
        if MERGING {
            slot.code |= u32::from(coda);
            if let Some(before) = number_before {
                let unit = table.unit(before, number);
                all_known &= unit.is_some();
                slot.unit = unit.unwrap_or(0);
            }
            number_before = Some(number);
            answers |= here.answers;
        }
        gap_before = gap;
        (before, here) = (here, after);
        slot
    }));
    (answers, all_known)
}
