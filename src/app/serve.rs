//! `apical serve`: a language server. An editor starts it, tells it every change of a
//! document, and shows what is wrong in its transcriptions, what to type instead and what
//! each sound is.
//!
//! # Source
//! Language Server Protocol 3.17; JSON-RPC 2.0.

mod answer;
mod document;
mod protocol;

use std::collections::BTreeMap;
use std::io::{self, BufRead, Write};

use lsp_server::{ErrorCode, Message, Notification, Request, RequestId, Response};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use super::arguments::Serve;
use super::reading::Reading;
use super::{Failure, Status, Stop};
use document::{Document, Encoding};
use protocol::{Asked, Changed, Initialize, Opened};

/// The longest message that is taken, in bytes: a reader would set aside as much memory as a
/// header claims.
const LONGEST: u64 = 256 * 1024 * 1024;

/// How far the conversation has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stage {
    /// Nothing was agreed on yet.
    New,
    /// Documents come and go.
    Open,
    /// Only the end is awaited.
    Closed,
}

/// Why a request is not answered with a result.
#[derive(Clone, Debug)]
struct Refusal {
    code: ErrorCode,
    reason: String,
}

impl Refusal {
    fn new(code: ErrorCode, reason: impl Into<String>) -> Self {
        Self {
            code,
            reason: reason.into(),
        }
    }
}

/// A server and the documents that are open.
struct Server<'w> {
    stage: Stage,
    encoding: Encoding,
    /// Whether the editor shows Markdown.
    markdown: bool,
    documents: BTreeMap<String, Document>,
    reading: Reading,
    output: &'w mut dyn Write,
}

/// Runs the command.
pub(super) fn run(arguments: &Serve) -> Result<Status, Stop> {
    let reading = Reading::new(super::manner(&arguments.reading)?);
    let mut input = io::stdin().lock();
    let mut output = io::stdout().lock();
    let mut server = Server {
        stage: Stage::New,
        encoding: Encoding::default(),
        markdown: false,
        documents: BTreeMap::new(),
        reading,
        output: &mut output,
    };
    server.converse(&mut input)
}

impl Server<'_> {
    /// Answers until the editor says goodbye, or goes.
    fn converse(&mut self, input: &mut dyn BufRead) -> Result<Status, Stop> {
        let mut input = input;
        loop {
            if let Some(length) =
                claimed(input.fill_buf()?).filter(|size| *size > LONGEST)
            {
                return Err(Stop::Run(Failure::new(
                    "standard input",
                    format!("a message claims to be {length} bytes long"),
                    format!("send no more than {LONGEST} at once"),
                )));
            }
            match Message::read(&mut input) {
                Ok(None) => {
                    // An editor that is gone without goodbye: nothing of ours is lost.
                    return Ok(Status::Good);
                }
                Ok(Some(Message::Notification(said))) if said.method == "exit" => {
                    return Ok(if self.stage == Stage::Closed {
                        Status::Good
                    } else {
                        Status::Invalid
                    });
                }
                Ok(Some(Message::Request(request))) => {
                    let id = request.id.clone();
                    let outcome = self.answer(request);
                    self.reply(id, outcome)?;
                }
                Ok(Some(Message::Notification(said))) => self.hear(said)?,
                // Nothing was asked of the editor.
                Ok(Some(Message::Response(_))) => {}
                Err(error) if error.kind() == io::ErrorKind::InvalidData => {
                    self.complain(&format!("a message cannot be read: {error}"))?;
                }
                Err(error) => return Err(error.into()),
            }
        }
    }

    fn answer(&mut self, request: Request) -> Result<Value, Refusal> {
        let Request { method, params, .. } = request;
        match (self.stage, method.as_str()) {
            (Stage::New, "initialize") => {
                let said: Initialize = parameters(params)?;
                Ok(self.agree(&said))
            }
            (Stage::New, _) => Err(Refusal::new(
                ErrorCode::ServerNotInitialized,
                "the first request is `initialize`",
            )),
            (Stage::Closed, _) => Err(Refusal::new(
                ErrorCode::InvalidRequest,
                "after `shutdown` only `exit` is awaited",
            )),
            (Stage::Open, "shutdown") => {
                self.stage = Stage::Closed;
                Ok(Value::Null)
            }
            (Stage::Open, "initialize") => Err(Refusal::new(
                ErrorCode::InvalidRequest,
                "`initialize` comes once",
            )),
            (Stage::Open, method) => {
                let asked: Asked = match method {
                    "textDocument/hover"
                    | "textDocument/completion"
                    | "textDocument/codeAction"
                    | "textDocument/semanticTokens/full"
                    | "textDocument/semanticTokens/range" => parameters(params)?,
                    _ => {
                        return Err(Refusal::new(
                            ErrorCode::MethodNotFound,
                            format!("there is no method `{method}` here"),
                        ));
                    }
                };
                self.about(method, &asked)
            }
        }
    }

    /// Answers a question about a document.
    fn about(&mut self, method: &str, asked: &Asked) -> Result<Value, Refusal> {
        let uri = &asked.text_document.uri;
        let Some(document) = self.documents.get(uri) else {
            return Err(Refusal::new(
                ErrorCode::InvalidParams,
                format!("`{uri}` is not open"),
            ));
        };
        let missing = |what: &str| {
            Refusal::new(ErrorCode::InvalidParams, format!("a {what} is missing"))
        };
        let position = asked.position.ok_or_else(|| missing("position"));
        let range = asked.range.ok_or_else(|| missing("range"));
        let reading = &mut self.reading;
        let found = match method {
            "textDocument/hover" => {
                json!(answer::hover(document, reading, position?, self.markdown))
            }
            "textDocument/completion" => json!({
                "isIncomplete": true,
                "items": answer::completions(document, position?),
            }),
            "textDocument/codeAction" => {
                let only = asked
                    .context
                    .as_ref()
                    .and_then(|context| context.only.as_ref());
                json!(answer::actions(uri, document, reading, range?, only))
            }
            "textDocument/semanticTokens/full" => {
                json!({ "data": answer::tokens(document, reading, None) })
            }
            _ => json!({ "data": answer::tokens(document, reading, Some(range?)) }),
        };
        Ok(found)
    }

    /// What is agreed on with the editor.
    fn agree(&mut self, said: &Initialize) -> Value {
        let capability = |path: &str| said.capabilities.pointer(path);
        let offered = |path: &str, name: &str| {
            let list = capability(path).and_then(Value::as_array);
            list.is_some_and(|list| list.iter().any(|offer| offer == name))
        };
        self.encoding = Encoding::ALL
            .into_iter()
            .find(|encoding| offered("/general/positionEncodings", encoding.name()))
            .unwrap_or_default();
        self.markdown = offered("/textDocument/hover/contentFormat", "markdown");
        self.stage = Stage::Open;
        json!({
            "capabilities": {
                "positionEncoding": self.encoding.name(),
                "textDocumentSync": {"openClose": true, "change": 2},
                "hoverProvider": true,
                "codeActionProvider": {"codeActionKinds": [answer::MEND, answer::MEND_ALL]},
                "completionProvider": {"triggerCharacters": [answer::NAMED.to_string()]},
                "semanticTokensProvider": {
                    "legend": {"tokenTypes": answer::KINDS, "tokenModifiers": []},
                    "full": true,
                    "range": true,
                },
            },
            "serverInfo": {"name": "apical", "version": env!("CARGO_PKG_VERSION")},
        })
    }

    /// Takes in what needs no answer.
    fn hear(&mut self, said: Notification) -> io::Result<()> {
        if self.stage != Stage::Open {
            return Ok(());
        }
        match said.method.as_str() {
            "textDocument/didOpen" => match parameters::<Opened>(said.params) {
                Ok(Opened { text_document: new }) => {
                    let document = Document::new(
                        &new.uri,
                        &new.language_id,
                        new.version,
                        new.text,
                        self.encoding,
                    );
                    self.documents.insert(new.uri.clone(), document);
                    self.publish(&new.uri)
                }
                Err(refusal) => self.complain(&refusal.reason),
            },
            "textDocument/didChange" => match parameters::<Changed>(said.params) {
                Ok(changed) => self.change(&changed),
                Err(refusal) => self.complain(&refusal.reason),
            },
            "textDocument/didClose" => match parameters::<Asked>(said.params) {
                Ok(closed) => {
                    let uri = closed.text_document.uri;
                    self.documents.remove(&uri);
                    self.tell(
                        "textDocument/publishDiagnostics",
                        json!({"uri": uri, "diagnostics": []}),
                    )
                }
                Err(refusal) => self.complain(&refusal.reason),
            },
            // Whatever else an editor tells is none of ours.
            _ => Ok(()),
        }
    }

    fn change(&mut self, changed: &Changed) -> io::Result<()> {
        let uri = &changed.text_document.uri;
        let Some(document) = self.documents.get_mut(uri) else {
            return self.complain(&format!("`{uri}` was changed and is not open"));
        };
        let version = changed.text_document.version.unwrap_or(document.version);
        if let Err(reason) = document.change(version, &changed.content_changes) {
            self.complain(&format!("a change of `{uri}` was left out: {reason}"))?;
        }
        self.publish(uri)
    }

    /// Tells what is wrong in a document.
    fn publish(&mut self, uri: &str) -> io::Result<()> {
        let Some(document) = self.documents.get(uri) else {
            return Ok(());
        };
        let diagnostics = answer::diagnostics(uri, document, &mut self.reading);
        let version = document.version;
        self.tell(
            "textDocument/publishDiagnostics",
            json!({"uri": uri, "version": version, "diagnostics": diagnostics}),
        )
    }

    /// Says what an editor has done that cannot be followed, where it keeps its log.
    fn complain(&mut self, reason: &str) -> io::Result<()> {
        const WARNING: u8 = 2;
        self.tell(
            "window/logMessage",
            json!({"type": WARNING, "message": format!("apical: {reason}")}),
        )
    }

    fn tell(&mut self, method: &str, parameters: Value) -> io::Result<()> {
        let said = Notification::new(method.to_owned(), parameters);
        Message::Notification(said).write(&mut self.output)
    }

    fn reply(
        &mut self,
        id: RequestId,
        outcome: Result<Value, Refusal>,
    ) -> io::Result<()> {
        let response = match outcome {
            Ok(result) => Response::new_ok(id, result),
            Err(refusal) => Response::new_err(id, refusal.code as i32, refusal.reason),
        };
        Message::Response(response).write(&mut self.output)
    }
}

/// How long the next message claims to be, if its header lies in the buffer.
fn claimed(buffer: &[u8]) -> Option<u64> {
    let header = buffer.get(..buffer.len().min(1024))?;
    let header = String::from_utf8_lossy(header);
    header
        .split('\n')
        .map(str::trim)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.split_once(':'))
        .find(|(name, _)| name.eq_ignore_ascii_case("content-length"))
        .map(|(_, value)| value.trim().parse().unwrap_or(u64::MAX))
}

/// The parameters of a method.
fn parameters<T: DeserializeOwned>(value: Value) -> Result<T, Refusal> {
    serde_json::from_value(value)
        .map_err(|error| Refusal::new(ErrorCode::InvalidParams, error.to_string()))
}
