//! A scripted editor over standard input and output.
//!
//! Source of the shapes and numbers: Language Server Protocol 3.17 (from memory); of the
//! phonetics: the chart of the International Phonetic Alphabet, revised to 2020.

use std::io::{BufReader, Read, Write};
use std::process::{Command, Stdio};

use lsp_server::Message;
use serde_json::{Value, json};

/// What the editor says, one message after another; what it hears, and the exit status.
fn conversation(arguments: &[&str], said: &[Value]) -> (Vec<Value>, Option<i32>) {
    let mut bytes = Vec::new();
    for message in said {
        let body = message.to_string();
        write!(bytes, "Content-Length: {}\r\n\r\n{body}", body.len()).expect("memory");
    }
    raw(arguments, bytes)
}

fn raw(arguments: &[&str], bytes: Vec<u8>) -> (Vec<Value>, Option<i32>) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_apical"))
        .arg("serve")
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    let writer = std::thread::spawn(move || {
        // The server may have gone before the end: that is what some tests are about.
        let _ = stdin.write_all(&bytes);
    });
    let mut heard = Vec::new();
    let mut stdout = BufReader::new(child.stdout.take().expect("a pipe"));
    while let Some(message) = Message::read(&mut stdout).expect("whole messages") {
        heard.push(serde_json::to_value(message).expect("JSON"));
    }
    writer.join().expect("written");
    let mut complaint = String::new();
    child
        .stderr
        .take()
        .expect("a pipe")
        .read_to_string(&mut complaint)
        .expect("UTF-8");
    assert!(!complaint.contains("panicked"), "{complaint}");
    (heard, child.wait().expect("it ends").code())
}

/// A request of the protocol.
#[allow(clippy::needless_pass_by_value, reason = "written where it is said")]
fn request(id: u32, method: &str, params: Value) -> Value {
    json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params})
}

#[allow(clippy::needless_pass_by_value, reason = "written where it is said")]
fn notice(method: &str, params: Value) -> Value {
    json!({"jsonrpc": "2.0", "method": method, "params": params})
}

fn hello(encodings: &[&str]) -> Value {
    let capabilities = json!({
        "general": {"positionEncodings": encodings},
        "textDocument": {"hover": {"contentFormat": ["plaintext"]}},
    });
    request(
        1,
        "initialize",
        json!({"processId": null, "capabilities": capabilities}),
    )
}

fn opened(uri: &str, text: &str) -> Value {
    let document = json!({"uri": uri, "languageId": "", "version": 1, "text": text});
    notice("textDocument/didOpen", json!({"textDocument": document}))
}

#[allow(clippy::needless_pass_by_value, reason = "written where it is said")]
fn about(id: u32, what: &str, uri: &str, more: Value) -> Value {
    let mut params = json!({"textDocument": {"uri": uri}});
    for (key, value) in more.as_object().expect("an object") {
        params[key] = value.clone();
    }
    request(id, &format!("textDocument/{what}"), params)
}

fn at(line: u32, character: u32) -> Value {
    json!({"line": line, "character": character})
}

fn goodbye() -> [Value; 2] {
    [
        request(99, "shutdown", Value::Null),
        notice("exit", Value::Null),
    ]
}

/// The answer to a request.
fn answer(heard: &[Value], id: u32) -> &Value {
    let mut answers = heard.iter().filter(|it| it["id"] == id);
    let one = answers
        .next()
        .unwrap_or_else(|| panic!("an answer to {id}: {heard:?}"));
    assert!(answers.next().is_none(), "two answers to {id}");
    one
}

/// The last list of faults of a document.
fn faults<'h>(heard: &'h [Value], uri: &str) -> &'h Vec<Value> {
    heard
        .iter()
        .rfind(|it| {
            it["method"] == "textDocument/publishDiagnostics"
                && it["params"]["uri"] == uri
        })
        .and_then(|it| it["params"]["diagnostics"].as_array())
        .unwrap_or_else(|| panic!("faults of {uri}: {heard:?}"))
}

const LIST: &str = "file:///words.ipa";

#[test]
fn faults_stand_where_the_editor_counts_them() {
    // A letter outside the first plane takes two units of UTF-16 and four bytes; the colon
    // after it stands for the length mark.
    for (encoding, start) in [("utf-16", 4), ("utf-8", 6), ("utf-32", 3)] {
        let mut said = vec![hello(&[encoding]), opened(LIST, "kæt\n𝼊at:\n")];
        said.extend(goodbye());
        let (heard, status) = conversation(&[], &said);
        assert_eq!(status, Some(0), "{encoding}");
        let agreed = &answer(&heard, 1)["result"]["capabilities"]["positionEncoding"];
        assert_eq!(agreed, encoding);
        let found = faults(&heard, LIST);
        let colon = found
            .iter()
            .find(|it| it["code"] == "ascii-stand-in")
            .unwrap_or_else(|| panic!("{found:?}"));
        // 𝼊 is 4 bytes, 2 units of UTF-16, 1 character; a and t are 1 of each.
        assert_eq!(colon["range"]["start"], at(1, start));
        assert_eq!(colon["severity"], 1, "an error");
    }
}

#[test]
fn a_change_is_followed_and_a_closed_document_is_clean() {
    let change = json!({
        "textDocument": {"uri": LIST, "version": 2},
        "contentChanges": [
            {"range": {"start": at(0, 3), "end": at(0, 4)}, "text": "ː"},
            {"range": {"start": at(1, 0), "end": at(1, 0)}, "text": "θ"},
        ],
    });
    let mut said = vec![
        hello(&["utf-16"]),
        opened(LIST, "kæt:\nɪn\n"),
        notice("textDocument/didChange", change),
        about(2, "hover", LIST, json!({"position": at(1, 0)})),
    ];
    said.extend(goodbye());
    let (heard, _) = conversation(&[], &said);
    let lists: Vec<usize> = heard
        .iter()
        .filter_map(|it| it["params"]["diagnostics"].as_array())
        .map(Vec::len)
        .collect();
    assert_eq!(lists, [1, 0]);
    let value = answer(&heard, 2)["result"]["contents"]["value"].to_string();
    assert!(value.contains("voiceless dental fricative"), "{value}");

    let closed = json!({"textDocument": {"uri": LIST}});
    let said = [
        hello(&[]),
        opened(LIST, "kæt:\n"),
        notice("textDocument/didClose", closed),
        about(2, "hover", LIST, json!({"position": at(0, 0)})),
    ];
    let (heard, status) = conversation(&[], &said);
    assert_eq!(status, Some(0), "an editor that goes without a word");
    assert!(faults(&heard, LIST).is_empty());
    assert_eq!(answer(&heard, 2)["error"]["code"], -32602, "it is not open");
}

#[test]
fn a_sound_is_named_with_its_posture() {
    let mut said = vec![
        hello(&["utf-16"]),
        opened(LIST, "/sip/\n"),
        about(2, "hover", LIST, json!({"position": at(0, 2)})),
        about(3, "hover", LIST, json!({"position": at(7, 2)})),
    ];
    said.extend(goodbye());
    let (heard, _) = conversation(&["--accent", "en-US"], &said);
    let result = &answer(&heard, 2)["result"];
    let value = result["contents"]["value"].as_str().expect("words");
    assert!(value.contains("close front unrounded vowel"), "{value}");
    // FLEECE: lips spread; common practice, no source.
    assert!(value.contains("lips spread"), "{value}");
    assert_eq!(result["range"], json!({"start": at(0, 2), "end": at(0, 3)}));
    assert!(
        answer(&heard, 3)["result"].is_null(),
        "nothing stands there"
    );
}

#[test]
fn mends_are_offered_and_escaped_as_the_document_wants() {
    let lexicon = "file:///words.pls";
    let document = "<lexicon version=\"1.0\" alphabet=\"ipa\" xml:lang=\"en\" \
        xmlns=\"http://www.w3.org/2005/01/pronunciation-lexicon\">\n\
        <lexeme><grapheme>a</grapheme><phoneme>kεt</phoneme></lexeme>\n</lexicon>\n";
    let whole = json!({"start": at(0, 0), "end": at(9, 0)});
    let mut said = vec![
        hello(&["utf-16"]),
        opened(lexicon, document),
        about(
            2,
            "codeAction",
            lexicon,
            json!({"range": whole, "context": {"diagnostics": []}}),
        ),
        about(
            3,
            "codeAction",
            lexicon,
            json!({"range": whole, "context": {"diagnostics": [], "only": ["source"]}}),
        ),
    ];
    said.extend(goodbye());
    let (heard, _) = conversation(&[], &said);
    let actions = answer(&heard, 2)["result"].as_array().expect("actions");
    assert_eq!(actions.len(), 2, "{actions:?}");
    assert_eq!(actions[0]["kind"], "quickfix");
    assert_eq!(actions[0]["diagnostics"][0]["code"], "lookalike-letter");
    let edits = &actions[0]["edit"]["changes"][lexicon];
    assert_eq!(edits[0]["newText"], "kɛt");
    assert_eq!(
        edits[0]["range"],
        json!({"start": at(1, 39), "end": at(1, 42)})
    );
    let all = answer(&heard, 3)["result"].as_array().expect("actions");
    assert_eq!(all.len(), 1);
    assert_eq!(all[0]["kind"], "source.fixAll");
    assert_eq!(&all[0]["edit"]["changes"][lexicon], edits);
}

#[test]
fn symbols_are_offered_by_name_and_by_letter() {
    let mut said = vec![
        hello(&["utf-16"]),
        opened(LIST, "sɪ\\velar-nasal\nsɪn\n"),
        about(2, "completion", LIST, json!({"position": at(0, 14)})),
        about(3, "completion", LIST, json!({"position": at(1, 3)})),
    ];
    said.extend(goodbye());
    let (heard, _) = conversation(&[], &said);
    let items = |id| {
        answer(&heard, id)["result"]["items"]
            .as_array()
            .expect("items")
    };
    let velar = items(2);
    assert_eq!(velar[0]["label"], "ŋ");
    assert_eq!(velar[0]["textEdit"]["newText"], "ŋ");
    assert_eq!(
        velar[0]["textEdit"]["range"],
        json!({"start": at(0, 2), "end": at(0, 14)})
    );
    let relatives: Vec<&str> = items(3)
        .iter()
        .filter_map(|it| it["label"].as_str())
        .collect();
    assert!(relatives.contains(&"ŋ"), "{relatives:?}");
    assert!(
        !relatives.contains(&"n"),
        "what stands there is not offered"
    );
}

#[test]
fn tokens_are_relative_and_cover_the_sounds() {
    let mut said = vec![
        hello(&["utf-16"]),
        opened(LIST, "/ˈsi/\nt\n"),
        about(2, "semanticTokens/full", LIST, json!({})),
    ];
    said.extend(goodbye());
    let (heard, _) = conversation(&[], &said);
    let legend =
        &answer(&heard, 1)["result"]["capabilities"]["semanticTokensProvider"]["legend"];
    let kind = |name: &str| {
        let kinds = legend["tokenTypes"].as_array().expect("a legend");
        kinds.iter().position(|it| it == name).expect("a kind")
    };
    let (vowel, consonant) = (kind("variable"), kind("function"));
    let (stress, bracket) = (kind("operator"), kind("keyword"));
    let expected = json!([
        0, 0, 1, bracket, 0, 0, 1, 1, stress, 0, 0, 1, 1, consonant, 0, 0, 1, 1, vowel,
        0, 0, 1, 1, bracket, 0, 1, 0, 1, consonant, 0,
    ]);
    assert_eq!(answer(&heard, 2)["result"]["data"], expected);
}

#[test]
fn what_cannot_be_followed_is_answered_and_survived() {
    let mut bytes = Vec::new();
    for body in [
        "no JSON at all".to_owned(),
        request(5, "textDocument/hover", json!({})).to_string(),
        hello(&[]).to_string(),
        hello(&[]).to_string().replace("\"id\":1", "\"id\":6"),
        request(7, "textDocument/hover", json!({"textDocument": 3})).to_string(),
        request(8, "workspace/unknown", json!({})).to_string(),
        notice(
            "textDocument/didChange",
            json!({"textDocument": {"uri": "file:///none"}, "contentChanges": []}),
        )
        .to_string(),
        notice("$/cancelRequest", json!({"id": 8})).to_string(),
    ]
    .into_iter()
    .chain(goodbye().map(|it| it.to_string()))
    {
        write!(bytes, "Content-Length: {}\r\n\r\n{body}", body.len()).expect("memory");
    }
    let (heard, status) = raw(&[], bytes);
    assert_eq!(status, Some(0));
    let code = |id| answer(&heard, id)["error"]["code"].as_i64();
    assert_eq!(code(5), Some(-32002), "not initialized");
    assert!(answer(&heard, 1)["result"]["capabilities"].is_object());
    assert_eq!(code(6), Some(-32600), "initialized already");
    assert_eq!(code(7), Some(-32602), "wrong parameters");
    assert_eq!(code(8), Some(-32601), "no such method");
    let said: String = heard.iter().map(ToString::to_string).collect();
    assert!(
        said.contains("cannot be read") && said.contains("and is not open"),
        "{said}"
    );

    // Gone without `shutdown`: the protocol wants status 1.
    let (_, status) = conversation(&[], &[hello(&[]), notice("exit", Value::Null)]);
    assert_eq!(status, Some(1));
    // A header that claims more than there can be is refused, not made room for.
    let (_, status) = raw(&[], b"Content-Length: 99999999999999\r\n\r\n{}".to_vec());
    assert_eq!(status, Some(2));
}
