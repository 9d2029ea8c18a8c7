//! A full disk, a file that may not be written, damage, other programs: each is said with
//! what to do about it, and what was recorded before is still there.

use std::fs::{self, File, Permissions};
use std::os::unix::fs::{FileExt as _, PermissionsExt as _, chown, symlink};
use std::os::unix::process::CommandExt as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use apical::app::caseload::Caseload;
use apical::record::{Session, SessionKind};
use rusqlite::Connection;

use crate::records::{client, items};
use crate::terminal::Folder;

fn session(list: &str) -> Session {
    Session {
        id: 0,
        kind: SessionKind::List,
        list: list.to_owned(),
        began: "2026-03-02T09:00:00Z".to_owned(),
    }
}

/// A caseload with one session of 600 items, in a folder of its own.
fn filled(folder: &Folder) -> PathBuf {
    let path = folder.0.join("caseload.sqlite");
    let mut caseload = Caseload::open(&path, None).unwrap();
    caseload.keep_client(&client()).unwrap();
    caseload
        .keep_session("K-07", &session("first"), &items(600))
        .unwrap();
    path
}

/// That the session is there, whole, and nothing else.
fn assert_as_it_was(path: &Path) {
    let caseload = Caseload::open(path, None).unwrap();
    let sessions = caseload.sessions("K-07").unwrap();
    let names: Vec<&str> = sessions.iter().map(|it| it.list.as_str()).collect();
    assert_eq!(names, ["first"]);
    assert_eq!(caseload.items(sessions[0].id).unwrap(), items(600));
    assert_eq!(caseload.verify().unwrap(), [""; 0]);
}

fn apical(path: &Path, arguments: &[&str]) -> Output {
    command(path, arguments).output().expect("the program runs")
}

fn command(path: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_apical"));
    command
        .args(arguments)
        .env("APICAL_CASELOAD", path)
        .env("NO_COLOR", "1");
    command
}

/// That a run failed, and what it said names the file, the reason and the remedy.
#[track_caller]
fn assert_says(output: &Output, words: &[&str]) {
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{errors}");
    for word in words.iter().chain(&["apical: ", "remedy: "]) {
        assert!(errors.contains(word), "{word} in {errors}");
    }
}

fn big_sheet(folder: &Folder) -> String {
    let row = format!("think\t/θɪŋk/\ttɪŋk\t{}\n", "a long note ".repeat(60));
    let sheet = "word\ttarget\tproduction\tnote\n".to_owned() + &row.repeat(400);
    folder.file("big.tsv", sheet.as_bytes())
}

#[test]
fn a_file_that_cannot_grow() {
    let folder = Folder::new();
    let path = filled(&folder);
    let sheet = big_sheet(&folder);
    // A limit on how large a file may become stands for a full disk: it needs no rights. In
    // blocks of 512 bytes; what goes over it is refused, where else a signal would end us.
    let blocks = fs::metadata(&path).unwrap().len() / 512 + 16;
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
    let output = Command::new("sh")
        .args(["-c", &script, env!("CARGO_BIN_EXE_apical")])
        .args(["keep", &sheet, "--client", "K-07"])
        .env("APICAL_CASELOAD", &path)
        .output()
        .expect("a shell");
    assert_says(&output, &["caseload.sqlite", "make room on the disk"]);
    assert_as_it_was(&path);
    assert!(
        apical(&path, &["keep", &sheet, "--client", "K-07"])
            .status
            .success()
    );
}

#[test]
fn a_session_on_a_disk_that_becomes_full() {
    let folder = Folder::new();
    let path = filled(&folder);
    let words: Vec<String> = (1..=600).map(|number| format!("w{number}\n")).collect();
    folder.file("words.txt", words.concat().as_bytes());
    let run = |script: &str, blocks: Option<u64>| {
        let script = folder.file("script", script.as_bytes());
        let limit = blocks.map_or(String::new(), |it| format!("ulimit -f {it};"));
        let shell = format!("trap '' XFSZ; {limit} exec \"$0\" < \"$1\"");
        Command::new("sh")
            .args(["-c", &shell, env!("CARGO_BIN_EXE_apical"), &script])
            .current_dir(&folder.0)
            .env("APICAL_CASELOAD", &path)
            .env("NO_COLOR", "1")
            .output()
            .expect("a shell")
    };
    let begun = run("with K-07\nlist words.txt\n:close\n", None);
    assert!(begun.status.success(), "{begun:?}");
    let said = |number: usize| format!("t{}", "a".repeat(number % 9 + 1));
    let lines: String = (1..=600).map(|number| said(number) + "\n").collect();
    let room = fs::metadata(&path).unwrap().len() / 512 + 48;
    let full = run(&format!("with K-07\nresume\n{lines}"), Some(room));
    assert_says(&full, &["caseload.sqlite", "make room on the disk"]);
    let page = String::from_utf8_lossy(&full.stdout).into_owned();
    let accepted = (1..=600)
        .take_while(|number| {
            let row = format!("w{number}  {}", said(*number));
            page.lines().any(|line| line == row)
        })
        .count();
    assert!(
        (10..600).contains(&accepted),
        "{accepted} until the disk is full"
    );
    let caseload = Caseload::open(&path, None).unwrap();
    let session = caseload.sessions("K-07").unwrap()[1].id;
    let there: Vec<String> = caseload
        .items(session)
        .unwrap()
        .into_iter()
        .filter_map(|item| item.production)
        .collect();
    let expected: Vec<String> = (1..=accepted).map(said).collect();
    assert_eq!(there, expected, "every accepted item, once");
    assert_eq!(caseload.verify().unwrap(), [""; 0]);
    drop(caseload);
    // With room again it goes on where it was.
    let more = run("with K-07\nresume\nta\n", None);
    assert!(more.status.success(), "{more:?}");
    let caseload = Caseload::open(&path, None).unwrap();
    assert_eq!(caseload.items(session).unwrap().len(), accepted + 1);
}

/// Runs the program as somebody whom permissions hold back: the superuser they do not.
fn as_somebody(folder: &Folder, path: &Path, arguments: &[&str]) -> Output {
    const NOBODY: u32 = 65_534;
    let mut run = command(path, arguments);
    let owner = |path: &Path| chown(path, Some(NOBODY), Some(NOBODY));
    // Only the superuser can do this; everybody else is held back as it is.
    if owner(&folder.0).is_ok() {
        for entry in fs::read_dir(&folder.0).unwrap() {
            owner(&entry.unwrap().path()).unwrap();
        }
        run.uid(NOBODY).gid(NOBODY);
    }
    run.output().expect("the program runs")
}

#[test]
fn a_file_or_a_folder_that_may_not_be_written() {
    let folder = Folder::new();
    let path = filled(&folder);
    let sheet = big_sheet(&folder);
    let mode = |path: &Path, mode| {
        fs::set_permissions(path, Permissions::from_mode(mode)).unwrap();
    };
    let keep = ["keep", &sheet, "--client", "K-07"];
    mode(&path, 0o400);
    let refused = as_somebody(&folder, &path, &keep);
    assert_says(&refused, &["caseload.sqlite", "readonly", "permissions"]);
    // A session on the desk that could not be recorded does not begin.
    let words = folder.file("words.txt", b"think\n");
    let began = ["--client", "K-07", "--words", &words];
    let refused = as_somebody(&folder, &path, &began);
    assert_says(&refused, &["caseload.sqlite", "readonly", "permissions"]);
    let read = as_somebody(&folder, &path, &["clients"]);
    assert!(read.status.success(), "it can still be read: {read:?}");
    mode(&path, 0o600);
    mode(&folder.0, 0o500);
    let refused = as_somebody(&folder, &path, &keep);
    mode(&folder.0, 0o700);
    assert_says(&refused, &["caseload.sqlite", "remedy: "]);
    mode(&path, 0o000);
    let refused = as_somebody(&folder, &path, &["clients"]);
    assert_says(&refused, &["caseload.sqlite", "may be read"]);
    mode(&path, 0o600);
    assert_as_it_was(&path);
}

#[test]
fn damage_is_found_and_the_copy_named() {
    let folder = Folder::new();
    let path = filled(&folder);
    let whole = fs::read(&path).unwrap();
    let noise: Vec<u8> = (0..4096_u32).map(|it| (it * 7 % 251) as u8).collect();
    // Every page in turn but the first is torn: the second half is of another time.
    let mut found = 0;
    for page in 1..whole.len() / 4096 {
        let file = File::options().write(true).open(&path).unwrap();
        file.write_all_at(&noise[..2048], (page * 4096 + 2048) as u64)
            .unwrap();
        drop(file);
        let output = apical(&path, &["verify"]);
        assert_ne!(output.status.code(), Some(101), "no panic");
        if output.status.success() {
            // What was torn is room that no row uses.
            assert_as_it_was(&path);
        } else {
            found += 1;
        }
        fs::write(&path, &whole).unwrap();
    }
    assert!(found > 10, "{found}: most pages hold rows");
    let copy = folder.file("caseload.sqlite.form-1", &whole);
    fs::write(&path, &whole[..6000]).unwrap();
    assert_says(&apical(&path, &["clients"]), &["damaged", &copy]);
    // Nothing left of it: that must not become a new, empty caseload.
    fs::write(&path, b"").unwrap();
    assert_says(&apical(&path, &["clients"]), &["empty", &copy]);
    assert_eq!(fs::metadata(&path).unwrap().len(), 0);
    fs::rename(&copy, &path).unwrap();
    fs::set_permissions(&path, Permissions::from_mode(0o600)).unwrap();
    assert_as_it_was(&path);
}

#[test]
fn what_is_no_file_is_named_and_a_link_is_followed() {
    let folder = Folder::new();
    assert_says(&apical(&folder.0, &["clients"]), &["folder", "--caseload"]);
    let pipe = folder.0.join("pipe");
    assert!(
        Command::new("mkfifo")
            .arg(&pipe)
            .status()
            .unwrap()
            .success()
    );
    assert_says(&apical(&pipe, &["clients"]), &["no file", "--caseload"]);
    let path = filled(&folder);
    let link = folder.0.join("link");
    symlink(&path, &link).unwrap();
    assert_as_it_was(&link);
    let newer = folder.0.join("newer.sqlite");
    fs::copy(&path, &newer).unwrap();
    let connection = Connection::open(&newer).unwrap();
    connection.pragma_update(None, "user_version", 99).unwrap();
    drop(connection);
    let before = fs::read(&newer).unwrap();
    assert_says(&apical(&newer, &["clients"]), &["form 99", "newer program"]);
    assert_eq!(fs::read(&newer).unwrap(), before);
    let other = folder.0.join("other.sqlite");
    let connection = Connection::open(&other).unwrap();
    connection
        .execute_batch("CREATE TABLE recipe (name TEXT)")
        .unwrap();
    drop(connection);
    assert_says(&apical(&other, &["clients"]), &["no caseload"]);
}

#[test]
fn programs_at_the_same_time_all_keep_theirs() {
    let folder = Folder::new();
    let path = folder.0.join("caseload.sqlite");
    let sheet = folder.file(
        "a.tsv",
        "word\ttarget\tproduction\nthink\t/θɪŋk/\ttɪŋk\n".as_bytes(),
    );
    // All of them make the file.
    let opened: Vec<_> = (0..4)
        .map(|number| {
            command(&path, &["client", &format!("K-{number}")])
                .stdout(Stdio::null())
                .spawn()
                .unwrap()
        })
        .collect();
    for mut child in opened {
        assert!(child.wait().unwrap().success());
    }
    let keep = |name: &str| {
        let run = ["keep", &sheet, "--client", "K-1", "--session", name];
        command(&path, &run).stdout(Stdio::null()).spawn().unwrap()
    };
    let kept: Vec<_> = (0..12)
        .map(|number| keep(&format!("list-{number}")))
        .collect();
    for mut child in kept {
        assert!(child.wait().unwrap().success());
    }
    let caseload = Caseload::open(&path, None).unwrap();
    let mut lists: Vec<String> = caseload
        .sessions("K-1")
        .unwrap()
        .into_iter()
        .map(|it| it.list)
        .collect();
    lists.sort();
    let mut expected: Vec<String> =
        (0..12).map(|number| format!("list-{number}")).collect();
    expected.sort();
    assert_eq!(lists, expected);
    // The same sheet again is not kept twice.
    assert_says(
        &apical(
            &path,
            &["keep", &sheet, "--client", "K-1", "--session", "list-3"],
        ),
        &["already", "--session"],
    );
    assert_eq!(caseload.sessions("K-1").unwrap().len(), 12);
    assert_eq!(caseload.verify().unwrap(), [""; 0]);
}

/// The present form put back to an earlier one: later tables were added, none was changed.
fn put_back(connection: &Connection, form: i32) {
    let known = ["client", "session", "item", "draft", "sqlite_schema"];
    let tables: Vec<String> = connection
        .prepare("SELECT name FROM sqlite_schema WHERE type = 'table'")
        .unwrap()
        .query_map([], |row| row.get(0))
        .unwrap()
        .collect::<Result<_, _>>()
        .unwrap();
    for table in tables {
        let stays = known.contains(&table.as_str()) || (form > 1 && table == "trial");
        if !stays {
            connection
                .execute_batch(&format!("DROP TABLE {table}"))
                .unwrap();
        }
    }
    if form < 3 {
        let sql =
            "ALTER TABLE draft DROP COLUMN attempt; ALTER TABLE draft DROP COLUMN pass;";
        connection.execute_batch(sql).unwrap();
    }
    connection
        .pragma_update(None, "user_version", form)
        .unwrap();
}

#[test]
fn older_forms_become_the_present_one_with_a_copy_before() {
    let newest: i32 = {
        let folder = Folder::new();
        let connection = Connection::open(filled(&folder)).unwrap();
        connection
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .unwrap()
    };
    for form in 1..newest {
        let folder = Folder::new();
        let path = filled(&folder);
        put_back(&Connection::open(&path).unwrap(), form);
        // A copy of an earlier change that came to nothing is not taken for this one's.
        let name = format!("caseload.sqlite.form-{form}");
        let copy = PathBuf::from(folder.file(&name, b"half of a copy"));
        assert_as_it_was(&path);
        let connection = Connection::open(&copy).unwrap();
        let count: i64 = connection
            .query_row("SELECT count(*) FROM item", [], |row| row.get(0))
            .unwrap();
        assert_eq!(count, 600, "form {form}");
        let version: i32 = connection
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .unwrap();
        assert_eq!(version, form);
        // Copies hold clients too: forgetting one takes them along.
        assert!(
            apical(&path, &["forget", "K-07", "--for-good"])
                .status
                .success()
        );
        for entry in fs::read_dir(&folder.0).unwrap() {
            let bytes = fs::read(entry.unwrap().path()).unwrap();
            for word in ["K-07", "think", "θɪŋk"] {
                let held = bytes.windows(word.len()).any(|it| it == word.as_bytes());
                assert!(!held, "{word} after forgetting");
            }
        }
    }
}

#[cfg(feature = "encryption")]
#[test]
fn an_encrypted_caseload_and_its_copies_tell_nothing_without_the_passphrase() {
    const WORDS: &str = "seven quiet otters";
    let folder = Folder::new();
    let path = folder.0.join("caseload.sqlite");
    let mut caseload = Caseload::open(&path, Some(WORDS)).unwrap();
    caseload.keep_client(&client()).unwrap();
    caseload
        .keep_session("K-07", &session("first"), &items(600))
        .unwrap();
    drop(caseload);
    let connection = Connection::open(&path).unwrap();
    connection.pragma_update(None, "key", WORDS).unwrap();
    put_back(&connection, 1);
    drop(connection);
    for passphrase in [None, Some("seven quiet")] {
        let failure = Caseload::open(&path, passphrase).map(|_| ()).unwrap_err();
        let said = format!("{failure:?}");
        assert!(said.contains("APICAL_PASSPHRASE"), "{said}");
    }
    // The change of form leaves a copy behind; it is as secret as the file.
    let caseload = Caseload::open(&path, Some(WORDS)).unwrap();
    let sessions = caseload.sessions("K-07").unwrap();
    assert_eq!(caseload.items(sessions[0].id).unwrap(), items(600));
    drop(caseload);
    let mut files = 0;
    for entry in fs::read_dir(&folder.0).unwrap() {
        let entry = entry.unwrap();
        let bytes = fs::read(entry.path()).unwrap();
        files += usize::from(!bytes.is_empty());
        for word in ["SQLite format", "CREATE TABLE", "K-07", "think", "θɪŋk"] {
            let held = bytes.windows(word.len()).any(|it| it == word.as_bytes());
            assert!(!held, "{word} in {:?}", entry.file_name());
        }
    }
    assert!(files >= 2, "the caseload and its copy");
    let copy = folder.0.join("caseload.sqlite.form-1");
    let connection = Connection::open(&copy).unwrap();
    connection.pragma_update(None, "key", WORDS).unwrap();
    let count: i64 = connection
        .query_row("SELECT count(*) FROM item", [], |row| row.get(0))
        .unwrap();
    assert_eq!(count, 600);
}

#[test]
fn everything_beside_the_caseload_is_its_owners() {
    let folder = Folder::new();
    let path = folder.file("caseload.sqlite", b"");
    fs::set_permissions(&path, Permissions::from_mode(0o644)).unwrap();
    let path = filled(&folder);
    put_back(&Connection::open(&path).unwrap(), 1);
    let mut caseload = Caseload::open(&path, None).unwrap();
    caseload
        .keep_session("K-07", &session("second"), &items(3))
        .unwrap();
    let connection = Connection::open(&path).unwrap();
    // The journal of an open transaction is there while it lasts.
    connection
        .execute_batch("BEGIN IMMEDIATE; UPDATE client SET note = 'x'")
        .unwrap();
    let mut seen = 0;
    for entry in fs::read_dir(&folder.0).unwrap() {
        let entry = entry.unwrap();
        let mode = entry.metadata().unwrap().permissions().mode();
        assert_eq!(mode & 0o077, 0, "{}", entry.path().display());
        seen += 1;
    }
    assert!(seen >= 3, "the caseload, its journal, its copy");
    drop(connection);
    fs::set_permissions(&path, Permissions::from_mode(0o644)).unwrap();
    let output = apical(&path, &["verify"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stdout).contains("others on this machine"));
}

#[test]
fn an_import_that_says_one_item_twice_is_refused_whole() {
    let folder = Folder::new();
    let path = filled(&folder);
    let exported = apical(&path, &["export"]);
    let text = String::from_utf8(exported.stdout).unwrap();
    let doubled = text.replacen("\"position\": 2,", "\"position\": 1,", 1);
    let refused = folder.file("doubled.json", doubled.as_bytes());
    let fresh = folder.0.join("fresh.sqlite");
    let output = apical(&fresh, &["import", &refused]);
    assert_says(&output, &["item 1", "twice", "nothing was taken in"]);
    let cut: String = text.chars().take(text.len() / 2).collect();
    let broken = folder.file("broken.json", cut.as_bytes());
    assert_says(
        &apical(&fresh, &["import", &broken]),
        &["broken.json:", "nothing"],
    );
    assert!(
        Caseload::open(&fresh, None)
            .unwrap()
            .clients()
            .unwrap()
            .is_empty()
    );
    let whole = folder.file("whole.json", text.as_bytes());
    assert!(apical(&fresh, &["import", &whole]).status.success());
    let fresh = Caseload::open(&fresh, None).unwrap();
    let session = fresh.sessions("client-1").unwrap()[0].id;
    assert_eq!(fresh.items(session).unwrap().len(), 600);
}
