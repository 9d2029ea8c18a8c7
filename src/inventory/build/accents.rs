//! Accents: one folder each under `accents/`, found by listing.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use crate::feature::{Contact, Jaw, Lips, TonguePart, TongueParts};
use crate::letters::Letters;
use crate::{Row, Table, line, read, sourced};

pub fn generate(
    grammar: &Path,
    letters: &Letters,
    out: &mut String,
    faults: &mut Vec<String>,
) {
    let mut names: Vec<String> = fs::read_dir(grammar.join("accents"))
        .into_iter()
        .flatten()
        .flatten()
        .filter(|entry| entry.path().is_dir())
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    println!("cargo::rerun-if-changed=grammar/accents");
    let mut body = String::new();
    for name in &names {
        let folder = grammar.join("accents").join(name);
        let facts = read(
            &folder.join("accent.tsv"),
            &["field", "value", "source"],
            faults,
        );
        let fact = |field: &str| {
            facts
                .rows
                .iter()
                .find(|row| row.cell("field") == field)
                .map_or("", |row| row.cell("value"))
                .to_owned()
        };
        if fact("called").is_empty() {
            faults.push(format!(
                "{}/accent.tsv: no field `called`",
                folder.display()
            ));
        }
        let options = read(&folder.join("options.tsv"), &OPTION_COLUMNS, faults);
        let known = Known::of(&folder, &options, faults);
        let phonemes = phonemes(&folder, letters, &known, faults);
        let postures = postures(&folder, letters, faults);
        let onsets = onsets(&folder, letters, &known, faults);
        let codas = codas(&folder, &known, faults);
        let allophones = allophones(&folder, letters, &known, faults);
        let options = written_options(&options, faults);
        let weak_forms = weak_forms(&folder, letters, faults);
        line(
            &mut body,
            &format!(
                "AccentTable {{ name: {name:?}, called: {:?}, phonemes: &[\n{phonemes}], postures: &[\n{postures}], onsets: &[{onsets}], codas: &[\n{codas}], allophones: &[\n{allophones}], options: &[\n{options}], weak_forms: &[\n{weak_forms}] }},",
                fact("called")
            ),
        );
    }
    line(
        out,
        &format!(
            "pub static ACCENTS: [AccentTable; {}] = [\n{body}];",
            names.len()
        ),
    );
}

/// Whether every letter of a phoneme is in the inventory.
fn known(row: &Row, text: &str, letters: &Letters, faults: &mut Vec<String>) {
    for c in text.chars() {
        let joins = c == '\u{361}' || c == ' ' || letters.marks.contains_key(&c);
        if !joins && !letters.symbols.contains_key(&c.to_string()) {
            faults.push(format!("{}: unknown symbol `{c}`", row.place));
        }
    }
}

fn phonemes(
    folder: &Path,
    letters: &Letters,
    accent: &Known,
    faults: &mut Vec<String>,
) -> String {
    let mut body = String::new();
    for row in &read(&folder.join("phonemes.tsv"), &PHONEME_COLUMNS, faults).rows {
        sourced(row, faults);
        for column in ["phoneme", "also", "broad"] {
            known(row, row.cell(column), letters, faults);
        }
        let text = row.cell("phoneme");
        let kind = match row.cell("kind") {
            "consonant" => "Consonant",
            "affricate" => "Affricate",
            "monophthong" => "Monophthong",
            "diphthong" => "Diphthong",
            "r-coloured" => "RColoured",
            "syllabic" => "Syllabic",
            other => {
                faults.push(format!("{}: unknown kind `{other}`", row.place));
                continue;
            }
        };
        let (mut checked, mut reduced, mut full) = (false, false, "");
        for trait_ in row.cell("traits").split_whitespace() {
            match trait_.split_once('=') {
                None if trait_ == "checked" => checked = true,
                None if trait_ == "reduced" => reduced = true,
                Some(("reduced", vowel)) if accent.phonemes.contains_key(vowel) => {
                    (reduced, full) = (true, vowel);
                }
                _ => faults.push(format!("{}: unknown trait `{trait_}`", row.place)),
            }
        }
        let option = accent.option(row, faults);
        line(
            &mut body,
            &format!(
                "PhonemeRow {{ text: {text:?}, kind: PhonemeKind::{kind}, keyword: {:?}, also: &{:?}, broad: &{:?}, checked: {checked}, reduced: {reduced}, full: {full:?}, option: {option:?} }},",
                row.cell("keyword"),
                list(row.cell("also")),
                list(row.cell("broad")),
            ),
        );
    }
    body
}

fn postures(folder: &Path, letters: &Letters, faults: &mut Vec<String>) -> String {
    let mut body = String::new();
    let columns = [
        "sound", "jaw", "lips", "tongue", "contact", "touches", "to_jaw", "to_lips",
        "source",
    ];
    for row in &read(&folder.join("postures.tsv"), &columns, faults).rows {
        sourced(row, faults);
        known(row, row.cell("sound"), letters, faults);
        let from = posture(row, "", faults);
        let to = if row.cell("to_jaw").is_empty() {
            "None".to_owned()
        } else {
            format!("Some({})", posture(row, "to_", faults))
        };
        line(
            &mut body,
            &format!(
                "PostureRow {{ text: {:?}, from: {from}, to: {to} }},",
                row.cell("sound")
            ),
        );
    }
    body
}

fn posture(row: &Row, prefix: &str, faults: &mut Vec<String>) -> String {
    let cell = |column: &str| row.cell(&format!("{prefix}{column}"));
    let jaw = Jaw::from_name(cell("jaw"));
    let lips = Lips::from_name(cell("lips"));
    if jaw.is_none() {
        faults.push(format!(
            "{}: unknown {prefix}jaw `{}`",
            row.place,
            cell("jaw")
        ));
    }
    if lips.is_none() {
        faults.push(format!(
            "{}: unknown {prefix}lips `{}`",
            row.place,
            cell("lips")
        ));
    }
    let mut tongue = TongueParts::NONE;
    for part in cell("tongue").split_whitespace() {
        match TonguePart::from_name(part) {
            Some(part) => tongue = tongue.with(part),
            None => faults.push(format!(
                "{}: unknown {prefix}tongue part `{part}`",
                row.place
            )),
        }
    }
    let contact = match (cell("contact"), Contact::from_name(cell("contact"))) {
        ("", _) => "None".to_owned(),
        (_, Some(contact)) => format!("Some(Contact::{contact:?})"),
        (other, None) => {
            faults.push(format!("{}: unknown {prefix}contact `{other}`", row.place));
            "None".to_owned()
        }
    };
    format!(
        "Posture {{ jaw: Jaw::{:?}, lips: Lips::{:?}, tongue: TongueParts({}), contact: {contact}, touches: {} }}",
        jaw.unwrap_or(Jaw::Closed),
        lips.unwrap_or(Lips::Neutral),
        tongue.0,
        cell("touches") == "yes",
    )
}

/// The legal onsets, each as its phonemes.
fn onsets(
    folder: &Path,
    letters: &Letters,
    accent: &Known,
    faults: &mut Vec<String>,
) -> String {
    let mut all = Vec::new();
    for row in &read(&folder.join("onsets.tsv"), &["onset", "source"], faults).rows {
        sourced(row, faults);
        known(row, row.cell("onset"), letters, faults);
        accent.phonemes_of(row, row.cell("onset"), faults);
        all.push(format!("{:?}", row.cell("onset")));
    }
    all.join(", ")
}

/// The legal codas, and the endings that may follow them.
fn codas(folder: &Path, accent: &Known, faults: &mut Vec<String>) -> String {
    let mut body = String::new();
    let columns = ["coda", "after", "status", "option", "example", "source"];
    for row in &read(&folder.join("codas.tsv"), &columns, faults).rows {
        sourced(row, faults);
        let coda = accent.phonemes_of(row, row.cell("coda"), faults);
        let after = accent.members_of(row, row.cell("after"), faults);
        let option = accent.option(row, faults);
        match row.cell("status") {
            "core" | "marginal" if after.is_empty() => {}
            "ending" if !after.is_empty() => {}
            other => faults.push(format!(
                "{}: status `{other}` does not go with what it follows",
                row.place
            )),
        }
        line(
            &mut body,
            &format!(
                "CodaRow {{ coda: &{coda:?}, after: &{after:?}, option: {option:?} }},"
            ),
        );
    }
    body
}

const OPTION_COLUMNS: [&str; 4] = ["option", "default", "means", "source"];

const PHONEME_COLUMNS: [&str; 8] = [
    "phoneme", "kind", "keyword", "also", "broad", "traits", "option", "source",
];

fn written_options(options: &Table, faults: &mut Vec<String>) -> String {
    let mut body = String::new();
    for row in &options.rows {
        sourced(row, faults);
        let default = row.cell("default");
        if !matches!(default, "on" | "off") || row.cell("means").is_empty() {
            faults.push(format!(
                "{}: an option is on or off and has a meaning",
                row.place
            ));
        }
        let name = row.cell("option");
        if name.starts_with("no-") {
            faults.push(format!("{}: `no-` switches an option off", row.place));
        }
        line(
            &mut body,
            &format!(
                "OptionRow {{ name: {name:?}, default: {}, means: {:?} }},",
                default == "on",
                row.cell("means"),
            ),
        );
    }
    body
}

fn weak_forms(folder: &Path, letters: &Letters, faults: &mut Vec<String>) -> String {
    let mut body = String::new();
    let columns = ["word", "strong", "weak", "when", "source"];
    for row in &read(&folder.join("weak_forms.tsv"), &columns, faults).rows {
        sourced(row, faults);
        for column in ["strong", "weak"] {
            known(row, &row.cell(column).replace('ˈ', ""), letters, faults);
        }
        line(
            &mut body,
            &format!(
                "WeakFormRow {{ word: {:?}, strong: {:?}, weak: &{:?}, when: {:?} }},",
                row.cell("word"),
                row.cell("strong"),
                list(row.cell("weak")),
                row.cell("when"),
            ),
        );
    }
    body
}

/// The rules A → B / C _ D.
fn allophones(
    folder: &Path,
    letters: &Letters,
    accent: &Known,
    faults: &mut Vec<String>,
) -> String {
    let mut body = String::new();
    let columns = [
        "name", "sounds", "becomes", "left", "right", "where", "status", "option",
        "context", "lacking", "example", "source",
    ];
    for row in &read(&folder.join("allophones.tsv"), &columns, faults).rows {
        sourced(row, faults);
        let becomes = list(row.cell("becomes"));
        for form in &becomes {
            let bare = form.replace(['◌', '∅'], "");
            known(row, &bare, letters, faults);
        }
        let put_in = row.cell("sounds") == "∅";
        let sounds = if put_in {
            vec![Vec::new()]
        } else {
            let runs = accent.runs(row, row.cell("sounds"), faults);
            // A class in a rule's own sounds is a rule for each of its members.
            let mut each = Vec::new();
            for run in runs {
                match run.as_slice() {
                    [one] => each.extend(one.iter().map(|sound| vec![sound.clone()])),
                    many => each.push(many.iter().flatten().cloned().collect()),
                }
            }
            each
        };
        let sides = ["left", "right"].map(|column| {
            let (with, without) = row
                .cell(column)
                .split_once('!')
                .unwrap_or((row.cell(column), ""));
            [with, without].map(|runs| accent.runs(row, runs, faults))
        });
        let [[left, not_left], [right, not_right]] =
            sides.map(|both| both.map(|runs| written(&runs)));
        let mut places = 0;
        for name in row.cell("where").split_whitespace() {
            match WHERE.iter().position(|known| *known == name) {
                Some(bit) => places |= 1 << bit,
                None => faults.push(format!("{}: unknown place `{name}`", row.place)),
            }
        }
        let obligatory = match row.cell("status") {
            "obligatory" => true,
            "optional" => false,
            other => {
                faults.push(format!("{}: unknown status `{other}`", row.place));
                continue;
            }
        };
        let lacking = row.cell("lacking");
        if obligatory == lacking.is_empty() {
            faults.push(format!(
                "{}: an obligatory allophone, and no other, says what lacks it",
                row.place
            ));
        }
        if row.cell("name").is_empty()
            || row.cell("context").is_empty()
            || becomes.is_empty()
        {
            faults.push(format!("{}: no name, context or outcome", row.place));
        }
        let option = accent.option(row, faults);
        line(
            &mut body,
            &format!(
                "AllophoneRow {{ name: {:?}, sounds: &[{}], sounds_written: {:?}, becomes: &{becomes:?}, left: {left}, not_left: {not_left}, right: {right}, not_right: {not_right}, places: {places}, obligatory: {obligatory}, option: {option:?}, context: {:?}, lacking: {lacking:?}, example: {:?}, environment: {:?} }},",
                row.cell("name"),
                sounds
                    .iter()
                    .map(|run| format!("&{run:?}"))
                    .collect::<Vec<_>>()
                    .join(", "),
                row.cell("sounds"),
                row.cell("context"),
                row.cell("example"),
                environment(row),
            ),
        );
    }
    body
}

/// C _ D and the places as one reads them.
fn environment(row: &Row) -> String {
    let side = |column: &str| row.cell(column).replace('+', " ").replace("! ", "not ");
    let mut text = format!("{} _ {}", side("left"), side("right"))
        .trim()
        .to_owned();
    if !row.cell("where").is_empty() {
        text.push_str(", ");
        text.push_str(&row.cell("where").replace(' ', ", "));
    }
    text
}

/// The places of a rule, in the order of `Where`.
const WHERE: [&str; 12] = [
    "onset",
    "nucleus",
    "coda",
    "first",
    "last",
    "alone",
    "initial",
    "medial",
    "final",
    "stressed",
    "unstressed",
    "weak",
];

/// Phonemes in a row, each place with those that may stand there.
type Run = Vec<Vec<String>>;

fn written(runs: &[Run]) -> String {
    let runs: Vec<String> = runs
        .iter()
        .map(|run| {
            let places: Vec<String> =
                run.iter().map(|place| format!("&{place:?}")).collect();
            format!("&[{}]", places.join(", "))
        })
        .collect();
    format!("&[{}]", runs.join(", "))
}

/// The items of a cell.
fn list(cell: &str) -> Vec<&str> {
    cell.split_whitespace().collect()
}

/// What the other tables of an accent may name.
struct Known {
    /// Phonemes, each with whether it is a vowel.
    phonemes: BTreeMap<String, bool>,
    classes: BTreeMap<String, Vec<String>>,
    options: Vec<String>,
}

impl Known {
    fn of(folder: &Path, options: &Table, faults: &mut Vec<String>) -> Self {
        let mut known = Self {
            phonemes: BTreeMap::new(),
            classes: BTreeMap::new(),
            options: options
                .rows
                .iter()
                .map(|row| row.cell("option").to_owned())
                .collect(),
        };
        for row in &read(&folder.join("phonemes.tsv"), &PHONEME_COLUMNS, faults).rows {
            let vowel =
                matches!(row.cell("kind"), "monophthong" | "diphthong" | "r-coloured");
            if known
                .phonemes
                .insert(row.cell("phoneme").to_owned(), vowel)
                .is_some()
            {
                faults.push(format!("{}: a phoneme twice", row.place));
            }
        }
        for (class, wanted) in [("V", true), ("C", false)] {
            let of_kind = known.phonemes.iter().filter(|it| *it.1 == wanted);
            let members = of_kind.map(|it| it.0.clone()).collect();
            known.classes.insert(class.to_owned(), members);
        }
        let columns = ["class", "members", "source"];
        for row in &read(&folder.join("classes.tsv"), &columns, faults).rows {
            sourced(row, faults);
            let members = known.phonemes_of(row, row.cell("members"), faults);
            known.classes.insert(row.cell("class").to_owned(), members);
        }
        known
    }

    fn phonemes_of(
        &self,
        row: &Row,
        cell: &str,
        faults: &mut Vec<String>,
    ) -> Vec<String> {
        for name in cell.split_whitespace() {
            if !self.phonemes.contains_key(name) {
                faults.push(format!(
                    "{}: `{name}` is no phoneme of the accent",
                    row.place
                ));
            }
        }
        cell.split_whitespace().map(str::to_owned).collect()
    }

    /// The phonemes of a cell that names phonemes and classes.
    fn members_of(&self, row: &Row, cell: &str, faults: &mut Vec<String>) -> Vec<String> {
        let mut members = Vec::new();
        for name in cell.split_whitespace() {
            match self.classes.get(name) {
                Some(class) => members.extend(class.iter().cloned()),
                None => members.extend(self.phonemes_of(row, name, faults)),
            }
        }
        members
    }

    /// The alternatives of a cell: phonemes, classes or `#`, runs of them joined by `+`.
    fn runs(&self, row: &Row, cell: &str, faults: &mut Vec<String>) -> Vec<Run> {
        let mut place = |name: &str| {
            if name == "#" {
                vec!["#".to_owned()]
            } else {
                self.members_of(row, name, faults)
            }
        };
        cell.split_whitespace()
            .map(|run| run.split('+').map(&mut place).collect())
            .collect()
    }

    fn option<'r>(&self, row: &'r Row, faults: &mut Vec<String>) -> &'r str {
        let option = row.cell("option");
        if !option.is_empty() && !self.options.iter().any(|known| known == option) {
            faults.push(format!("{}: no option is named `{option}`", row.place));
        }
        option
    }
}
