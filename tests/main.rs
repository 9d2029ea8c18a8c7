//! One promise, one file.

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
mod the_command_line_keeps_its_contract;
mod x_sampa_and_arpabet_convert_both_ways;
