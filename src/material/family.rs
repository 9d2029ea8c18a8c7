//! Which words count as one for a drill: inflected forms of one base, and words said alike.

use std::collections::{BTreeMap, BTreeSet};

use crate::lexicon::{Kind, Lexicon};

/// Inflected forms that no ending tells.
const IRREGULAR: &str = include_str!("../../grammar/lexicon/en-US.irregular.tsv");

/// Tells which words are forms of which.
#[derive(Clone, Debug)]
pub struct Families {
    /// From an irregular form to its bases.
    irregular: BTreeMap<&'static str, Vec<&'static str>>,
}

/// How a regular ending sounds, by what it is spelled.
const ENDINGS: &[(&str, &[&str])] = &[
    ("s", &["s", "z", "ɪz", "əz"]),
    ("ed", &["t", "d", "ɪd", "əd"]),
    ("ing", &["ɪŋ", "əŋ", "ɪn", "ən"]),
    ("er", &["ɚ"]),
    ("est", &["ɪst", "əst"]),
];

impl Default for Families {
    fn default() -> Self {
        let mut irregular: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
        for line in IRREGULAR.lines().skip(1) {
            let mut cells = line.split('\t');
            let (Some(base), Some(forms)) = (cells.next(), cells.next()) else {
                continue;
            };
            for form in forms.split(' ') {
                irregular.entry(form).or_default().push(base);
            }
        }
        Self { irregular }
    }
}

impl Families {
    /// The words that a word may be a form of, itself among them, sorted: two words that share
    /// one are forms of one word.
    ///
    /// An ending counts where what is left is a word of the list and said as in the longer
    /// word. That takes *seed* for a form of *see*: for a list that must not let a form slip
    /// in, that is the safe side.
    ///
    /// # Examples
    ///
    /// ```
    /// use apical::lexicon::Lexicon;
    /// use apical::material::Families;
    ///
    /// let lexicon = Lexicon::of("en-US").unwrap();
    /// let families = Families::default();
    /// assert_eq!(families.bases("planning", &lexicon), ["plan", "planning"]);
    /// assert_eq!(families.bases("taught", &lexicon), ["taught", "teach"]);
    /// assert_eq!(families.bases("thing", &lexicon), ["thing"]);
    /// ```
    #[must_use]
    pub fn bases(&self, word: &str, lexicon: &Lexicon) -> Vec<String> {
        let word: String = word.chars().flat_map(char::to_lowercase).collect();
        let mut bases = BTreeSet::from([word.clone()]);
        let possessive = word.strip_suffix("'s").or_else(|| word.strip_suffix('\''));
        bases.extend(possessive.map(str::to_owned));
        for base in self.irregular.get(word.as_str()).into_iter().flatten() {
            bases.insert((*base).to_owned());
        }
        let mut said: Option<Vec<String>> = None;
        for (ending, sounds) in ENDINGS {
            for base in stems(&word, ending) {
                let said = said.get_or_insert_with(|| plain(lexicon, &word));
                let comparative = matches!(*ending, "er" | "est");
                let is_form = known(lexicon, &base)
                    && (!comparative || compares(lexicon, &base))
                    && is_said_so(&plain(lexicon, &base), said, sounds);
                if is_form {
                    // A form of a form, as in the past of an irregular plural, does not occur.
                    bases.insert(base);
                }
            }
        }
        bases.into_iter().collect()
    }
}

/// What may be left when an ending is taken off.
fn stems(word: &str, ending: &str) -> Vec<String> {
    let Some(bare) = word.strip_suffix(ending).filter(|bare| bare.len() > 1) else {
        return Vec::new();
    };
    let mut stems = vec![bare.to_owned()];
    if ending == "s" {
        if let Some(stem) = bare.strip_suffix("ie") {
            stems.push(format!("{stem}y"));
        }
        stems.extend(bare.strip_suffix('e').map(str::to_owned));
        stems.retain(|stem| !stem.ends_with('s') || stem.ends_with("ss"));
        return stems;
    }
    stems.push(format!("{bare}e"));
    if let Some(stem) = bare.strip_suffix('i') {
        stems.push(format!("{stem}y"));
    }
    let mut last = bare.chars().rev();
    if let (Some(one), Some(other)) = (last.next(), last.next())
        && one == other
    {
        stems.extend(bare.strip_suffix(one).map(str::to_owned));
    }
    stems
}

fn known(lexicon: &Lexicon, word: &str) -> bool {
    let entry = lexicon.look_up(word);
    word.len() > 1 && entry.is_some_and(|it| it.kind() == Kind::Word)
}

/// Whether a word is compared with endings: *old* is, since there is *oldest*; *let* is not,
/// so that *letter* is no form of it.
fn compares(lexicon: &Lexicon, base: &str) -> bool {
    let bare = base.strip_suffix('e').unwrap_or(base);
    let doubled = base
        .chars()
        .next_back()
        .map(|last| format!("{base}{last}est"));
    let with_i = base.strip_suffix('y').map(|stem| format!("{stem}iest"));
    [Some(format!("{bare}est")), doubled, with_i]
        .iter()
        .flatten()
        .any(|superlative| known(lexicon, superlative))
}

/// The pronunciations of a word without marks.
fn plain(lexicon: &Lexicon, word: &str) -> Vec<String> {
    let entry = lexicon.look_up(word);
    let targets = entry.iter().flat_map(crate::lexicon::Entry::targets);
    let mark = |c: &char| !matches!(c, 'ˈ' | 'ˌ' | '.');
    targets
        .map(|it| it.chars().filter(mark).collect())
        .collect()
}

fn is_said_so(base: &[String], word: &[String], endings: &[&str]) -> bool {
    word.iter().any(|word| {
        base.iter().any(|base| {
            let rest = word.strip_prefix(base.as_str());
            rest.is_some_and(|rest| endings.contains(&rest))
        })
    })
}
