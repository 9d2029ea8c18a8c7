//! `apical explain`: what a diagnostic code means.

use super::arguments::{Explain, Format};
use super::output::Answers;
use super::{Failure, Status, Stop};
use crate::diagnostic::Code;
use crate::report::json;
use crate::report::text::explain::{Entry, entry, index};

/// Runs the command.
pub(super) fn run(arguments: &Explain) -> Result<Status, Stop> {
    let mut answers = Answers::new(&arguments.output);
    let codes: Vec<Code> = match &arguments.code {
        Some(name) => vec![Code::from_name(name).ok_or_else(|| unknown(name))?],
        None => Code::ALL.to_vec(),
    };
    match answers.format {
        Format::Json => {
            for code in codes {
                answers.object(&json::Explanation {
                    version: json::VERSION,
                    code: code.name(),
                    severity: code.severity().name(),
                    explanation: code.explanation(),
                    example: code.example(),
                })?;
            }
        }
        Format::Text => {
            let entries: Vec<Entry> = codes
                .iter()
                .map(|code| Entry {
                    code: code.name(),
                    severity: code.severity(),
                    explanation: code.explanation(),
                    example: code.example(),
                })
                .collect();
            let page = match (&arguments.code, entries.first()) {
                (Some(_), Some(one)) => entry(one, answers.columns),
                _ => index(&entries, answers.columns),
            };
            answers.page(&page)?;
        }
    }
    Ok(Status::Good)
}

/// The failure for a name that is no code, with the codes that share most with it.
fn unknown(name: &str) -> Failure {
    let words: Vec<&str> = name
        .split(['-', '_', ' '])
        .filter(|word| word.len() > 2)
        .collect();
    let shared = |code: &str| words.iter().filter(|word| code.contains(**word)).count();
    let mut near: Vec<&str> = Code::ALL.iter().map(|code| code.name()).collect();
    near.retain(|code| shared(code) > 0);
    near.sort_by_key(|code| std::cmp::Reverse(shared(code)));
    near.truncate(4);
    let remedy = if near.is_empty() {
        "`apical explain` lists them all".to_owned()
    } else {
        format!(
            "perhaps {}; `apical explain` lists them all",
            near.join(", ")
        )
    };
    Failure::new(
        format!("\u{201C}{name}\u{201D}"),
        "no diagnostic has this code",
        remedy,
    )
}
