//! `apical compare`: a production set under its target.

use std::ops::Range;

use super::arguments::{Alphabet, Compare, Format};
use super::files::{Record, Source, Wanted};
use super::output::Answers;
use super::picture::{self, Drawer};
use super::reading::{Manner, Reading};
use super::{Origin, Origins, Status, Stop, check, describe};
use crate::accent::Accent;
use crate::alignment::{self, Aligner, Kind, Setting};
use crate::articulation;
use crate::feature::FeatureBundle;
use crate::finding::difference::{self, Differences};
use crate::finding::production::{self, Finding, Judge};
use crate::finding::prosody::{self, Feature};
use crate::notation::{self, ItemKind};
use crate::posture;
use crate::report::json;
use crate::report::picture::Sound;
use crate::report::text::compare::{self as drawn, Side, comparison};
use crate::syllable::{Position, Site, Stress};

/// Runs the command.
pub(super) fn run(arguments: &Compare) -> Result<Status, Stop> {
    let mut answers = Answers::new(&arguments.output);
    let mut drawer = Drawer::new(&arguments.picture, answers.format)?;
    let manner = super::manner(&arguments.reading)?;
    let mut pair = Pair::new(&manner);
    let mut origins = Origins::default();
    let many = arguments.pairs.is_some();
    let mut tally = drawn::Tally::default();
    let mut each = |record: &Record, origin: &Origin<'_>| {
        pair.read(record);
        let prosody = pair.prosody();
        if drawer.is_wanted() {
            for (target, said) in pair.pictured() {
                drawer.difference(target, said);
            }
        }
        match answers.format {
            Format::Json => {
                let prosody: Vec<json::Prosody> =
                    prosody.iter().map(Into::into).collect();
                answers.object(&pair.json(record, origin, &prosody))
            }
            Format::Text => {
                let table = pair.drawn();
                tally.count(&table);
                let mut page = origins.heading(origin);
                page.push_str(&pair.page(
                    record,
                    &table,
                    &prosody,
                    many,
                    answers.columns,
                ));
                page.push_str(&drawer.page(answers.columns));
                answers.page(&page)
            }
        }
    };
    let status = match (&arguments.pairs, &arguments.target, &arguments.production) {
        (Some(path), ..) => super::each_record(
            &[Source::of(path)],
            arguments.input,
            &Wanted::Pair,
            &mut each,
        ),
        (None, Some(target), Some(production)) => {
            let texts = [target, production].map(|text| text.as_encoded_bytes().to_vec());
            let record = Record {
                line: 1,
                texts: texts.to_vec(),
                ..Record::default()
            };
            each(
                &record,
                &Origin {
                    file: None,
                    several: false,
                },
            )
            .map(|()| Status::Good)
        }
        // The arguments are declared so that this cannot be typed.
        (None, ..) => Ok(Status::Good),
    }?;
    if many && answers.format == Format::Text && status == Status::Good {
        answers.page(&drawn::summary(&tally))?;
    }
    drawer.finish(&mut answers)?;
    Ok(status)
}

/// What was heard set against the nearest of the targets that count, made ready to be drawn
/// in short.
pub(super) struct Brief {
    /// The columns.
    pub(super) table: Vec<drawn::Column>,
    /// Marks and sentences on stress and boundaries.
    pub(super) prosody: Vec<(&'static str, String)>,
    /// The target that it was set against.
    pub(super) target: String,
}

/// Sets what was heard against the nearest of some targets; of equally near ones the first.
pub(super) fn brief(
    targets: &[&str],
    production: &str,
    accent: Option<&Accent>,
) -> Option<Brief> {
    let mut pair = Pair::new(&Manner {
        alphabet: Alphabet::Ipa,
        accent: accent.cloned(),
    });
    let mut best: Option<((u64, usize), Brief)> = None;
    for target in targets {
        pair.read(&Record {
            line: 1,
            texts: vec![target.as_bytes().to_vec(), production.as_bytes().to_vec()],
            ..Record::default()
        });
        let table = pair.drawn();
        let mut prosody = pair.prosody();
        // Who writes live leaves stress out where it is as it should be.
        let items = pair.production.transcription().items().iter();
        let marked = items.map(notation::Item::kind).any(|kind| {
            matches!(kind, ItemKind::PrimaryStress | ItemKind::SecondaryStress)
        });
        prosody.retain(|difference| {
            let feature = difference.feature;
            marked
                || !matches!(feature, Feature::PrimaryStress | Feature::SecondaryStress)
        });
        let key = (pair.distance(), prosody.len());
        if best.as_ref().is_none_or(|(known, _)| key < *known) {
            let prosody = prosody
                .iter()
                .map(|difference| sentence(difference, &table))
                .collect();
            let target = (*target).to_owned();
            let brief = Brief {
                table,
                prosody,
                target,
            };
            best = Some((key, brief));
        }
    }
    best.map(|(_, brief)| brief)
}

/// The sounds that differ between a target and what was heard for it, to be drawn over each
/// other; each pair once.
pub(super) fn pictured(
    target: &str,
    production: &str,
    accent: Option<&Accent>,
) -> Vec<(Sound, Sound)> {
    let mut pair = Pair::new(&Manner {
        alphabet: Alphabet::Ipa,
        accent: accent.cloned(),
    });
    let texts = [target, production].map(|text| text.as_bytes().to_vec());
    pair.read(&Record {
        line: 1,
        texts: texts.to_vec(),
        ..Record::default()
    });
    let mut all: Vec<(Sound, Sound)> = Vec::new();
    for sounds in pair.pictured() {
        if !all.contains(&sounds) {
            all.push(sounds);
        }
    }
    all
}

/// Two readings and how they answer each other.
struct Pair {
    target: Reading,
    production: Reading,
    /// The features of each side's segments.
    bundles: [Vec<FeatureBundle>; 2],
    aligner: Aligner,
    judge: Judge,
    /// What is found in each column.
    findings: Vec<Finding>,
}

impl Pair {
    fn new(manner: &Manner) -> Self {
        let setting = match &manner.accent {
            Some(accent) => Setting::for_accent(accent),
            None => Setting::general(),
        };
        Self {
            target: Reading::new(manner.clone()),
            production: Reading::new(manner.clone()),
            bundles: [Vec::new(), Vec::new()],
            aligner: Aligner::new(setting),
            judge: Judge::new(manner.accent.as_ref()),
            findings: Vec::new(),
        }
    }

    /// Reads and aligns the next pair.
    fn read(&mut self, record: &Record) {
        let text = |at: usize| record.texts.get(at).map_or(&[][..], Vec::as_slice);
        for (at, reading) in [&mut self.target, &mut self.production]
            .into_iter()
            .enumerate()
        {
            reading.read(text(at));
        }
        let [target, production] = &mut self.bundles;
        for (bundles, reading) in [(target, &self.target), (production, &self.production)]
        {
            bundles.clear();
            let segments = reading.transcription().segments();
            bundles.extend(segments.map(|segment| articulation::bundle(&segment)));
        }
        let [target, production] = &self.bundles;
        let columns = self.aligner.align(target, production);
        self.findings = self.judge.judge(
            production::Side {
                transcription: self.target.transcription(),
                bundles: target,
            },
            production::Side {
                transcription: self.production.transcription(),
                bundles: production,
            },
            columns,
        );
    }

    /// The contract's form of it.
    fn json<'p>(
        &'p self,
        record: &'p Record,
        origin: &'p Origin<'_>,
        prosody: &'p [json::Prosody],
    ) -> impl serde::Serialize + 'p {
        json::Comparison {
            origin: origin.json(record),
            target: self.target.shown(),
            production: self.production.shown(),
            diagnostics: json::Lazy(|| {
                let sides = [(&self.target, "target"), (&self.production, "production")];
                sides.into_iter().flat_map(|(reading, side)| {
                    reading.faults().map(move |fault| json::Diagnostic {
                        side: Some(side),
                        ..fault.into()
                    })
                })
            }),
            distance: self.distance(),
            columns: json::Lazy(|| {
                self.columns()
                    .map(|column| column.json(self.target.accent()))
            }),
            prosody,
        }
    }

    /// The columns with what stands in them.
    fn columns(&self) -> impl Iterator<Item = Filled<'_>> {
        let mut target = self.target.transcription().segments();
        let mut production = self.production.transcription().segments();
        let [wanted, said] = &self.bundles;
        let columns = self.aligner.columns().iter().zip(&self.findings);
        columns.map(move |(column, finding)| Filled {
            finding,
            target: target
                .by_ref()
                .take(column.target.len())
                .map(|it| it.text())
                .collect(),
            production: production
                .by_ref()
                .take(column.production.len())
                .map(|it| it.text())
                .collect(),
            wanted: of(wanted, &column.target),
            said: of(said, &column.production),
        })
    }

    /// The pairs of sounds that differ, to be drawn over each other.
    fn pictured(&self) -> Vec<(Sound, Sound)> {
        let accent = self.target.accent();
        self.columns()
            .filter_map(|column| {
                let wanted = alignment::whole(column.wanted)?;
                let said = alignment::whole(column.said)?;
                (wanted != said
                    && !matches!(column.finding.kind, Kind::Match | Kind::Allophone))
                .then(|| {
                    (
                        picture::whole(&column.target, &wanted, accent),
                        picture::whole(&column.production, &said, accent),
                    )
                })
            })
            .collect()
    }

    /// How far apart the two are, in thousandths of one feature.
    fn distance(&self) -> u64 {
        let [target, production] = &self.bundles;
        alignment::distance(target, production, self.aligner.columns())
    }

    /// The columns for the screen.
    fn drawn(&self) -> Vec<drawn::Column> {
        let accent = self.target.accent();
        self.columns().map(|column| column.drawn(accent)).collect()
    }

    /// The page about the pair: faults, rows, marks, what they mean.
    fn page(
        &self,
        record: &Record,
        table: &[drawn::Column],
        prosody: &[prosody::Difference],
        many: bool,
        columns: usize,
    ) -> String {
        let mut page = String::new();
        if many {
            let name = record.word.as_deref().unwrap_or_default();
            page.push_str(&drawn::title(record.line, &record.id.shown(), name));
        }
        for (reading, side) in
            [(&self.target, "target"), (&self.production, "production")]
        {
            if reading.count() > 0 {
                page.push_str(&drawn::side_heading(side));
                page.push_str(&check::drawn(reading, None, columns));
                page.push('\n');
            }
        }
        let sentences: Vec<_> = prosody
            .iter()
            .map(|difference| sentence(difference, table))
            .collect();
        page.push_str(&comparison(table, &sentences, 2, columns));
        page.push('\n');
        page
    }

    /// The differences of prosody.
    fn prosody(&self) -> Vec<prosody::Difference> {
        let columns = self.aligner.columns();
        prosody::differences(
            self.target.transcription(),
            self.production.transcription(),
            columns,
        )
    }
}

/// The bundles in a range of segments.
fn of<'b>(bundles: &'b [FeatureBundle], range: &Range<u32>) -> &'b [FeatureBundle] {
    bundles
        .get(range.start as usize..range.end as usize)
        .unwrap_or_default()
}

/// A column with what stands in it.
struct Filled<'p> {
    finding: &'p Finding,
    target: String,
    production: String,
    wanted: &'p [FeatureBundle],
    said: &'p [FeatureBundle],
}

impl Filled<'_> {
    /// The differences of the sounds that are paired; none where one is missing.
    fn differences(&self, accent: Option<&Accent>) -> Option<Differences> {
        let wanted = alignment::whole(self.wanted)?;
        let said = alignment::whole(self.said)?;
        let posture = |bundle: &FeatureBundle| {
            let taught = accent.and_then(|accent| accent.posture(bundle));
            taught.map_or_else(|| posture::of(bundle), |(from, _)| from)
        };
        let (wanted, said) = ((&wanted, posture(&wanted)), (&said, posture(&said)));
        (wanted.0 != said.0).then(|| difference::between_postures(wanted, said))
    }

    fn json(self, accent: Option<&Accent>) -> json::Column {
        let differences = self.differences(accent);
        json::Column {
            kind: self.finding.kind.name(),
            place: self.finding.site.as_ref().map(json::Standing::from),
            allophones: self
                .finding
                .allophones
                .iter()
                .copied()
                .map(Into::into)
                .collect(),
            lacking: self
                .finding
                .lacking
                .iter()
                .copied()
                .map(Into::into)
                .collect(),
            weak_form_of: self.finding.weak_form.map(|row| row.word),
            differences: differences
                .iter()
                .flat_map(Differences::iter)
                .map(Into::into)
                .collect(),
            target: (!self.wanted.is_empty()).then_some(self.target),
            production: (!self.said.is_empty()).then_some(self.production),
        }
    }

    fn drawn(self, accent: Option<&Accent>) -> drawn::Column {
        let differences = self.differences(accent);
        let side = |text: String, bundles: &[FeatureBundle]| {
            let whole = alignment::whole(bundles)?;
            let (posture, to) = describe::postures(&whole, accent);
            let name = articulation::name(&whole);
            Some(Side {
                text,
                segments: bundles.len(),
                name,
                posture,
                to,
            })
        };
        drawn::Column {
            kind: self.finding.kind,
            place: self.finding.site.as_ref().map(place).unwrap_or_default(),
            remarks: remarks(self.finding),
            in_short: differences
                .as_ref()
                .map(|it| in_words(it, true))
                .unwrap_or_default(),
            differences: differences
                .as_ref()
                .map(|it| in_words(it, false))
                .unwrap_or_default(),
            target: side(self.target, self.wanted),
            production: side(self.production, self.said),
        }
    }
}

/// Where a sound stands, in words.
fn place(site: &Site) -> String {
    let mut words = match site.position {
        Position::Initial => "word-initial",
        Position::Medial => "word-medial",
        Position::Final => "word-final",
    }
    .to_owned();
    if let Some(part) = site.part {
        words.push(' ');
        words.push_str(part.name());
    }
    if site.size > 1 {
        let (slot, size) = (site.slot + 1, site.size);
        words = format!("{words}, {slot} of {size} in its cluster");
    }
    match site.stress {
        Stress::Primary => words.push_str(", stressed syllable"),
        Stress::Secondary => words.push_str(", secondary stress"),
        Stress::None => words.push_str(", unstressed syllable"),
        Stress::Unmarked => {}
    }
    words
}

/// What the accent says of a column.
fn remarks(finding: &Finding) -> Vec<String> {
    let mut remarks: Vec<String> = finding
        .lacking
        .iter()
        .map(|row| format!("{}: {} is wanted ({})", row.lacking, row.name, row.context))
        .collect();
    if let Some(row) = finding.weak_form {
        remarks.push(format!("weak form of “{}” ({})", row.word, row.when));
    } else {
        let allowed = finding.allophones.iter();
        remarks.extend(allowed.map(|row| format!("{} ({})", row.name, row.context)));
    }
    remarks
}

/// What differs but for the mouth, in plain words, or in as few as can be. Between a vowel
/// and a consonant that is all one needs to say.
fn in_words(differences: &Differences, short: bool) -> Vec<String> {
    let class = differences.contains(difference::Feature::Class);
    differences
        .iter()
        .filter(|it| match it.feature {
            difference::Feature::Class => true,
            feature => !class && !feature.is_posture(),
        })
        .map(|it| if short { it.in_short() } else { it.advice() })
        .collect()
}

/// A difference of prosody: its mark and a sentence.
fn sentence(
    difference: &prosody::Difference,
    table: &[drawn::Column],
) -> (&'static str, String) {
    let name = difference.feature.name();
    let (mark, at) = match difference.feature {
        Feature::PrimaryStress => ("ˈ", "on"),
        Feature::SecondaryStress => ("ˌ", "on"),
        Feature::SyllableBreak => (".", "before"),
        Feature::Boundary => ("|", "before"),
    };
    let place = |column: usize, target: bool| {
        let side = |column: &drawn::Column| {
            let side = if target {
                &column.target
            } else {
                &column.production
            };
            side.as_ref().map(|side| side.text.clone())
        };
        match table.iter().skip(column).find_map(side) {
            Some(text) => format!("{at} {text} (column {})", column + 1),
            None => "at the end".to_owned(),
        }
    };
    let sentence = match (difference.target, difference.production) {
        (Some(wanted), Some(said)) => {
            format!("{name} {}, not {}", place(said, false), place(wanted, true))
        }
        (Some(wanted), None) => format!("no {name} {}", place(wanted, true)),
        (None, Some(said)) => {
            format!("{name} {}, where none was wanted", place(said, false))
        }
        (None, None) => name.to_owned(),
    };
    (mark, sentence)
}
