//! As much of RFC 5234 as the grammar uses: read, listed, and matched against a text.

use std::collections::{BTreeMap, BTreeSet};

/// A grammar: its rules by name.
#[derive(Debug)]
pub(crate) struct Grammar {
    pub(crate) rules: BTreeMap<String, Node>,
    /// The rules of RFC 5234, appendix B.1, that it uses.
    core: BTreeMap<&'static str, Node>,
}

/// The right-hand side of a rule, or a part of it.
#[derive(Clone, Debug)]
pub(crate) enum Node {
    Choice(Vec<Node>),
    Sequence(Vec<Node>),
    Repeat(usize, Option<usize>, Box<Node>),
    Rule(String),
    Text(String),
    Range(char, char),
}

impl Grammar {
    /// Reads a grammar; panics where it is ill-formed.
    pub(crate) fn read(text: &str) -> Self {
        let core = BTreeMap::from([
            ("SP", Node::Text(" ".to_owned())),
            ("DIGIT", Node::Range('0', '9')),
            (
                "ALPHA",
                Node::Choice(vec![Node::Range('A', 'Z'), Node::Range('a', 'z')]),
            ),
        ]);
        let mut grammar = Self {
            rules: BTreeMap::new(),
            core,
        };
        let mut whole = String::new();
        for line in text.lines() {
            let line = strip_comment(line);
            if line.starts_with(' ') || line.is_empty() {
                whole.push_str(line);
            } else {
                whole.push('\n');
                whole.push_str(line);
            }
        }
        for rule in whole.lines().filter(|line| !line.trim().is_empty()) {
            let (name, body) = rule.split_once('=').expect("a rule has a name and `=`");
            let mut reader = Reader { rest: body };
            let node = reader.choice();
            assert!(reader.rest.trim().is_empty(), "{name}: {}", reader.rest);
            let before = grammar.rules.insert(name.trim().to_owned(), node);
            assert!(before.is_none(), "{name} is defined twice");
        }
        grammar
    }

    /// The right-hand side of a rule of the grammar or of RFC 5234's core.
    pub(crate) fn rule(&self, name: &str) -> &Node {
        let rule = self.rules.get(name).or_else(|| self.core.get(name));
        rule.unwrap_or_else(|| panic!("no rule {name}"))
    }

    /// The rules that other rules use, but for the core ones.
    pub(crate) fn used(&self) -> BTreeSet<String> {
        fn walk(node: &Node, used: &mut BTreeSet<String>) {
            match node {
                Node::Choice(nodes) | Node::Sequence(nodes) => {
                    for node in nodes {
                        walk(node, used);
                    }
                }
                Node::Repeat(_, _, node) => walk(node, used),
                Node::Rule(name) => {
                    used.insert(name.clone());
                }
                Node::Text(_) | Node::Range(..) => {}
            }
        }
        let mut used = BTreeSet::new();
        for node in self.rules.values() {
            walk(node, &mut used);
        }
        used.retain(|name| !self.core.contains_key(name.as_str()));
        used
    }

    /// Whether a rule makes a text, and nothing but it.
    pub(crate) fn makes(&self, rule: &str, text: &str) -> bool {
        let mut known = BTreeMap::new();
        self.ends(&Node::Rule(rule.to_owned()), text, 0, &mut known)
            .contains(&text.len())
    }

    /// Where what a node makes from an offset on may end.
    fn ends(
        &self,
        node: &Node,
        text: &str,
        at: usize,
        known: &mut BTreeMap<(String, usize), BTreeSet<usize>>,
    ) -> BTreeSet<usize> {
        match node {
            Node::Choice(nodes) => nodes
                .iter()
                .flat_map(|node| self.ends(node, text, at, known))
                .collect(),
            Node::Sequence(nodes) => {
                nodes.iter().fold(BTreeSet::from([at]), |from, node| {
                    from.into_iter()
                        .flat_map(|at| self.ends(node, text, at, known))
                        .collect()
                })
            }
            Node::Repeat(least, most, node) => {
                let mut reached = BTreeSet::new();
                let mut from = BTreeSet::from([at]);
                for round in 0..=most.unwrap_or(text.len()) {
                    if round >= *least {
                        reached.extend(from.iter().copied());
                    }
                    from = from
                        .into_iter()
                        .flat_map(|at| self.ends(node, text, at, known))
                        .filter(|end| round < *least || !reached.contains(end))
                        .collect();
                    if from.is_empty() {
                        break;
                    }
                }
                reached
            }
            Node::Rule(name) => {
                let key = (name.clone(), at);
                if let Some(ends) = known.get(&key) {
                    return ends.clone();
                }
                let ends = self.ends(self.rule(name), text, at, known);
                known.insert(key, ends.clone());
                ends
            }
            Node::Text(wanted) => {
                let fits = text[at..].starts_with(wanted.as_str());
                fits.then(|| at + wanted.len()).into_iter().collect()
            }
            Node::Range(first, last) => {
                let next = text[at..]
                    .chars()
                    .next()
                    .filter(|c| (first..=last).contains(&c));
                next.map(|c| at + c.len_utf8()).into_iter().collect()
            }
        }
    }
}

impl Node {
    /// The texts that a node lists, if it is a choice of texts and ranges.
    pub(crate) fn alternatives(&self) -> BTreeSet<String> {
        match self {
            Self::Choice(nodes) => nodes.iter().flat_map(Self::alternatives).collect(),
            Self::Text(text) => BTreeSet::from([text.clone()]),
            Self::Range(first, last) => (*first..=*last).map(String::from).collect(),
            other => panic!("not a list of characters: {other:?}"),
        }
    }
}

/// A line without its comment; a semicolon in quotation marks begins none.
fn strip_comment(line: &str) -> &str {
    let mut quoted = false;
    for (at, c) in line.char_indices() {
        match c {
            '"' => quoted = !quoted,
            ';' if !quoted => return line[..at].trim_end(),
            _ => {}
        }
    }
    line.trim_end()
}

/// Reads the right-hand side of a rule.
struct Reader<'t> {
    rest: &'t str,
}

impl Reader<'_> {
    fn peek(&mut self) -> Option<char> {
        self.rest = self.rest.trim_start();
        self.rest.chars().next()
    }

    fn take(&mut self, wanted: char) -> bool {
        let found = self.peek() == Some(wanted);
        if found {
            self.rest = &self.rest[wanted.len_utf8()..];
        }
        found
    }

    fn choice(&mut self) -> Node {
        let mut nodes = vec![self.sequence()];
        while self.take('/') {
            nodes.push(self.sequence());
        }
        if nodes.len() == 1 {
            nodes.remove(0)
        } else {
            Node::Choice(nodes)
        }
    }

    fn sequence(&mut self) -> Node {
        let mut nodes = Vec::new();
        while self.peek().is_some_and(|c| !matches!(c, '/' | ')' | ']')) {
            nodes.push(self.repetition());
        }
        assert!(
            !nodes.is_empty(),
            "an empty alternative before `{}`",
            self.rest
        );
        if nodes.len() == 1 {
            nodes.remove(0)
        } else {
            Node::Sequence(nodes)
        }
    }

    fn number(&mut self) -> Option<usize> {
        let end = self
            .rest
            .find(|c: char| !c.is_ascii_digit())
            .unwrap_or(self.rest.len());
        let (digits, rest) = self.rest.split_at(end);
        self.rest = rest;
        digits.parse().ok()
    }

    fn repetition(&mut self) -> Node {
        let least = self.number();
        if self.rest.starts_with('*') {
            self.rest = &self.rest[1..];
            let most = self.number();
            Node::Repeat(least.unwrap_or(0), most, Box::new(self.element()))
        } else if let Some(exactly) = least {
            Node::Repeat(exactly, Some(exactly), Box::new(self.element()))
        } else {
            self.element()
        }
    }

    fn element(&mut self) -> Node {
        if self.take('(') {
            let node = self.choice();
            assert!(self.take(')'), "`(` is not closed: {}", self.rest);
            node
        } else if self.take('[') {
            let node = self.choice();
            assert!(self.take(']'), "`[` is not closed: {}", self.rest);
            Node::Repeat(0, Some(1), Box::new(node))
        } else if self.take('"') {
            let (text, rest) = self.rest.split_once('"').expect("a string ends");
            self.rest = rest;
            // Strings match in either case, so the grammar spells letters as code points.
            assert!(
                !text.contains(|c: char| c.is_ascii_alphabetic()),
                "letters in \"{text}\""
            );
            Node::Text(text.to_owned())
        } else if self.take('%') {
            assert!(self.take('x'), "code points are given in hexadecimal");
            let end = self
                .rest
                .find(|c: char| !c.is_ascii_hexdigit() && c != '.' && c != '-')
                .unwrap_or(self.rest.len());
            let (value, rest) = self.rest.split_at(end);
            self.rest = rest;
            let point = |digits: &str| {
                char::from_u32(u32::from_str_radix(digits, 16).unwrap()).unwrap()
            };
            match value.split_once('-') {
                Some((first, last)) => Node::Range(point(first), point(last)),
                None => Node::Text(value.split('.').map(point).collect()),
            }
        } else {
            let end = self
                .rest
                .find(|c: char| !c.is_ascii_alphanumeric() && c != '-')
                .unwrap_or(self.rest.len());
            let (name, rest) = self.rest.split_at(end);
            assert!(!name.is_empty(), "no element at `{}`", self.rest);
            self.rest = rest;
            Node::Rule(name.to_owned())
        }
    }
}
