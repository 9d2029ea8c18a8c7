//! One promise, one file.

#![allow(
    clippy::cast_precision_loss,
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::print_stdout,
    clippy::redundant_closure_for_method_calls,
    clippy::semicolon_if_nothing_returned,
    clippy::string_slice,
    clippy::unwrap_used,
    reason = "a test that panics has found something"
)]

#[cfg(all(unix, feature = "encryption"))]
mod a_caseload_is_encrypted_and_opened_again;
#[cfg(feature = "app")]
mod a_caseload_keeps_every_item_once;
#[cfg(all(unix, feature = "app"))]
mod a_learners_record_counts_what_is_confused;
#[cfg(feature = "app")]
mod a_session_with_a_client_is_recorded_item_by_item;
mod agreement_figures_match_reference_libraries;
mod alignments_agree_with_published_ones;
mod an_accent_tells_allophones_from_errors;
#[cfg(feature = "app")]
mod answers_are_written_like_the_reference_library;
#[cfg(feature = "app")]
mod answers_match_their_schemas;
mod broad_words_are_judged_by_the_accent;
#[cfg(feature = "app")]
mod carets_cover_whole_clusters;
mod coaching_alignments_follow_the_gold_list;
#[cfg(feature = "app")]
mod comparison_columns_stay_aligned;
#[cfg(feature = "app")]
mod comparisons_keep_their_contract;
#[cfg(feature = "app")]
mod desk_lines_from_a_pipe_are_a_script;
mod differences_are_named_in_order;
mod distances_are_distances;
#[cfg(feature = "app")]
mod editors_are_served;
mod every_chart_symbol_reads;
#[cfg(feature = "app")]
mod every_code_is_explained_by_its_example;
mod every_error_has_its_kind_and_place;
#[cfg(feature = "lexicon")]
mod every_word_of_the_list_reads;
#[cfg(feature = "app")]
mod exercises_come_again_when_published;
#[cfg(feature = "lexicon")]
mod functional_load_is_the_entropy_lost;
#[cfg(feature = "lexicon")]
mod generated_exercises_hold;
#[cfg(feature = "app")]
mod hidden_characters_are_drawn;
mod item_statistics_match_a_reference_library;
#[cfg(all(unix, feature = "app"))]
mod killed_programs_lose_nothing;
#[cfg(feature = "lexicon")]
mod known_words_have_their_dictionary_targets;
#[cfg(feature = "app")]
mod long_lines_are_windowed;
mod many_patterns_are_found_as_each_alone;
mod measures_give_the_published_figures;
#[cfg(feature = "app")]
mod measures_reach_the_user;
#[cfg(feature = "app")]
mod mends_change_nothing_else;
#[cfg(feature = "lexicon")]
mod minimal_pairs_are_minimal;
#[cfg(feature = "app")]
mod minimal_pairs_hold_in_the_accent;
mod movement;
mod named_patterns_are_detected;
mod narrowings_are_as_their_manner;
#[cfg(feature = "app")]
mod open_formats_give_the_verdicts_of_lines;
mod outside;
#[cfg(feature = "app")]
mod pages_hold_in_a_browser;
#[cfg(feature = "app")]
mod papers_are_whole_and_safe;
#[cfg(feature = "pictures")]
mod pictures_stand_alone;
mod postures_follow_common_practice;
#[cfg(all(unix, feature = "app"))]
mod practice_answers_are_marked;
#[cfg(feature = "lexicon")]
mod practice_keys_hold_and_wrong_answers_name_their_feature;
mod printing_then_parsing_changes_nothing;
#[cfg(feature = "app")]
mod program;
#[cfg(all(unix, feature = "app"))]
mod progress_compares_like_with_like;
mod published_strings_get_the_right_verdict;
mod published_word_lists_read_and_cut;
mod reading_never_fails;
#[cfg(feature = "app")]
mod readme_examples_run;
#[cfg(all(unix, feature = "app"))]
mod records;
mod rules_are_found_behind_errors;
#[cfg(feature = "app")]
mod samples_are_counted_and_filled;
#[cfg(feature = "app")]
mod screens_are_drawn_as_agreed;
#[cfg(all(unix, feature = "app"))]
mod sessions_write_every_row_and_nothing_else;
#[cfg(feature = "app")]
mod sheets_are_analyzed;
mod sounds_agree_with_an_independent_source;
#[cfg(feature = "app")]
mod streams_are_judged_in_order;
mod syllables_begin_with_the_longest_onset;
#[cfg(feature = "lexicon")]
mod targets_agree_with_an_independent_list;
#[cfg(all(unix, feature = "app"))]
mod terminal;
mod the_aligner_is_optimal_and_fair;
mod the_automaton_and_the_parser_agree;
#[cfg(feature = "app")]
mod the_command_line_keeps_its_contract;
#[cfg(all(unix, feature = "app"))]
mod the_desk_leaves_the_terminal_sane;
mod the_grammar_and_the_parser_agree;
mod the_mouth_follows_its_features;
#[cfg(feature = "app")]
mod the_spark_recipe_gives_the_answers_of_one_process;
mod the_tongue_stays_in_the_mouth;
#[cfg(feature = "app")]
mod two_transcribers_are_compared;
#[cfg(all(unix, feature = "app"))]
mod typing_on_the_desk_keeps_its_promises;
#[cfg(all(unix, feature = "app"))]
mod what_befalls_a_caseload_is_said_and_loses_nothing;
#[cfg(feature = "app")]
mod what_to_work_on_first_is_reasoned;
#[cfg(feature = "app")]
mod words_to_drill_are_as_asked_for;
mod x_sampa_and_arpabet_convert_both_ways;
