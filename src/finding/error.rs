//! The errors of an item: what of a production is not its target, and where.

use core::ops::Range;

use crate::accent::Accent;
use crate::alignment::{self, Column, Kind};
use crate::feature::{FeatureBundle, Posture};
use crate::finding::difference::{self, Differences};
use crate::finding::item::{Item, Side};
use crate::inventory::AllophoneRow;
use crate::posture;
use crate::syllable::Site;

/// One error: a sound changed, left out, put in or moved. What the accent allows is none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Error {
    /// Distortion, substitution, omission, addition or transposition.
    pub kind: Kind,
    /// The column of the item, from 0; for a transposition the one where the sound is
    /// missing.
    pub column: usize,
    /// Where it stands: the target's place; for an addition where it was put.
    pub site: Site,
    /// The target's sound as it was written; `None` for an addition.
    pub target: Option<String>,
    /// What was said; `None` for an omission.
    pub production: Option<String>,
    /// In what the two differ, postures as the accent teaches them; `None` where one of the
    /// sides is missing or is no single sound.
    pub differences: Option<Differences>,
    /// What the accent wants there and is not there, as its rules.
    pub lacking: Vec<&'static AllophoneRow>,
}

/// The errors of an item in the order of its columns. The two columns of a transposition
/// are one error.
///
/// Cost: linear in the columns.
#[must_use]
pub fn errors(item: &Item, accent: &Accent) -> Vec<Error> {
    let moved = |column: &&Column| column.kind == Kind::Transposition;
    let (gone, come): (Vec<&Column>, Vec<&Column>) = item
        .columns
        .iter()
        .filter(moved)
        .partition(|it| !it.target.is_empty());
    let mut partners = come.iter();
    let mut told = 0;
    let mut errors = Vec::new();
    for (at, column) in item.columns.iter().enumerate() {
        let mut production = &column.production;
        match column.kind {
            Kind::Match | Kind::Allophone => continue,
            Kind::Transposition if column.target.is_empty() => {
                told += 1;
                if told <= gone.len() {
                    continue;
                }
            }
            Kind::Transposition => {
                production = partners.next().map_or(production, |it| &it.production);
            }
            _ => {}
        }
        let text = |side: &Side, range: &Range<u32>| {
            let text = side.text_of(range);
            (!text.is_empty()).then_some(text)
        };
        errors.push(Error {
            kind: column.kind,
            column: at,
            site: item.site(column),
            target: text(&item.target, &column.target),
            production: text(&item.production, production),
            differences: differences(item, column, accent),
            lacking: item.lacking.get(at).cloned().unwrap_or_default(),
        });
    }
    errors
}

/// The differences of the two sounds of a column, postures as the accent teaches them;
/// `None` where a side is missing, or where they are the same.
#[must_use]
pub fn differences(item: &Item, column: &Column, accent: &Accent) -> Option<Differences> {
    let wanted = alignment::whole(item.target.bundles_of(&column.target))?;
    let said = alignment::whole(item.production.bundles_of(&column.production))?;
    let posture = |bundle: &FeatureBundle| -> Posture {
        let taught = accent.posture(bundle);
        taught.map_or_else(|| posture::of(bundle), |(from, _)| from)
    };
    (wanted != said).then(|| {
        difference::between_postures((&wanted, posture(&wanted)), (&said, posture(&said)))
    })
}
