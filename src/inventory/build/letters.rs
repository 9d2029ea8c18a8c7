//! Base letters and marks: `symbols.tsv` and `diacritics.tsv`.

use std::collections::BTreeMap;
use std::path::Path;

use crate::feature::{
    Airstream, Backness, Class, Detail, FeatureBundle, Height, Length, Manner, Phonation,
    Place, Places, Release, Secondary, TongueRoot, Voicing,
};
use crate::{Row, line, read, sourced, symbol};

/// What later steps need to know of the letters and marks.
pub struct Letters {
    /// Letter to its number.
    pub symbols: BTreeMap<String, usize>,
    /// Each letter's bundle.
    pub bundles: Vec<FeatureBundle>,
    /// Mark to its number.
    pub marks: BTreeMap<char, usize>,
    /// Each mark's placing, by number.
    pub sits: Vec<String>,
    /// Whether each mark may stand before a letter: 0 no, 1 also inside a word, 2 yes.
    pub leads: Vec<u8>,
    /// Each mark's kind, by number.
    pub kinds: Vec<usize>,
    /// For each letter the kinds of mark that call for a closer look, as bits; bit 127 if
    /// the letter itself does.
    pub care: Vec<u128>,
    /// Each mark's clashing kinds, kind and flags, as in its short form.
    pub briefs: Vec<(u128, usize, u8)>,
    /// The kinds of mark that contradict each mark, as bits.
    pub conflicts: Vec<u128>,
    /// Whether each letter was withdrawn so long ago that it has no reading.
    pub unreadable: Vec<bool>,
    /// The kinds of mark in the order of their numbers.
    pub kind_names: Vec<String>,
}

/// The kinds of mark that the parser and the judge ask for by name.
const ASKED: &[&str] = &[
    "breathy",
    "breathy-aspirated",
    "creaky",
    "dental",
    "dentolabial",
    "ejective",
    "glottalized",
    "syllabic",
    "tone",
    "voiced",
    "voiceless",
];

/// The statuses a letter may have.
const STATUSES: &[(&str, &str)] = &[
    ("current", "Current"),
    ("retired", "Retired"),
    ("retired-error", "RetiredError"),
    ("ligature", "Ligature"),
    ("off-chart", "OffChart"),
    ("placeholder", "Placeholder"),
    ("wildcard", "Wildcard"),
];

pub fn generate(grammar: &Path, out: &mut String, faults: &mut Vec<String>) -> Letters {
    let marks = read(
        &grammar.join("diacritics.tsv"),
        &[
            "mark",
            "codepoints",
            "kind",
            "name",
            "sits",
            "effect",
            "source",
        ],
        faults,
    );
    let mut kinds: Vec<String> = Vec::new();
    for row in &marks.rows {
        if !kinds.iter().any(|kind| kind == row.cell("kind")) {
            kinds.push(row.cell("kind").to_owned());
        }
    }
    if kinds.len() > 126 {
        faults.push("diacritics.tsv: more than 126 kinds of mark".to_owned());
    }
    let mut misfits: Vec<(usize, String, bool)> = Vec::new();
    let mut mark_numbers = BTreeMap::new();
    let mut sits = Vec::new();
    let mut leads = Vec::new();
    let mut mark_kinds = Vec::new();
    let mut brief = String::new();
    let mut briefs = Vec::new();
    let mut conflicts = Vec::new();
    let mut body = String::new();
    for row in &marks.rows {
        sourced(row, faults);
        let text = symbol(row, row.cell("mark"), "codepoints", faults);
        let mut chars = text.chars();
        let (Some(mark), None) = (chars.next(), chars.next()) else {
            faults.push(format!("{}: a mark is one code point", row.place));
            continue;
        };
        let number = mark_numbers.len();
        if mark_numbers.insert(mark, number).is_some() {
            faults.push(format!("{}: `{text}` twice", row.place));
        }
        let kind = kinds
            .iter()
            .position(|kind| kind == row.cell("kind"))
            .unwrap_or(0);
        for class in row.cell("misfits").split_whitespace() {
            misfits.push((kind, class.to_owned(), true));
        }
        for class in row.cell("adds_nothing").split_whitespace() {
            misfits.push((kind, class.to_owned(), false));
        }
        let mask = |column: &str, faults: &mut Vec<String>| {
            row.cell(column)
                .split_whitespace()
                .fold(0_u128, |mask, name| {
                    if let Some(at) = kinds.iter().position(|kind| kind == name) {
                        mask | 1 << at
                    } else {
                        faults.push(format!("{}: no kind of mark `{name}`", row.place));
                        mask
                    }
                })
        };
        let placing = match row.cell("sits") {
            "below" => "Below",
            "above" => "Above",
            "after" => "After",
            "overlay" => "Overlay",
            "around" => "Around",
            other => {
                faults.push(format!("{}: a mark cannot sit `{other}`", row.place));
                "After"
            }
        };
        sits.push(row.cell("sits").to_owned());
        mark_kinds.push(kind);
        let leading = row.cell("leading");
        let inside = ["preaspirated", "prenasalized", "plosive_onset"];
        leads.push(
            match (
                leading.is_empty(),
                inside.iter().any(|name| leading.contains(name)),
            ) {
                (true, _) => 0,
                (false, true) => 1,
                (false, false) => 2,
            },
        );
        let status = match row.cell("status") {
            "current" => "Current",
            "doubles" => "Doubles",
            "length" => "Length",
            "retired" => "Retired",
            other => {
                faults.push(format!("{}: no status `{other}`", row.place));
                "Current"
            }
        };
        let retired = u8::from(status == "Retired");
        let narrow = u8::from(row.cell("narrow_only") == "yes");
        let after = u8::from(placing == "After");
        let still = [
            "voicing",
            "phonation",
            "airstream",
            "length",
            "tone",
            "release",
            "nasalized",
            "syllabic",
            "tongue_root",
        ];
        let moves = u8::from(
            [row.cell("effect"), row.cell("leading")]
                .iter()
                .flat_map(|c| c.split_whitespace())
                .any(|effect| {
                    !still.contains(
                        &effect.split(['=', '+', '-']).next().unwrap_or_default(),
                    )
                }),
        );
        let (conflict, odd) = (mask("conflicts", faults), mask("odd_with", faults));
        let clash = (1_u128 << kind) | conflict | odd;
        let flags = retired | narrow << 1 | after << 2 | moves << 3;
        briefs.push((clash, kind, flags));
        conflicts.push(conflict);
        line(
            &mut brief,
            &format!("MarkBrief {{ clash: {clash}, kind: {kind}, flags: {flags} }},"),
        );
        line(
            &mut body,
            &format!(
                "Mark {{ text: {text:?}, kind: {kind}, kind_name: {:?}, name: {:?}, sits: Sits::{placing}, effects: &[{}], leading: &[{}], conflicts: {conflict}, odd: {odd}, status: MarkStatus::{status}, narrow_only: {}, source: {:?} }},",
                row.cell("kind"),
                row.cell("name"),
                effects(row, "effect", faults),
                effects(row, "leading", faults),
                row.cell("narrow_only") == "yes",
                row.cell("source"),
            ),
        );
    }
    line(
        out,
        &format!(
            "pub static MARKS: [Mark; {}] = [\n{body}];",
            mark_numbers.len()
        ),
    );
    line(
        out,
        &format!(
            "pub static BRIEFS: [MarkBrief; {}] = [\n{brief}];",
            mark_numbers.len()
        ),
    );
    line(out, "/// The bit of each kind of mark.\npub mod kind {");
    for (at, kind) in kinds.iter().enumerate() {
        let name: String = kind
            .chars()
            .map(|c| {
                if c == '-' {
                    '_'
                } else {
                    c.to_ascii_uppercase()
                }
            })
            .collect();
        if !ASKED.contains(&kind.as_str()) {
            continue;
        }
        line(out, &format!("    pub const {name}: u8 = {at};"));
    }
    line(out, "}");
    for kind in ASKED {
        if !kinds.iter().any(|known| known == kind) {
            faults.push(format!(
                "diacritics.tsv: no kind `{kind}`, which the judge asks for"
            ));
        }
    }

    let table = read(
        &grammar.join("symbols.tsv"),
        &[
            "symbol",
            "codepoints",
            "name",
            "called",
            "class",
            "status",
            "source",
        ],
        faults,
    );
    let mut symbols = BTreeMap::new();
    let mut bundles = Vec::new();
    let mut care = Vec::new();
    let mut unreadable = Vec::new();
    let mut body = String::new();
    for row in &table.rows {
        sourced(row, faults);
        let text = symbol(row, row.cell("symbol"), "codepoints", faults);
        let number = symbols.len();
        if symbols.insert(text.clone(), number).is_some() {
            faults.push(format!("{}: `{text}` twice", row.place));
        }
        if row.cell("name").is_empty() {
            faults.push(format!("{}: no name", row.place));
        }
        let bundle = bundle(row, faults);
        let (mut misfit, mut nothing) = (0_u128, 0_u128);
        for (kind, class, unfit) in &misfits {
            let name = kinds.get(*kind).map_or("", String::as_str);
            let tolerated = row
                .cell("tolerates")
                .split_whitespace()
                .any(|one| one == name);
            if belongs(&bundle, class, row, faults) && !tolerated {
                *if *unfit { &mut misfit } else { &mut nothing } |= 1 << kind;
            }
        }
        let Some((_, status)) = STATUSES
            .iter()
            .find(|(name, _)| *name == row.cell("status"))
        else {
            faults.push(format!("{}: no status `{}`", row.place, row.cell("status")));
            continue;
        };
        line(
            &mut body,
            &format!(
                "Symbol {{ text: {text:?}, name: {:?}, called: {:?}, bundle: {}, status: Status::{status}, now: {:?}, misfit: {misfit}, nothing: {nothing}, set: {:?}, source: {:?} }},",
                row.cell("name"),
                row.cell("called"),
                literal(&bundle),
                row.cell("now"),
                row.cell("set"),
                row.cell("source"),
            ),
        );
        bundles.push(bundle);
        unreadable.push(*status == "RetiredError");
        let current = matches!(*status, "Current" | "Placeholder");
        care.push(misfit | nothing | if current { 0 } else { 1 << 127 });
    }
    line(
        out,
        &format!(
            "pub static SYMBOLS: [Symbol; {}] = [\n{body}];",
            symbols.len()
        ),
    );
    shaded(grammar, &symbols, &kinds, &mut care, out, faults);
    Letters {
        symbols,
        bundles,
        marks: mark_numbers,
        sits,
        leads,
        kinds: mark_kinds,
        care,
        briefs,
        conflicts,
        unreadable,
        kind_names: kinds,
    }
}

/// Letter and mark that add up to a cell the chart shades.
fn shaded(
    grammar: &Path,
    symbols: &BTreeMap<String, usize>,
    kinds: &[String],
    care: &mut [u128],
    out: &mut String,
    faults: &mut Vec<String>,
) {
    let table = read(
        &grammar.join("shaded.tsv"),
        &["letter", "kind", "reason", "source"],
        faults,
    );
    let mut body = String::new();
    for row in &table.rows {
        sourced(row, faults);
        let letter = symbols.get(row.cell("letter"));
        let kind = kinds.iter().position(|kind| kind == row.cell("kind"));
        if let (Some(letter), Some(kind)) = (letter, kind) {
            if let Some(mask) = care.get_mut(*letter) {
                *mask |= 1 << kind;
            }
            line(
                &mut body,
                &format!("    ({letter}, {kind}, {:?}),", row.cell("reason")),
            );
        } else {
            faults.push(format!("{}: unknown letter or kind of mark", row.place));
        }
    }
    line(
        out,
        &format!(
            "pub static SHADED: [(u16, u8, &str); {}] = [\n{body}];",
            table.rows.len()
        ),
    );
}

/// The effects of a mark, as code.
fn effects(row: &Row, column: &str, faults: &mut Vec<String>) -> String {
    let mut code = Vec::new();
    for effect in row.cell(column).split_whitespace() {
        let made = if let Some((feature, value)) = effect.split_once('=') {
            match feature {
                "voicing" => Voicing::from_name(value)
                    .map(|v| format!("Effect::Voicing(Voicing::{v:?})")),
                "phonation" => Phonation::from_name(value)
                    .map(|v| format!("Effect::Phonation(Phonation::{v:?})")),
                "place" => Place::from_name(value)
                    .map(|v| format!("Effect::Place(Place::{v:?})")),
                "airstream" => Airstream::from_name(value)
                    .map(|v| format!("Effect::Airstream(Airstream::{v:?})")),
                "length" => Length::from_name(value)
                    .map(|v| format!("Effect::Length(Length::{v:?})")),
                "tongue_root" => TongueRoot::from_name(value)
                    .map(|v| format!("Effect::TongueRoot(TongueRoot::{v:?})")),
                "centralizing" => value
                    .parse::<i8>()
                    .ok()
                    .map(|v| format!("Effect::Centralizing({v})")),
                "tone" => {
                    let mut tone = 0_u32;
                    for (at, level) in value.chars().enumerate() {
                        tone |= level.to_digit(10).unwrap_or(0) << (4 * at);
                    }
                    Some(format!("Effect::Tone({tone})"))
                }
                _ => None,
            }
        } else if let Some((feature, value)) = effect.split_once(['+', '-']) {
            let name = if value.contains('_') {
                value.replace('_', " ")
            } else {
                value.to_owned()
            };
            let signed = if effect.contains('-') && !effect.contains('+') {
                -1
            } else {
                1
            };
            match feature {
                "release" => named(&name, Release::ALL, Release::name)
                    .map(|v| format!("Effect::Release(Release::{v:?})")),
                "secondary" if value == "overlay" => Some("Effect::Overlay".to_owned()),
                "secondary" => named(&name, Secondary::ALL, Secondary::name)
                    .map(|v| format!("Effect::Secondary(Secondary::{v:?})")),
                "detail" => named(&name, Detail::ALL, Detail::name)
                    .map(|v| format!("Effect::Detail(Detail::{v:?})")),
                "raising" => value
                    .parse::<i8>()
                    .ok()
                    .map(|v| format!("Effect::Raising({})", v * signed)),
                "advancing" => value
                    .parse::<i8>()
                    .ok()
                    .map(|v| format!("Effect::Advancing({})", v * signed)),
                "rounding" => value
                    .parse::<i8>()
                    .ok()
                    .map(|v| format!("Effect::Rounding({})", v * signed)),
                _ => None,
            }
        } else {
            match effect {
                "nasalized" => Some("Effect::Nasalized".to_owned()),
                "rhotic" => Some("Effect::Rhotic".to_owned()),
                "syllabic" => Some("Effect::Syllabic".to_owned()),
                _ => None,
            }
        };
        match made {
            Some(made) => code.push(made),
            None => faults.push(format!("{}: unknown effect `{effect}`", row.place)),
        }
    }
    code.join(", ")
}

fn named<T: Copy>(name: &str, all: &[T], of: fn(T) -> &'static str) -> Option<T> {
    all.iter()
        .copied()
        .find(|value| of(*value).replace('-', " ") == name.replace('-', " "))
}

/// A cell that must be empty or the name of a value.
fn value<T>(
    row: &Row,
    column: &str,
    from: fn(&str) -> Option<T>,
    faults: &mut Vec<String>,
) -> Option<T> {
    let cell = row.cell(column);
    if cell.is_empty() {
        return None;
    }
    let found = from(cell);
    if found.is_none() {
        faults.push(format!("{}: unknown {column} `{cell}`", row.place));
    }
    found
}

/// The bundle that a row of `symbols.tsv` spells out.
fn bundle(row: &Row, faults: &mut Vec<String>) -> FeatureBundle {
    let class = value(row, "class", Class::from_name, faults).unwrap_or(Class::Consonant);
    let mut bundle = if class == Class::Vowel {
        FeatureBundle::VOWEL
    } else {
        FeatureBundle::CONSONANT
    };
    if let Some(voicing) = value(row, "voicing", Voicing::from_name, faults) {
        bundle.voicing = voicing;
    }
    let mut places = Vec::new();
    for name in row.cell("place").split_whitespace() {
        match Place::from_name(name) {
            Some(place) => places.push(place),
            None => faults.push(format!("{}: unknown place `{name}`", row.place)),
        }
    }
    bundle.place = Places {
        first: places.first().copied(),
        second: places.get(1).copied(),
    };
    bundle.manner = value(row, "manner", Manner::from_name, faults);
    bundle.lateral = row.cell("lateral") == "yes";
    if let Some(airstream) = value(row, "airstream", Airstream::from_name, faults) {
        bundle.airstream = airstream;
    }
    bundle.height = value(row, "height", Height::from_name, faults);
    bundle.backness = value(row, "backness", Backness::from_name, faults);
    bundle.rounded = match row.cell("rounded") {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    };
    bundle.rhotic = row.cell("rhotic") == "yes";
    for name in row
        .cell("secondary")
        .split(';')
        .filter(|name| !name.is_empty())
    {
        match named(name, Secondary::ALL, Secondary::name) {
            Some(one) => bundle.secondary = bundle.secondary.with(one),
            None => faults.push(format!("{}: unknown secondary `{name}`", row.place)),
        }
    }
    for name in row
        .cell("detail")
        .split(';')
        .filter(|name| !name.is_empty())
    {
        match named(name, Detail::ALL, Detail::name) {
            Some(one) => bundle.detail = bundle.detail.with(one),
            None => faults.push(format!("{}: unknown detail `{name}`", row.place)),
        }
    }
    bundle
}

/// Whether a letter belongs to a class named in `misfits` or `adds_nothing`.
fn belongs(
    bundle: &FeatureBundle,
    class: &str,
    row: &Row,
    faults: &mut Vec<String>,
) -> bool {
    let consonant = bundle.class == Class::Consonant
        && !bundle.detail.contains(Detail::Indeterminate);
    let vowel = bundle.class == Class::Vowel;
    let at = |place| consonant && bundle.place.contains(place);
    let manner = |manner| consonant && bundle.manner == Some(manner);
    let pulmonic = bundle.airstream == Airstream::Pulmonic;
    match class {
        "consonant" => consonant,
        "vowel" => vowel,
        "voiceless" => {
            consonant
                && bundle.voicing == Voicing::Voiceless
                && bundle.airstream != Airstream::Click
        }
        "voiced" => (consonant || vowel) && bundle.voicing == Voicing::Voiced,
        "plosive" => manner(Manner::Plosive) && pulmonic,
        "nasal" => manner(Manner::Nasal),
        "lateral" => consonant && bundle.lateral,
        "click" => consonant && bundle.airstream == Airstream::Click,
        "obstruent" => {
            manner(Manner::Plosive)
                || manner(Manner::Fricative)
                || manner(Manner::Affricate)
        }
        "unstopped" => {
            (consonant || vowel)
                && !manner(Manner::Plosive)
                && !manner(Manner::Affricate)
                && !manner(Manner::Nasal)
        }
        "labial" => at(Place::Bilabial) || at(Place::Labiodental),
        "palatal" => at(Place::Palatal),
        "dorsal" => at(Place::Velar) || at(Place::Uvular),
        "guttural" => {
            at(Place::Pharyngeal) || at(Place::Epiglottal) || at(Place::Glottal)
        }
        "velar" => at(Place::Velar) && bundle.place.second.is_none(),
        "pharyngeal" => at(Place::Pharyngeal),
        "dental" => at(Place::Dental),
        "rhotic" => bundle.rhotic,
        "labial-velar" => at(Place::Bilabial) && bundle.place.second.is_some(),
        "close-front" => {
            bundle.height == Some(Height::Close)
                && bundle.backness == Some(Backness::Front)
        }
        other => {
            faults.push(format!("{}: unknown class of letters `{other}`", row.place));
            false
        }
    }
}

/// A bundle as Rust code.
pub fn literal(bundle: &FeatureBundle) -> String {
    let option =
        |value: Option<String>| value.map_or("None".to_owned(), |v| format!("Some({v})"));
    let place = |place: Option<Place>| option(place.map(|p| format!("Place::{p:?}")));
    format!(
        "FeatureBundle {{ class: Class::{:?}, voicing: Voicing::{:?}, place: Places {{ first: {}, second: {} }}, manner: {}, lateral: {}, airstream: Airstream::{:?}, height: {}, backness: {}, rounded: {:?}, rhotic: {}, secondary: Secondaries({}), detail: Details({}), ..FeatureBundle::CONSONANT }}",
        bundle.class,
        bundle.voicing,
        place(bundle.place.first),
        place(bundle.place.second),
        option(bundle.manner.map(|m| format!("Manner::{m:?}"))),
        bundle.lateral,
        bundle.airstream,
        option(bundle.height.map(|h| format!("Height::{h:?}"))),
        option(bundle.backness.map(|b| format!("Backness::{b:?}"))),
        bundle.rounded,
        bundle.rhotic,
        bundle.secondary.0,
        bundle.detail.0,
    )
}
