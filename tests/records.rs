//! Invented records that several tests keep: a client, and what was recorded of it.

use std::path::PathBuf;

use apical::app::caseload::Caseload;
use apical::record::{Client, Item};

use crate::terminal::Folder;

/// The client K-07.
pub(crate) fn client() -> Client {
    Client {
        code: "K-07".to_owned(),
        accent: "en-US".to_owned(),
        opened: "2026-03-02T09:00:00Z".to_owned(),
        ..Client::default()
    }
}

/// A caseload in a folder, with this one client, and where it lies.
pub(crate) fn caseload_of(folder: &Folder, client: &Client) -> (Caseload, PathBuf) {
    let path = folder.0.join("caseload.sqlite");
    let mut caseload = Caseload::open(&path, None).unwrap();
    caseload.keep_client(client).unwrap();
    (caseload, path)
}

/// As many items, no two that follow each other alike.
pub(crate) fn items(count: u32) -> Vec<Item> {
    let item = |position| Item {
        position,
        word: "think".to_owned(),
        target: "/θɪŋk/".to_owned(),
        production: Some(format!("[tɪŋk{}]", "k".repeat(position as usize % 9))),
        attempt: 1,
        pass: 1,
        at: "2026-03-02T09:01:00Z".to_owned(),
        ..Item::default()
    };
    (1..=count).map(item).collect()
}
