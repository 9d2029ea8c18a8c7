//! Writes a string of the grammar from a list of choices, keeping to the six rules that
//! the grammar states in words.

use std::collections::{BTreeMap, BTreeSet};

use super::abnf::{Grammar, Node};
use super::grammar_table;

/// How often an open repetition goes round at most.
const ROUNDS: usize = 3;
/// From this depth on the first alternative is taken and nothing is repeated.
const DEEP: usize = 40;

/// Over a consonant it is read as a tie bar mistyped.
const INVERTED_BREVE: &str = "\u{311}";

/// The rules whose characters the rules in words compare.
const LISTS: [&str; 7] = [
    "consonant",
    "vowel",
    "withdrawn-letter",
    "mark",
    "withdrawn-mark",
    "modifier",
    "onset-modifier",
];

/// What the rules in words compare.
#[derive(Debug)]
pub(crate) struct Tables {
    /// Of each mark, its kind and the kinds it contradicts.
    marks: BTreeMap<String, (String, Vec<String>)>,
    implosives: BTreeSet<String>,
    consonants: BTreeSet<String>,
    /// Letters with marks that stand for another letter.
    stand_ins: BTreeSet<String>,
    labels: BTreeSet<String>,
    /// The characters that each rule lists.
    lists: BTreeMap<String, Vec<String>>,
}

impl Tables {
    /// Whether a text has a letter and a mark that the rules in words keep apart.
    pub(crate) fn keeps_apart(&self, text: &str) -> bool {
        text.contains(INVERTED_BREVE)
            || self.stand_ins.iter().any(|pair| text.contains(pair))
    }

    pub(crate) fn read(grammar: &Grammar) -> Self {
        let lists = LISTS
            .iter()
            .map(|rule| {
                let all = grammar.rules[*rule].alternatives().into_iter().collect();
                ((*rule).to_owned(), all)
            })
            .collect();
        let marks = grammar_table("diacritics.tsv")
            .iter()
            .map(|row| {
                let conflicts = row["conflicts"].split(' ').map(str::to_owned).collect();
                let mark = row["mark"].trim_start_matches('◌').to_owned();
                (mark, (row["kind"].clone(), conflicts))
            })
            .collect();
        let symbols = grammar_table("symbols.tsv");
        let letters = |column: &str, value: &str| {
            let rows = symbols.iter().filter(|row| row[column] == value);
            rows.map(|row| row["symbol"].clone())
                .collect::<BTreeSet<String>>()
        };
        let implosives = letters("airstream", "implosive");
        let consonants = letters("class", "consonant");
        let stand_ins = grammar_table("lookalikes.tsv")
            .iter()
            .filter(|row| row["severity"] == "error" && row["codepoints"].contains(' '))
            .map(|row| row["input"].clone())
            .collect();
        let labels = grammar.rules["label"].alternatives();
        Self {
            marks,
            implosives,
            consonants,
            stand_ins,
            labels,
            lists,
        }
    }
}

/// Walks the grammar, taking its decisions from a list; where the list ends, the shortest.
#[derive(Debug)]
pub(crate) struct Writer<'g> {
    grammar: &'g Grammar,
    tables: &'g Tables,
    choices: std::slice::Iter<'g, u32>,
    pub(crate) reached: BTreeSet<String>,
    text: String,
    letter: String,
    marks: Vec<String>,
    /// Of each open stretch, where its label stands and what it is.
    labels: Vec<Option<(usize, String)>>,
}

impl<'g> Writer<'g> {
    pub(crate) fn new(
        grammar: &'g Grammar,
        tables: &'g Tables,
        choices: &'g [u32],
    ) -> Self {
        Self {
            grammar,
            tables,
            choices: choices.iter(),
            reached: BTreeSet::new(),
            text: String::new(),
            letter: String::new(),
            marks: Vec::new(),
            labels: Vec::new(),
        }
    }

    pub(crate) fn write(&mut self, rule: &str) -> String {
        self.node(&Node::Rule(rule.to_owned()), 0);
        std::mem::take(&mut self.text)
    }

    /// A number below a limit.
    fn below(&mut self, limit: usize) -> usize {
        self.choices
            .next()
            .map_or(0, |choice| *choice as usize % limit.max(1))
    }

    fn node(&mut self, node: &Node, depth: usize) {
        match node {
            Node::Choice(nodes) => {
                let at = if depth > DEEP {
                    0
                } else {
                    self.below(nodes.len())
                };
                self.node(&nodes[at], depth + 1);
            }
            Node::Sequence(nodes) => {
                for node in nodes {
                    self.node(node, depth + 1);
                }
            }
            Node::Repeat(least, most, node) => {
                let most = most.unwrap_or(least + ROUNDS).min(least + ROUNDS);
                let more = if depth > DEEP {
                    0
                } else {
                    self.below(most - least + 1)
                };
                for _ in 0..least + more {
                    self.node(node, depth + 1);
                }
            }
            Node::Rule(name) => self.rule(name, depth),
            Node::Text(text) => self.text.push_str(text),
            Node::Range(first, last) => {
                let all: Vec<char> = (*first..=*last).collect();
                let at = self.below(all.len());
                self.text.push(all[at]);
            }
        }
    }

    fn rule(&mut self, name: &str, depth: usize) {
        self.reached.insert(name.to_owned());
        let rule = self.grammar.rule(name);
        match name {
            "consonant" | "vowel" | "withdrawn-letter" => {
                self.letter = self.pick(name);
                self.marks.clear();
                self.text.push_str(&self.letter);
            }
            // Marks before a letter are compared with each other only.
            "leading" => {
                self.letter.clear();
                self.marks.clear();
                self.node(rule, depth + 1);
            }
            "mark" | "withdrawn-mark" | "modifier" | "onset-modifier" => self.mark(name),
            "voice-stretch" => {
                self.labels.push(None);
                self.node(rule, depth + 1);
                self.labels.pop();
            }
            "voice-label" => {
                let start = self.text.len();
                if let Some((start, label)) = self.labels.last().cloned().flatten() {
                    let degree =
                        usize::from(label.starts_with(|c: char| c.is_ascii_digit()));
                    let read = &self.text[start + degree..];
                    let longer = self.tables.labels.iter().any(|known| {
                        read.starts_with(known.as_str())
                            && known.len() + degree > label.len()
                    });
                    if longer {
                        self.text.insert(start + label.len(), ' ');
                    }
                    self.text.push_str(&label);
                } else {
                    self.node(rule, depth + 1);
                    let label = self.text[start..].to_owned();
                    *self.labels.last_mut().unwrap() = Some((start, label));
                }
            }
            _ => self.node(rule, depth + 1),
        }
    }

    /// One of the characters that a rule lists.
    fn pick(&mut self, rule: &str) -> String {
        let all = &self.tables.lists[rule];
        let at = self.below(all.len());
        all[at].clone()
    }

    /// One of the marks that a rule lists, the next that may stand here.
    fn mark(&mut self, rule: &str) {
        let all = &self.tables.lists[rule];
        let at = self.below(all.len());
        let may = |mark: &&String| self.may_stand(mark);
        if let Some(mark) = all
            .iter()
            .cycle()
            .skip(at)
            .take(all.len())
            .find(may)
            .cloned()
        {
            self.text.push_str(&mark);
            self.marks.push(mark);
        }
    }

    fn may_stand(&self, mark: &str) -> bool {
        let (kind, conflicts) = &self.tables.marks[mark];
        let contradicted = self.marks.iter().any(|other| {
            let (other_kind, others) = &self.tables.marks[other];
            conflicts.contains(other_kind) || others.contains(kind)
        });
        let implosive =
            kind == "ejective" && self.tables.implosives.contains(&self.letter);
        let stand_in = self
            .tables
            .stand_ins
            .contains(&format!("{}{mark}", self.letter))
            || self.marks.iter().any(|other| {
                self.tables
                    .stand_ins
                    .contains(&format!("{}{other}{mark}", self.letter))
            });
        let breve =
            mark == INVERTED_BREVE && self.tables.consonants.contains(&self.letter);
        !contradicted && !implosive && !stand_in && !breve
    }
}

/// Whether a text has a backslash with x or u and hexadecimal digits.
pub(crate) fn has_escape(text: &str) -> bool {
    text.match_indices('\\').any(|(at, _)| {
        let mut after = text[at + 1..].chars();
        let wanted = match after.next() {
            Some('x') => 2,
            Some('u') => 4,
            _ => return false,
        };
        after.take(wanted).filter(char::is_ascii_hexdigit).count() == wanted
    })
}
