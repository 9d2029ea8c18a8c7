//! One file a promise.

mod x_sampa_and_arpabet_convert_both_ways;
