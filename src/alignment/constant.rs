//! The aligner's constants, read from `grammar/alignment.tsv` when the crate is compiled.

use crate::feature::Place;
use crate::inventory::number::number;

/// The table as it stands in the repository.
const TABLE: &[u8] = include_bytes!("../../grammar/alignment.tsv");

macro_rules! constants {
    ($($name:ident),+ $(,)?) => {
        /// The constants of one setting: costs in thousandths of a lost consonant, factors
        /// in thousandths. What each is for stands beside it in the table.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub(crate) struct Constants { $(pub(crate) $name: i32),+ }

        impl Constants {
            /// Any two words of any languages.
            pub(crate) const GENERAL: Self =
                Self { $($name: const { number(TABLE, stringify!($name), 1) }),+ };

            /// Target and production of one word.
            pub(crate) const COACHING: Self =
                Self { $($name: const { number(TABLE, stringify!($name), 2) }),+ };

            /// Every name, for the test that compares them with the table's rows.
            #[cfg(test)]
            pub(crate) const NAMES: &[&str] = &[$(stringify!($name)),+];
        }
    };
}

constants! {
    consonant_gap, fricative_gap, vowel_gap, schwa_gap, weak_gap, tone_gap, tone_inside, pause_gap,
    final_vowel_gap, offglide_gap, end_gap, offglide_pair,
    onset_link, coda_link, onset_cut, initial_consonants, forbidden, other_letter,
    place_bilabial, place_labiodental, place_linguolabial, place_dental, place_alveolar,
    place_postalveolar, place_retroflex, place_alveolo_palatal, place_palatal, place_velar,
    place_uvular, place_pharyngeal, place_epiglottal,
    place_cap, place_secondary, place_laryngeal, place_laryngeal_glide, place_rhotic,
    manner_plosive_affricate, manner_plosive_fricative, manner_plosive_nasal,
    manner_plosive_lateral, manner_plosive_rhotic, manner_plosive_tap,
    manner_plosive_glide, manner_affricate_fricative, manner_affricate_nasal,
    manner_affricate_lateral, manner_affricate_rhotic, manner_affricate_glide,
    manner_fricative_nasal, manner_fricative_lateral, manner_fricative_rhotic,
    manner_fricative_glide, manner_nasal_lateral, manner_nasal_rhotic, manner_nasal_glide,
    manner_lateral_rhotic, manner_lateral_glide, manner_rhotic_glide, manner_rhotics,
    manner_laterals, obstruent_sonorant, nasality, voicing, laterality, secondary,
    consonant_detail, vowel_axis, vowel_detail, tone_level,
    glide_vowel, coda_vowel, syllabic_vowel, merge, merge_unlisted,
}

// The recursion takes it that a gap after the other word has ended is never dearer.
const _: () =
    assert!(Constants::GENERAL.end_gap <= 1000 && Constants::COACHING.end_gap <= 1000);

impl Constants {
    /// Where a place lies along the roof of the mouth. A glottal sound that is not laryngeal
    /// (there is none on the chart) counts as epiglottal.
    pub(crate) const fn place(&self, place: Place) -> i32 {
        match place {
            Place::Bilabial => self.place_bilabial,
            Place::Labiodental => self.place_labiodental,
            Place::Linguolabial => self.place_linguolabial,
            Place::Dental => self.place_dental,
            Place::Alveolar => self.place_alveolar,
            Place::Postalveolar => self.place_postalveolar,
            Place::Retroflex => self.place_retroflex,
            Place::AlveoloPalatal => self.place_alveolo_palatal,
            Place::Palatal => self.place_palatal,
            Place::Velar => self.place_velar,
            Place::Uvular => self.place_uvular,
            Place::Pharyngeal => self.place_pharyngeal,
            Place::Epiglottal | Place::Glottal => self.place_epiglottal,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Constants, TABLE};

    #[test]
    fn the_table_and_the_code_name_the_same_constants() {
        let table = std::str::from_utf8(TABLE).unwrap();
        let rows: Vec<&str> = table
            .lines()
            .skip(1)
            .map(|line| line.split('\t').next().unwrap())
            .collect();
        assert_eq!(rows, Constants::NAMES);
    }
}
