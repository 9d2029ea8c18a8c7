//! One promise, one file.

#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::print_stdout,
    clippy::string_slice,
    clippy::unwrap_used,
    reason = "a test that panics has found something"
)]

mod outside;

mod every_chart_symbol_reads;
mod postures_follow_common_practice;
mod published_strings_get_the_right_verdict;
mod published_word_lists_read_and_cut;
mod reading_never_fails;
mod sounds_agree_with_an_independent_source;
mod the_grammar_and_the_parser_agree;
mod x_sampa_and_arpabet_convert_both_ways;
