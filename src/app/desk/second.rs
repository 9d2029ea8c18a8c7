//! How far two passes over the same items agree: the same ears, at two times.

use std::fmt::Write as _;

use super::kept::SILENCE;
use super::session::percent;
use crate::accent::Accent;
use crate::alignment::{Aligner, Setting};
use crate::articulation;
use crate::feature::FeatureBundle;
use crate::finding::agreement::kappa::Labels;
use crate::notation::Transcription;
use crate::report::text::line::visible;

/// Disagreements that are listed.
const LISTED: usize = 12;

/// A transcription's sounds: as written, without marks, and by what they are.
struct Sounds {
    written: Vec<String>,
    bases: Vec<String>,
    bundles: Vec<FeatureBundle>,
}

fn sounds(text: &str) -> Sounds {
    let read = Transcription::parse(text);
    let mut sounds = Sounds {
        written: Vec::new(),
        bases: Vec::new(),
        bundles: Vec::new(),
    };
    for segment in read.segments() {
        sounds.written.push(segment.text().to_owned());
        sounds.bases.push(segment.base());
        sounds.bundles.push(articulation::bundle(&segment));
    }
    sounds
}

/// The page about two passes, each item with what was heard the first and the second time:
/// whole items, sounds with and without their marks, and Cohen's kappa over the sounds as
/// written, a sound that the other pass lacks being a label of its own.
pub(super) fn agreement(
    passes: &[(String, String, String)],
    accent: Option<&Accent>,
) -> String {
    let setting = accent.map_or_else(Setting::general, Setting::for_accent);
    let mut aligner = Aligner::new(setting);
    let (mut alike, mut narrow, mut broad) = (0, 0, 0);
    let mut pairs: Vec<[String; 2]> = Vec::new();
    let mut rows: Vec<String> = Vec::new();
    for (name, one, two) in passes {
        if one == two {
            alike += 1;
        } else {
            let (one, two) = (visible(one), visible(two));
            rows.push(format!("  {}: {one}, then {two}", visible(name)));
        }
        if one == SILENCE || two == SILENCE {
            // Whether anything was said is one judgement, not one for each sound.
            continue;
        }
        let (first, second) = (sounds(one), sounds(two));
        for column in aligner.align(&first.bundles, &second.bundles) {
            let [written, bases] = [
                [&first.written, &second.written],
                [&first.bases, &second.bases],
            ]
            .map(|[first, second]| {
                let part = |all: &[String], from: u32, to: u32| -> String {
                    let part = all.get(from as usize..to as usize).unwrap_or_default();
                    if part.is_empty() {
                        SILENCE.to_owned()
                    } else {
                        part.concat()
                    }
                };
                [
                    part(first, column.target.start, column.target.end),
                    part(second, column.production.start, column.production.end),
                ]
            });
            narrow += u64::from(written[0] == written[1]);
            broad += u64::from(bases[0] == bases[1]);
            pairs.push(written);
        }
    }
    let mut page = String::new();
    for row in rows.iter().take(LISTED) {
        let _ = writeln!(page, "{row}");
    }
    if rows.len() > LISTED {
        let _ = writeln!(page, "  and {} more", rows.len() - LISTED);
    }
    let count = pairs.len() as u64;
    let _ = writeln!(
        page,
        "agreement of the two passes: items {}",
        percent(alike, passes.len() as u64)
    );
    let _ = writeln!(
        page,
        "  sounds {}, without their marks {}",
        percent(narrow, count),
        percent(broad, count)
    );
    let _ = writeln!(page, "  {}", kappa(&pairs));
    page
}

/// Cohen's kappa in words, never without what it is made of.
fn kappa(pairs: &[[String; 2]]) -> String {
    let mut names: Vec<&String> = pairs.iter().flatten().collect();
    names.sort();
    names.dedup();
    let mut labels = Labels::new(names.len());
    for [one, two] in pairs {
        let at = |name: &String| names.binary_search(&name).unwrap_or(usize::MAX);
        labels.add(at(one), at(two), 1.0);
    }
    let found = labels.kappa();
    match found.kappa {
        Some(kappa) => format!(
            "Cohen's kappa {kappa:.2} (seen {:.2}, by chance {:.2}; {} labels, n {})",
            found.observed,
            found.expected,
            names.len(),
            pairs.len()
        ),
        None => format!("Cohen's kappa is undefined here (n {})", pairs.len()),
    }
}
