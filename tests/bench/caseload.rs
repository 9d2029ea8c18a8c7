//! What a caseload costs once it has grown: opening it, adding an item, a client's progress,
//! looking it through, forgetting a client.
//!
//! Every figure is a ratio to the same on a caseload that holds next to nothing, in the same
//! run. `APICAL_CLIENTS=2000` builds the size that is aimed at (6 million items, some
//! gigabytes); unless set, a tenth of it.

#![allow(
    missing_docs,
    clippy::cast_precision_loss,
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a bench may panic and print"
)]

use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use apical::app::caseload::Caseload;
use apical::lexicon::{Kind, Lexicon};
use apical::record::{Client, Item, Outcome};
use rusqlite::{Connection, params};

const SESSIONS: u32 = 50;
const ITEMS: u32 = 60;
/// Lists that come again and again.
const LISTS: u32 = 10;
/// Runs of each measure.
const RUNS: u32 = 40;
/// What each may take.
const AIM: f64 = 50.0;

fn main() {
    let said = std::env::var("APICAL_CLIENTS").ok();
    let clients: u32 = said.and_then(|it| it.parse().ok()).unwrap_or(200);
    let folder = tempfile::tempdir().expect("a folder");
    let words = words();
    let small = folder.path().join("small.sqlite");
    build(&small, 1, 1, &words);
    let alone = folder.path().join("alone.sqlite");
    build(&alone, 1, SESSIONS, &words);
    let large = folder.path().join("large.sqlite");
    let began = Instant::now();
    build(&large, clients, SESSIONS, &words);
    println!(
        "caseload: {clients} clients × {SESSIONS} sessions × {ITEMS} items = {} items, {:.0} MB, \
         built in {:.0} s; beside it one client with one session, and one with all of \
         theirs",
        u64::from(clients) * u64::from(SESSIONS) * u64::from(ITEMS),
        std::fs::metadata(&large).expect("it is there").len() as f64 / 1e6,
        began.elapsed().as_secs_f64()
    );
    // What was built is on the disk: what comes does not wait for it.
    for path in [&small, &alone, &large] {
        let file = std::fs::File::open(path).expect("it is there");
        file.sync_all().expect("it is synced");
    }
    let code = |run: u32, clients: u32| code(run.wrapping_mul(7_919) % clients);
    let measure = |name: &str, work: &dyn Fn(&Path, &str, u32)| {
        let timed = |path: &Path, clients: u32| {
            let mut times: Vec<Duration> = (0..RUNS)
                .map(|run| {
                    let code = code(run, clients);
                    let began = Instant::now();
                    work(path, &code, run);
                    began.elapsed()
                })
                .collect();
            times.sort();
            let at = |part: usize| {
                times[(times.len() * part / 100).min(times.len() - 1)].as_secs_f64() * 1e3
            };
            [at(50), at(95)]
        };
        let base = timed(&small, 1);
        let single = timed(&alone, 1);
        let whole = timed(&large, clients);
        println!(
            "{name}: median {:.2} ms, p95 {:.2} ms (aim: at most {AIM} ms) = {:.2} × next to \
             nothing ({:.2} ms), {:.2} × the client alone ({:.2} ms)",
            whole[0],
            whole[1],
            whole[0] / base[0],
            base[0],
            whole[0] / single[0],
            single[0],
        );
    };
    measure("opening", &|path, code, _| {
        let caseload = Caseload::open(path, None).expect("it opens");
        assert_eq!(caseload.client(code).expect("the client").code, code);
    });
    let item = |run: u32| Item {
        position: ITEMS + 1 + run,
        word: "think".to_owned(),
        target: "θɪŋk".to_owned(),
        production: Some("tɪŋk".to_owned()),
        outcome: Outcome::Said,
        attempt: 1,
        pass: 1,
        at: "2026-03-02T09:01:00Z".to_owned(),
        ..Item::default()
    };
    let open = |path: &Path| Caseload::open(path, None).expect("it opens");
    let plain = folder.path().join("plain");
    for (name, path) in [
        ("adding an item, next to nothing", &small),
        ("adding an item, the client alone", &alone),
        ("adding an item, on disk before it returns", &large),
    ] {
        let mut caseload = open(path);
        let mut file = std::fs::File::create(&plain).expect("a plain file");
        let clients = if *path == large { clients } else { 1 };
        // In turn with the same text put at the end of a plain file and synced: what the
        // disk takes at that moment, whoever else is busy with it.
        let (mut times, mut syncs) = (Vec::new(), Vec::new());
        for run in 0..RUNS {
            let sessions = caseload.sessions(&code(run, clients)).expect("them");
            let session = sessions.last().expect("a session").id;
            let began = Instant::now();
            caseload
                .record(session, &item(run))
                .expect("it is recorded");
            times.push(began.elapsed());
            let began = Instant::now();
            file.write_all("think\tθɪŋk\ttɪŋk\n".as_bytes())
                .expect("it is written");
            file.sync_all().expect("it is synced");
            syncs.push(began.elapsed());
        }
        times.sort();
        syncs.sort();
        let at = |times: &[Duration], part: usize| {
            times[times.len() * part / 100].as_secs_f64() * 1e3
        };
        println!(
            "{name}: median {:.2} ms, p95 {:.2} ms (aim: at most {AIM} ms) = {:.2} × a line \
             put at the end of a plain file and synced ({:.2} ms, p95 {:.2} ms)",
            at(&times, 50),
            at(&times, 95),
            at(&times, 50) / at(&syncs, 50),
            at(&syncs, 50),
            at(&syncs, 95),
        );
    }
    let run = |path: &Path, arguments: &[&str]| {
        let status = Command::new(env!("CARGO_BIN_EXE_apical"))
            .args(arguments)
            .env("APICAL_CASELOAD", path)
            .stdout(Stdio::null())
            .status()
            .expect("the program runs");
        assert!(status.success());
    };
    measure("the program, a client's page", &|path, code, _| {
        run(path, &["client", code]);
    });
    measure("the program, `progress`", &|path, code, _| {
        run(path, &["progress", code]);
    });
    measure("the program, `clients`", &|path, _, _| {
        run(path, &["clients"]);
    });
    // Once each: these read, or write, the whole file.
    for (arguments, does) in [
        (["verify"].as_slice(), "reads"),
        (&["forget", "K-0000", "--for-good"], "writes"),
    ] {
        let timed = |path: &Path| {
            let size = std::fs::metadata(path).expect("it is there").len();
            let began = Instant::now();
            run(path, arguments);
            (began.elapsed().as_secs_f64() * 1e3, size)
        };
        let copy = folder.path().join("copy");
        let [(alone, _), (whole, size)] = [&alone, &large].map(|path| timed(path));
        let began = Instant::now();
        std::fs::copy(&large, &copy).expect("a copy");
        let file = std::fs::File::open(&copy).expect("the copy");
        file.sync_all().expect("it is synced");
        let copied = began.elapsed().as_secs_f64() * 1e3;
        println!(
            "the program, `{}`: {whole:.0} ms ({does} all {:.0} MB) = {:.1} × the client alone \
             ({alone:.1} ms), {:.2} × copying the file ({copied:.0} ms)",
            arguments[0],
            size as f64 / 1e6,
            whole / alone,
            whole / copied,
        );
    }
}

fn code(number: u32) -> String {
    format!("K-{number:04}")
}

/// Common words with their targets and what might be said for each.
fn words() -> Vec<(String, String, Vec<String>)> {
    let lexicon = Lexicon::of("en-US").expect("the word list");
    let entries = lexicon.commonest_first().into_iter();
    entries
        .filter(|entry| entry.kind() == Kind::Word && entry.word().chars().count() > 2)
        .take((LISTS * ITEMS) as usize)
        .map(|entry| {
            let target = entry.targets().next().expect("a target");
            let said = [
                target.clone(),
                target.replace('θ', "t").replace('ð', "d").replace('ɪ', "i"),
                target.replace('z', "s").replace('v', "b").replace('æ', "ɛ"),
            ];
            (entry.word().to_owned(), target, said.to_vec())
        })
        .collect()
}

/// Builds a caseload by its own form, all clients in one transaction.
fn build(
    path: &Path,
    clients: u32,
    sessions: u32,
    words: &[(String, String, Vec<String>)],
) {
    let mut caseload = Caseload::open(path, None).expect("a new caseload");
    for number in 0..clients {
        let client = Client {
            code: code(number),
            first_language: "Spanish".to_owned(),
            accent: "en-US".to_owned(),
            opened: "2024-01-01T09:00:00Z".to_owned(),
            ..Client::default()
        };
        // One at a time is slow; the rest comes in one transaction.
        if number == 0 {
            caseload.keep_client(&client).expect("a client");
        }
    }
    drop(caseload);
    let mut raw = Connection::open(path).expect("the file");
    raw.pragma_update(None, "journal_mode", "off").unwrap();
    raw.pragma_update(None, "synchronous", "off").unwrap();
    raw.pragma_update(None, "cache_size", -200_000).unwrap();
    let all = raw.transaction().unwrap();
    {
        let mut client = all
            .prepare(
                "INSERT INTO client (code, first_language, accent, opened)
                VALUES (?1, 'Spanish', 'en-US', '2024-01-01T09:00:00Z')
                ON CONFLICT (code) DO UPDATE SET note = '' RETURNING id",
            )
            .unwrap();
        let mut session = all
            .prepare(
                "INSERT INTO session (client, kind, list, began) VALUES (?1, ?2, ?3, ?4)",
            )
            .unwrap();
        let mut planned = all
            .prepare(
                "INSERT INTO planned (session, position, word, target)
                VALUES (?1, ?2, ?3, ?4)",
            )
            .unwrap();
        let mut item = all
            .prepare(
                "INSERT INTO item (session, position, attempt, pass, word, target,
                production, outcome, at) VALUES (?1, ?2, 1, 1, ?3, ?4, ?5, 'said', ?6)",
            )
            .unwrap();
        let mut chance = 1_u64;
        for number in 0..clients {
            let owner: i64 = client.query_row([code(number)], |row| row.get(0)).unwrap();
            for which in 0..sessions {
                let began =
                    format!("2024-{:02}-{:02}T09:00:00Z", which / 28 + 1, which % 28 + 1);
                let list = which % LISTS;
                let kind = if list + 1 == LISTS { "probe" } else { "list" };
                session
                    .execute(params![owner, kind, format!("list {list}"), began])
                    .unwrap();
                let id = all.last_insert_rowid();
                for position in 0..ITEMS {
                    let (word, target, said) = &words[(list * ITEMS + position) as usize];
                    planned
                        .execute(params![id, position + 1, word, target])
                        .unwrap();
                    chance = chance
                        .wrapping_mul(6_364_136_223_846_793_005)
                        .wrapping_add(1_442_695_040_888_963_407);
                    let said = &said[(chance >> 33) as usize % said.len()];
                    item.execute(params![id, position + 1, word, target, said, began])
                        .unwrap();
                }
            }
        }
    }
    all.commit().unwrap();
}
