//! How far two passes over the same items agree: the same ears, at two times.

use std::fmt::Write as _;

use super::kept::SILENCE;
use super::session::percent;
use crate::accent::Accent;
use crate::finding::agreement::transcribers::{self, Agreement, Share};
use crate::notation::Transcription;
use crate::report::text::line::visible;

/// Disagreements that are listed.
const LISTED: usize = 12;

/// The page about two passes, each item with what was heard the first and the second time:
/// whole items, sounds with and without their marks, and Cohen's kappa over the sounds.
pub(super) fn agreement(
    passes: &[(String, String, String)],
    accent: Option<&Accent>,
) -> String {
    let mut alike = 0;
    let mut rows: Vec<String> = Vec::new();
    let mut heard: Vec<[Transcription; 2]> = Vec::new();
    for (name, one, two) in passes {
        if one == two {
            alike += 1;
        } else {
            let (one, two) = (visible(one), visible(two));
            rows.push(format!("  {}: {one}, then {two}", visible(name)));
        }
        // Whether anything was said is one judgement, not one for each sound.
        if one != SILENCE && two != SILENCE {
            heard.push([one, two].map(|text| Transcription::parse(text)));
        }
    }
    let pairs: Vec<[&Transcription; 2]> = heard.iter().map(<[_; 2]>::each_ref).collect();
    let found = transcribers::agreement(&pairs, accent);
    let mut page = String::new();
    for row in rows.iter().take(LISTED) {
        let _ = writeln!(page, "{row}");
    }
    if rows.len() > LISTED {
        let _ = writeln!(page, "  and {} more", rows.len() - LISTED);
    }
    let share = |it: Share| percent(it.agreements, it.comparisons);
    let _ = writeln!(
        page,
        "agreement of the two passes: items {}",
        percent(alike, passes.len() as u64)
    );
    let _ = writeln!(
        page,
        "  sounds {}, without their marks {}",
        share(found.narrow),
        share(found.broad)
    );
    let _ = writeln!(page, "  {}", kappa(&found));
    page
}

/// Cohen's kappa in words, never without what it is made of.
fn kappa(found: &Agreement) -> String {
    let count = found.narrow.comparisons;
    match found.kappa.kappa {
        Some(kappa) => format!(
            "Cohen's kappa {kappa:.2} (seen {:.2}, by chance {:.2}; {} labels, n {count})",
            found.kappa.observed, found.kappa.expected, found.labels,
        ),
        None => format!("Cohen's kappa is undefined here (n {count})"),
    }
}
