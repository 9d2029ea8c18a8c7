//! One file a promise.

mod alignments_agree_with_published_ones;
mod coaching_alignments_follow_the_gold_list;
mod the_grammar_and_the_parser_agree;
mod x_sampa_and_arpabet_convert_both_ways;
