//! Rule discovery on invented clients whose rules are known: precision, recall, whole
//! clients, firmness, time; the same through the aligner. Fails under its floors.
//!
//! Two rules are one if they agree on four in five of the sites that either would change.

#![allow(missing_docs, reason = "a benchmark has no public items")]
#![allow(clippy::disallowed_methods, reason = "its arguments are the clients")]
#![allow(clippy::print_stdout, reason = "a benchmark prints its figures")]
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a benchmark may stop"
)]
#![allow(clippy::exit, reason = "a figure under its floor fails the run")]

#[path = "../clients.rs"]
mod clients;

use std::process::Command;
use std::time::Instant;

use apical::finding::pattern;
use apical::finding::rule::{
    BUDGET, Background, Confidence, Discovery, Found, Known, Sample, Sounds, catalogue,
    discover, probes,
};
use apical::notation::Transcription;
use clients::{Client, Random, World};

#[derive(Default)]
struct Score {
    right: usize,
    found: usize,
    wanted: usize,
    exact: usize,
    clients: usize,
    firm: usize,
    firm_right: usize,
    /// Right and all by posterior: below a half, then by tenths.
    bins: [[usize; 2]; 6],
    /// Of each search.
    seconds: Vec<f64>,
}

#[allow(clippy::cast_precision_loss, reason = "small counts")]
fn share(part: usize, whole: usize) -> f64 {
    part as f64 / whole.max(1) as f64
}

impl Score {
    fn add(&mut self, world: &World, client: &Client, found: &[Found]) {
        let mut taken = vec![false; found.len()];
        let mut right = 0;
        for (template, _) in &client.rules {
            let best = (0..found.len())
                .filter(|it| !taken[*it])
                .map(|it| (world.agreement(template, &found[it].effect), it))
                .max_by(|one, other| one.0.total_cmp(&other.0));
            if let Some((agreement, at)) = best
                && agreement >= 0.8
            {
                taken[at] = true;
                right += 1;
            }
        }
        self.right += right;
        self.found += found.len();
        self.wanted += client.rules.len();
        self.exact += usize::from(right == found.len() && right == client.rules.len());
        self.clients += 1;
        for (it, right) in found.iter().zip(&taken) {
            let bin = self
                .bins
                .iter_mut()
                .rev()
                .zip([0.97, 0.9, 0.8, 0.65, 0.5, 0.0]);
            if let Some((bin, _)) =
                bin.into_iter().find(|(_, from)| it.posterior >= *from)
            {
                bin[0] += usize::from(*right);
                bin[1] += 1;
            }
            if it.confidence == Confidence::Firm {
                self.firm += 1;
                self.firm_right += usize::from(*right);
            }
        }
    }

    fn figures(&self) -> [f64; 4] {
        [
            share(self.right, self.found),
            share(self.right, self.wanted),
            share(self.exact, self.clients),
            share(self.firm_right, self.firm),
        ]
    }

    /// How long so great a part of the searches took at most.
    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "small counts"
    )]
    fn milliseconds(&self, part: f64) -> f64 {
        let mut sorted = self.seconds.clone();
        sorted.sort_by(f64::total_cmp);
        let at = (part * sorted.len() as f64).ceil() as usize;
        1000.0 * sorted.get(at.saturating_sub(1)).unwrap_or(&0.0)
    }

    fn f1(&self) -> f64 {
        let [precision, recall, ..] = self.figures();
        2.0 * precision * recall / (precision + recall).max(1e-9)
    }

    fn print(&self, name: &str) {
        let [precision, recall, exact, firm] = self.figures();
        let f1 = self.f1();
        println!(
            "{name:<28} P {precision:.3}  R {recall:.3}  F1 {f1:.3}  all {exact:.3}  \
             firm right {firm:.3} ({} of {})  ms: median {:.0}, 95 % {:.0}, worst {:.0}",
            self.firm_right,
            self.firm,
            self.milliseconds(0.5),
            self.milliseconds(0.95),
            self.milliseconds(1.0),
        );
        let bins: Vec<String> = ["<.5", "-.65", "-.8", "-.9", "-.97", "-1"]
            .iter()
            .zip(&self.bins)
            .map(|(name, [right, all])| format!("{name} {right}/{all}"))
            .collect();
        println!("{:<28} right by posterior: {}", "", bins.join("  "));
    }
}

fn run(
    world: &World,
    samples: &[Sample],
    known: &[Known],
    score: &mut Score,
) -> Discovery {
    run_with(world, &world.sounds, samples, known, score)
}

fn run_with(
    world: &World,
    sounds: &Sounds,
    samples: &[Sample],
    known: &[Known],
    score: &mut Score,
) -> Discovery {
    let background = Background {
        known,
        words: &world.background,
    };
    let start = Instant::now();
    let found = discover(sounds, samples, &background, BUDGET);
    let taken = start.elapsed().as_secs_f64();
    score.seconds.push(taken);
    found
}

/// What the arguments ask for: how many clients, the first of them, and which parts (all
/// without any): `plain`, `half`, `shipped`, `aligned`, `probes`, `sheets`;
/// `show` lists what is wrong.
struct Asked {
    clients: u64,
    first: u64,
    words: Vec<String>,
}

impl Asked {
    fn read() -> Self {
        let words: Vec<String> = std::env::args()
            .skip(1)
            .filter(|it| it != "--bench")
            .collect();
        let mut numbers = words.iter().filter_map(|it| it.parse().ok());
        Self {
            clients: numbers.next().unwrap_or(240),
            first: numbers.next().unwrap_or(40_000),
            words,
        }
    }

    fn has(&self, part: &str) -> bool {
        self.words.iter().any(|it| it == part)
    }

    fn wants(&self, part: &str) -> bool {
        let parts = ["plain", "half", "shipped", "aligned", "probes", "sheets"];
        self.has(part) || !parts.iter().any(|it| self.has(it))
    }
}

/// Lists what was wanted and not found, and what was found and not wanted.
fn show(world: &World, client: &Client, seed: u64, found: &[Found]) {
    for (template, rate) in &client.rules {
        let best = found
            .iter()
            .map(|it| (world.agreement(template, &it.effect), it))
            .max_by(|one, other| one.0.total_cmp(&other.0));
        if best.is_none_or(|(agreement, _)| agreement < 0.8) {
            println!(
                "  {seed} missed {} at {rate:.2}; nearest {:.2} {}",
                template.name(),
                best.map_or(0.0, |it| it.0),
                best.map_or("", |it| &it.1.rule),
            );
        }
    }
    for it in found {
        let best = client
            .rules
            .iter()
            .map(|(template, _)| (world.agreement(template, &it.effect), template))
            .max_by(|one, other| one.0.total_cmp(&other.0));
        if best.is_none_or(|(agreement, _)| agreement < 0.8) {
            println!(
                "  {seed} wrong  {} {} of {} (otherwise {}) {:.3} {}; nearest {:.2} {}; rivals {:?}",
                it.rule,
                it.covers,
                it.covers + it.exceptions,
                it.otherwise,
                it.posterior,
                it.confidence.name(),
                best.map_or(0.0, |it| it.0),
                best.map_or(String::new(), |it| it.1.name()),
                it.rivals,
            );
        }
    }
}

/// The client's words, as the aligner sets them against their targets, with the sounds they
/// have: some more than the world's, which stay as they are for every other client.
fn realigned(
    world: &mut World,
    sheet: &[usize],
    samples: &[Sample],
) -> (Sounds, Vec<Sample>) {
    let mut sounds = world.sounds.clone();
    let samples = sheet
        .iter()
        .zip(samples)
        .map(|(word, sample)| {
            let target = Transcription::parse(&world.targets[*word]);
            let said = Transcription::parse(&world.written(sample));
            let item = world.pairing.item(0, &sample.word, &target, &said);
            Sample::of(&item, &mut sounds)
        })
        .collect();
    (sounds, samples)
}

/// How many rows a long sheet has.
const ROWS: usize = 10_000;

/// Writes a client's sheet of varied words, targets to be looked up, and times the whole
/// command on it.
fn long_sheet(world: &World, seed: u64, program: &str) -> f64 {
    let client = world.client(seed);
    let mut text = "word\ttarget\tproduction\n".to_owned();
    for word in 0..ROWS {
        let said = world.say(&client, word % world.words.len());
        let line = format!("{}\t\t/{}/\n", said.word, world.written(&said));
        text.push_str(&line);
    }
    let path = format!("{}/long_sheet_{seed}.tsv", env!("CARGO_TARGET_TMPDIR"));
    std::fs::write(&path, text).unwrap();
    let start = Instant::now();
    let output = Command::new(program)
        .args(["analyze", &path])
        .output()
        .unwrap();
    assert!(output.status.success());
    start.elapsed().as_secs_f64()
}

/// The whole command on long sheets of some clients, where it is built.
fn long_sheets(asked: &Asked) {
    let Some(program) = option_env!("CARGO_BIN_EXE_apical") else {
        return;
    };
    let world = World::of_words(ROWS * 3 / 2);
    let mut taken: Vec<f64> = (0..10)
        .map(|it| long_sheet(&world, asked.first + it, program))
        .collect();
    taken.sort_by(f64::total_cmp);
    println!(
        "analyze, {ROWS} rows of each of {} clients: median {:.0} ms, worst {:.0} ms",
        taken.len(),
        1000.0 * taken[taken.len() / 2],
        1000.0 * taken[taken.len() - 1],
    );
}

fn main() {
    let asked = Asked::read();
    if asked.wants("sheets") {
        long_sheets(&asked);
    }
    let mut world = World::new();
    println!(
        "{} words, {} to compare on",
        world.words.len(),
        world.reference.len()
    );
    let mut plain = Score::default();
    let mut half = Score::default();
    let mut with_shipped = Score::default();
    let shipped: Vec<Known> = catalogue(&pattern::shipped(), &world.sounds)
        .into_iter()
        .map(|it| it.1)
        .collect();
    let mut aligned = Score::default();
    let (mut sixty, mut probed, mut drawn_score) =
        (Score::default(), Score::default(), Score::default());
    for seed in asked.first..asked.first + asked.clients {
        let client = world.client(seed);
        let sheet = world.coverage_sheet(seed, 100);
        let samples: Vec<Sample> =
            sheet.iter().map(|it| world.say(&client, *it)).collect();
        let add = |score: &mut Score, found: &[Found]| {
            score.add(&world, &client, found);
            if asked.has("show") {
                show(&world, &client, seed, found);
            }
        };
        if asked.wants("plain") {
            let found = run(&world, &samples, &[], &mut plain).rules;
            add(&mut plain, &found);
        }
        let mut random = Random(seed ^ 0x7777);
        if asked.wants("half") {
            let known: Vec<Known> = world
                .templates
                .iter()
                .filter(|_| random.below(2) == 0)
                .map(World::known)
                .collect();
            let found = run(&world, &samples, &known, &mut half).rules;
            add(&mut half, &found);
        }
        if asked.wants("shipped") {
            let found = run(&world, &samples, &shipped, &mut with_shipped).rules;
            add(&mut with_shipped, &found);
        }
        if asked.wants("aligned") {
            let (sounds, samples) = realigned(&mut world, &sheet, &samples);
            let found = run_with(&world, &sounds, &samples, &[], &mut aligned).rules;
            aligned.add(&world, &client, &found);
        }
        // Eight more words after sixty, chosen or drawn.
        if asked.wants("probes") && (seed - asked.first).is_multiple_of(2) {
            let short = &samples[..60];
            let before = run(&world, short, &[], &mut sixty);
            sixty.add(&world, &client, &before.rules);
            let pool: Vec<usize> =
                (0..1_500).filter(|it| !sheet[..60].contains(it)).collect();
            let offered: Vec<Sample> =
                pool.iter().map(|it| world.words[*it].clone()).collect();
            let chosen: Vec<usize> = probes(&before, &world.sounds, &offered, 8)
                .iter()
                .map(|it| pool[it.word])
                .collect();
            let drawn: Vec<usize> =
                (0..8).map(|_| pool[random.below(pool.len())]).collect();
            for (words, score) in [(chosen, &mut probed), (drawn, &mut drawn_score)] {
                let mut more = short.to_vec();
                more.extend(words.iter().map(|it| world.say(&client, *it)));
                let found = run(&world, &more, &[], score).rules;
                score.add(&world, &client, &found);
            }
        }
    }
    for (part, score, name) in [
        ("plain", &plain, "no known patterns"),
        ("half", &half, "half of the patterns known"),
        ("shipped", &with_shipped, "the shipped patterns known"),
        ("aligned", &aligned, "through the aligner"),
        ("probes", &sixty, "sixty words"),
        ("probes", &probed, "and eight words suggested"),
        ("probes", &drawn_score, "and eight words drawn"),
    ] {
        if asked.wants(part) {
            score.print(name);
        }
    }
    let known = [0.95, 0.88, 0.70, 0.97];
    let floors: [(&Score, [f64; 4]); 3] = [
        (&plain, [0.92, 0.84, 0.60, 0.97]),
        (&half, known),
        (&with_shipped, known),
    ];
    let mut failed = probed.f1() < drawn_score.f1() + 0.03;
    for (score, floors) in floors {
        let under = score
            .figures()
            .iter()
            .zip(floors)
            .any(|(it, floor)| *it < floor);
        failed |= under;
    }
    if failed && asked.clients >= 240 && asked.words.is_empty() {
        println!("under the floor");
        std::process::exit(1);
    }
}
