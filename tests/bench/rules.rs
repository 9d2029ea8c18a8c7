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

use std::time::Instant;

use apical::finding::rule::{
    BUDGET, Confidence, Discovery, Found, Known, Sample, discover, probes,
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
    seconds: f64,
    worst: f64,
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

    fn f1(&self) -> f64 {
        let [precision, recall, ..] = self.figures();
        2.0 * precision * recall / (precision + recall).max(1e-9)
    }

    #[allow(clippy::cast_precision_loss, reason = "small counts")]
    fn print(&self, name: &str) {
        let [precision, recall, exact, firm] = self.figures();
        let f1 = self.f1();
        println!(
            "{name:<28} P {precision:.3}  R {recall:.3}  F1 {f1:.3}  all {exact:.3}  \
             firm right {firm:.3} of {}  mean {:.0} ms  worst {:.0} ms",
            self.firm,
            1000.0 * self.seconds / self.clients.max(1) as f64,
            1000.0 * self.worst,
        );
    }
}

fn run(
    world: &World,
    samples: &[Sample],
    known: &[Known],
    score: &mut Score,
) -> Discovery {
    let start = Instant::now();
    let found = discover(&world.sounds, samples, known, BUDGET);
    let taken = start.elapsed().as_secs_f64();
    score.seconds += taken;
    score.worst = score.worst.max(taken);
    found
}

fn main() {
    let number = |at: usize| {
        std::env::args()
            .nth(at)
            .and_then(|it| it.parse::<u64>().ok())
    };
    let clients = number(0).unwrap_or(240);
    let first = number(1).unwrap_or(40_000);
    let show = std::env::args().any(|it| it == "show");
    let mut world = World::new();
    println!(
        "{} words, {} to compare on",
        world.words.len(),
        world.reference.len()
    );
    let mut plain = Score::default();
    let mut known = Score::default();
    let mut aligned = Score::default();
    let (mut sixty, mut probed, mut drawn_score) =
        (Score::default(), Score::default(), Score::default());
    for seed in first..first + clients {
        let client = world.client(seed);
        let sheet = world.coverage_sheet(seed, 100);
        let samples: Vec<Sample> =
            sheet.iter().map(|it| world.say(&client, *it)).collect();
        let found = run(&world, &samples, &[], &mut plain).rules;
        plain.add(&world, &client, &found);
        if show {
            for (template, rate) in &client.rules {
                let best = found.iter().map(|it| world.agreement(template, &it.effect));
                println!(
                    "  {seed} wanted {template:?} {rate:.2}: {:.2}",
                    best.fold(0.0, f64::max)
                );
            }
            for it in &found {
                println!(
                    "  {seed} found {} {}/{} {:.3}",
                    it.rule, it.covers, it.exceptions, it.posterior
                );
            }
        }
        // Half of the templates are known patterns.
        let mut random = Random(seed ^ 0x7777);
        let catalogue: Vec<Known> = world
            .templates
            .iter()
            .filter(|_| random.below(2) == 0)
            .map(World::known)
            .collect();
        let found = run(&world, &samples, &catalogue, &mut known).rules;
        known.add(&world, &client, &found);
        // From the written production, set against its target by the aligner.
        let realigned: Vec<Sample> = sheet
            .iter()
            .zip(&samples)
            .map(|(word, sample)| {
                let target = Transcription::parse(&world.targets[*word]);
                let said = Transcription::parse(&world.written(sample));
                let item = world.pairing.item(0, &sample.word, &target, &said);
                Sample::of(&item, &mut world.sounds)
            })
            .collect();
        let found = run(&world, &realigned, &[], &mut aligned).rules;
        aligned.add(&world, &client, &found);
        // Eight more words after sixty, chosen or drawn.
        if (seed - first) % 2 == 0 {
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
    plain.print("no known patterns");
    known.print("half of the patterns known");
    aligned.print("through the aligner");
    sixty.print("sixty words");
    probed.print("and eight words suggested");
    drawn_score.print("and eight words drawn");
    let floors: [(&Score, [f64; 4]); 2] = [
        (&plain, [0.92, 0.84, 0.60, 0.97]),
        (&known, [0.95, 0.88, 0.70, 0.97]),
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
    if failed && clients >= 240 {
        println!("under the floor");
        std::process::exit(1);
    }
}
