//! One file a promise.

mod the_grammar_and_the_parser_agree;
mod x_sampa_and_arpabet_convert_both_ways;
