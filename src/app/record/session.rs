//! A session as a sheet.

use std::collections::BTreeMap;

use super::progress::nearest;
use crate::accent::Accent;
use crate::app::Failure;
use crate::app::caseload::Caseload;
use crate::app::sheet::{Cause, LeftOut, Notes, Sheet};
use crate::finding::item::Pairing;
use crate::notation::Transcription;
use crate::record::{Outcome, Session};

/// The items of a session as a sheet, by the rules of an accent.
///
/// What counts is what [`progress`](super::progress()) counts as said alone: of several
/// attempts the first, if it had no cue; of several passes the first; of several targets the
/// nearest.
pub(in crate::app) fn sheet_of(
    caseload: &Caseload,
    session: &Session,
    accent: &Accent,
) -> Result<Sheet, Failure> {
    let mut pairing = Pairing::new(accent);
    let accepted: BTreeMap<u32, String> = caseload
        .planned(session.id)?
        .into_iter()
        .map(|it| (it.position, it.accepted))
        .collect();
    let mut sheet = Sheet {
        items: Vec::new(),
        notes: Vec::new(),
        left_out: Vec::new(),
        looked_up: 0,
    };
    let items = caseload.items(session.id)?.into_iter();
    for item in items.filter(|item| item.attempt == 1 && item.pass == 1) {
        let row = u64::from(item.position);
        let texts = item.production.as_deref().map(|said| [&item.target, said]);
        let cause = match (
            item.outcome,
            item.cue,
            texts.map(|it| it.map(Transcription::parse)),
        ) {
            (Outcome::NoResponse, ..) => (Cause::NoResponse, "nothing was said"),
            (Outcome::Skipped, ..) => (Cause::NoResponse, "it was skipped"),
            (Outcome::Said, 1.., _) => (Cause::Cued, "it was said after a cue"),
            (Outcome::Said, 0, Some([target, production]))
                if target.is_valid() && production.is_valid() =>
            {
                let also = accepted.get(&item.position).map_or("", String::as_str);
                let target = nearest(&mut pairing, target, also, &production);
                let read = pairing.item(row, &item.word, &target, &production);
                sheet.items.push(read);
                sheet.notes.push(Notes {
                    note: item.note,
                    ..Notes::default()
                });
                continue;
            }
            (Outcome::Said, ..) => (Cause::Unreadable, "a transcription cannot be read"),
        };
        sheet.left_out.push(LeftOut {
            row,
            word: item.word,
            cause: cause.0,
            reason: cause.1.to_owned(),
        });
    }
    Ok(sheet)
}
