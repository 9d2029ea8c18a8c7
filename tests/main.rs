//! One file a promise.

#[cfg(feature = "lexicon")]
mod every_word_of_the_list_reads;
#[cfg(feature = "lexicon")]
mod functional_load_is_the_entropy_lost;
#[cfg(feature = "lexicon")]
mod known_words_have_their_dictionary_targets;
#[cfg(feature = "lexicon")]
mod minimal_pairs_are_minimal;
#[cfg(feature = "lexicon")]
mod targets_agree_with_an_independent_list;
mod the_grammar_and_the_parser_agree;
mod x_sampa_and_arpabet_convert_both_ways;
