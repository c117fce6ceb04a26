//! A small HTTP server with a plan: what it does with each request, and what it heard.

use super::authority::encrypted;
use rustls::ServerConfig;
use std::io::{Read, Write};
use std::net::TcpListener;
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// What the server does with a connection.
#[derive(Clone)]
pub enum Act {
    /// Answers these bytes and closes.
    Answer(Vec<u8>),
    /// Closes without hearing the request out.
    Reset,
    /// Hears the request, waits, then answers 200.
    Slow(Duration),
}

/// A request as it was heard: the head with names in small letters, and the body.
#[derive(Clone, Debug, Default)]
pub struct Heard {
    pub head: String,
    pub body: String,
}

impl Heard {
    pub fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| line.strip_prefix(&format!("{name}: ")))
    }
}

/// The server; its thread ends with the test program.
pub struct Stub {
    pub port: u16,
    heard: Arc<Mutex<Vec<Heard>>>,
}

impl Stub {
    /// The nth connection gets the nth act; later ones the last.
    pub fn new(acts: Vec<Act>) -> Self {
        Self::with(acts, None)
    }

    /// The same, encrypted.
    pub fn encrypted(acts: Vec<Act>, config: Arc<ServerConfig>) -> Self {
        Self::with(acts, Some(config))
    }

    fn with(acts: Vec<Act>, config: Option<Arc<ServerConfig>>) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let heard = Arc::new(Mutex::new(Vec::new()));
        let book = Arc::clone(&heard);
        std::thread::spawn(move || {
            for (n, stream) in listener.incoming().flatten().enumerate() {
                let (act, book) = (acts[n.min(acts.len() - 1)].clone(), Arc::clone(&book));
                let config = config.clone();
                std::thread::spawn(move || match config {
                    None => serve(stream, &act, &book),
                    Some(config) => serve(encrypted(stream, &config), &act, &book),
                });
            }
        });
        Self { port, heard }
    }

    pub fn heard(&self) -> Vec<Heard> {
        self.heard.lock().unwrap().clone()
    }

    pub fn url(&self) -> String {
        format!("http://127.0.0.1:{}/in-key", self.port)
    }
}

fn serve(mut stream: impl Read + Write, act: &Act, book: &Mutex<Vec<Heard>>) {
    if let Act::Reset = act {
        return;
    }
    let Some(heard) = hear(&mut stream) else { return };
    book.lock().unwrap().push(heard);
    match act {
        Act::Answer(bytes) => drop(stream.write_all(bytes)),
        Act::Slow(pause) => {
            std::thread::sleep(*pause);
            drop(stream.write_all(&status("200 OK")));
        }
        Act::Reset => {}
    }
}

fn hear(stream: &mut impl Read) -> Option<Heard> {
    let (mut bytes, mut buffer) = (Vec::new(), [0; 4096]);
    loop {
        let n = stream.read(&mut buffer).ok().filter(|n| *n > 0)?;
        bytes.extend(&buffer[..n]);
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let Some((head, body)) = text.split_once("\r\n\r\n") else { continue };
        let lines = head.lines().map(|line| match line.split_once(": ") {
            Some((name, value)) => format!("{}: {value}", name.to_lowercase()),
            None => line.to_owned(),
        });
        let heard = Heard { head: lines.collect::<Vec<_>>().join("\n"), body: body.to_owned() };
        let length = heard.header("content-length").map_or(0, |n| n.parse().unwrap());
        if heard.body.len() >= length {
            return Some(heard);
        }
    }
}

/// An answer without a body.
pub fn status(line: &str) -> Vec<u8> {
    format!("HTTP/1.1 {line}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n").into_bytes()
}

/// An answer with further heads and a body.
pub fn file(heads: &str, body: &str) -> Vec<u8> {
    let length = body.len();
    format!("HTTP/1.1 200 OK\r\nContent-Length: {length}\r\n{heads}Connection: close\r\n\r\n{body}")
        .into_bytes()
}

pub fn answer(bytes: Vec<u8>) -> Act {
    Act::Answer(bytes)
}
