//! One promise, one file.

#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::format_push_string,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::print_stdout,
    clippy::string_slice,
    clippy::unwrap_used,
    reason = "a test that panics has found something, and shows figures"
)]

#[cfg(feature = "app")]
mod carets_cover_whole_clusters;
#[cfg(feature = "app")]
mod comparison_columns_stay_aligned;
#[cfg(feature = "app")]
mod comparisons_keep_their_contract;
#[cfg(feature = "app")]
mod every_code_is_explained_by_its_example;
#[cfg(feature = "app")]
mod hidden_characters_are_drawn;
#[cfg(feature = "app")]
mod long_lines_are_windowed;
#[cfg(feature = "app")]
mod readme_examples_run;
#[cfg(feature = "app")]
mod screens_are_drawn_as_agreed;
#[cfg(feature = "app")]
mod the_command_line_keeps_its_contract;
mod alignments_agree_with_published_ones;
mod coaching_alignments_follow_the_gold_list;
mod differences_are_named_in_order;
mod distances_are_distances;
mod the_aligner_is_optimal_and_fair;
mod the_grammar_and_the_parser_agree;
mod x_sampa_and_arpabet_convert_both_ways;
