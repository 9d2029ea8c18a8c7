//! One file a promise.

#![allow(
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test that panics has failed, and figures are printed"
)]

mod alignments_agree_with_published_ones;
mod coaching_alignments_follow_the_gold_list;
mod differences_are_named_in_order;
mod distances_are_distances;
mod the_aligner_is_optimal_and_fair;
mod the_grammar_and_the_parser_agree;
mod x_sampa_and_arpabet_convert_both_ways;
