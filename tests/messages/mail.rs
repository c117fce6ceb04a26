//! Mail: to each person by itself, both forms, one Message-ID; a server that refuses or sleeps harms nobody else.

use super::authority::encrypted;
use super::world;
use crate::world::{TABLE, World};
use rustls::ServerConfig;
use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// What the server does beyond taking mail.
#[derive(Clone, Copy, PartialEq)]
enum Mood {
    Fine,
    /// Refuses this mailbox for good.
    Refuses(&'static str),
    /// Takes the mail and closes before saying so.
    DropsAfterData,
    /// Greets after a long while.
    Sleeps,
}

pub struct Server {
    pub port: u16,
    book: Arc<Mutex<Book>>,
}

/// What a server took down.
#[derive(Default)]
struct Book {
    /// Envelope receiver and text of each mail taken.
    mails: Vec<(String, String)>,
    /// How often somebody signed in.
    signed_in: usize,
}

/// How a server is encrypted, and whether only after a plain greeting.
type Encryption = Option<(Arc<ServerConfig>, bool)>;

impl Server {
    /// The nth connection meets the nth mood; later ones the last.
    fn new(moods: Vec<Mood>) -> Self {
        Self::with(moods, None)
    }

    /// One that takes mail encrypted alone, from the first byte or after the greeting.
    pub fn encrypted(config: Arc<ServerConfig>, late: bool) -> Self {
        Self::with(vec![Mood::Fine], Some((config, late)))
    }

    fn with(moods: Vec<Mood>, encryption: Encryption) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let book = Arc::new(Mutex::new(Book::default()));
        let shared = Arc::clone(&book);
        std::thread::spawn(move || {
            for (n, stream) in listener.incoming().flatten().enumerate() {
                let (mood, book) = (moods[n.min(moods.len() - 1)], Arc::clone(&shared));
                let encryption = encryption.clone();
                std::thread::spawn(move || greet(stream, mood, encryption, &book));
            }
        });
        Self { port, book }
    }

    pub fn mails(&self) -> Vec<(String, String)> {
        self.book.lock().unwrap().mails.clone()
    }

    pub fn signed_in(&self) -> usize {
        self.book.lock().unwrap().signed_in
    }
}

fn greet(mut stream: TcpStream, mood: Mood, encryption: Encryption, book: &Mutex<Book>) -> Option<()> {
    if mood == Mood::Sleeps {
        std::thread::sleep(Duration::from_secs(30));
    }
    match encryption {
        None => {
            say(&mut stream, "220 stub ready")?;
            talk(stream, mood, book)
        }
        Some((config, false)) => {
            let mut stream = encrypted(stream, &config);
            say(&mut stream, "220 stub ready")?;
            talk(stream, mood, book)
        }
        Some((config, true)) => {
            say(&mut stream, "220 stub ready")?;
            while !line(&mut stream)?.to_uppercase().starts_with("STARTTLS") {
                say(&mut stream, "250-fine\r\n250 STARTTLS")?;
            }
            say(&mut stream, "220 go on")?;
            talk(encrypted(stream, &config), mood, book)
        }
    }
}

fn say(stream: &mut impl Write, line: &str) -> Option<()> {
    stream.write_all(format!("{line}\r\n").as_bytes()).ok()
}

/// A line without its end, byte by byte, so that nothing of what follows is taken.
fn line(stream: &mut impl Read) -> Option<String> {
    let mut bytes = Vec::new();
    while !bytes.ends_with(b"\r\n") {
        let mut byte = [0];
        stream.read_exact(&mut byte).ok()?;
        bytes.extend(byte);
    }
    Some(String::from_utf8_lossy(&bytes).trim_end().to_owned())
}

fn talk(mut stream: impl Read + Write, mood: Mood, book: &Mutex<Book>) -> Option<()> {
    let mut to = String::new();
    while let Some(said) = line(&mut stream) {
        let upper = said.to_uppercase();
        if upper.starts_with("EHLO") {
            say(&mut stream, "250-fine\r\n250 AUTH PLAIN")?;
        } else if upper.starts_with("AUTH") {
            book.lock().unwrap().signed_in += 1;
            say(&mut stream, "235 come in")?;
        } else if upper.starts_with("MAIL") || upper.starts_with("RSET") {
            say(&mut stream, "250 fine")?;
        } else if upper.starts_with("RCPT") {
            to = said.split(['<', '>']).nth(1)?.to_owned();
            match mood {
                Mood::Refuses(whom) if whom == to => say(&mut stream, "550 no such mailbox")?,
                _ => say(&mut stream, "250 fine")?,
            }
        } else if upper.starts_with("DATA") {
            say(&mut stream, "354 go on")?;
            let mut text = Vec::new();
            loop {
                match line(&mut stream)? {
                    end if end == "." => break,
                    more => text.push(more),
                }
            }
            book.lock().unwrap().mails.push((to.clone(), text.join("\n")));
            if mood == Mood::DropsAfterData {
                return None;
            }
            say(&mut stream, "250 taken")?;
        } else if upper.starts_with("QUIT") {
            say(&mut stream, "221 bye")?;
            return Some(());
        } else {
            say(&mut stream, "502 unknown")?;
        }
    }
    Some(())
}

fn mailing(server: &Server, more: &str) -> World {
    let w = world(&format!(
        "[smtp]\nhost = \"127.0.0.1\"\nport = {}\ntls = \"none\"\nfrom = \"Soil <soil@example.org>\"\nto = [\"kim@example.org\", \"robin@example.org\"]\n{more}",
        server.port
    ));
    w.drop_in("a.csv", TABLE);
    w
}

const LOOPBACK: &str = "allowed = [\"127.0.0.1\"]\n";

pub fn header<'m>(mail: &'m str, name: &str) -> &'m str {
    mail.lines().find_map(|line| line.strip_prefix(&format!("{name}: "))).unwrap()
}

#[test]
fn each_person_gets_both_forms_once() {
    let server = Server::new(vec![Mood::Fine]);
    let w = mailing(&server, LOOPBACK);
    let said = w.run(&["nightly"]);
    assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
    assert_eq!(w.run(&["nightly"]).code, Some(0));
    let mails = server.mails();
    let to: Vec<&str> = mails.iter().map(|(to, _)| to.as_str()).collect();
    assert_eq!(to, ["kim@example.org", "robin@example.org"]);
    for (_, mail) in &mails {
        assert!(mail.contains("text/plain") && mail.contains("text/html"), "{mail}");
        assert!(header(mail, "Subject").contains("1 new report"), "{mail}");
        assert!(header(mail, "Message-ID").ends_with("@example.org>"));
        assert_eq!(header(mail, "Auto-Submitted"), "auto-generated");
    }
}

#[test]
fn a_mailbox_that_is_refused_keeps_nobody_else_from_theirs() {
    let server = Server::new(vec![Mood::Refuses("kim@example.org")]);
    let w = mailing(&server, LOOPBACK);
    let said = w.run(&["nightly"]);
    assert_eq!(said.code, Some(1));
    assert!(said.out.contains("to kim@example.org: 127.0.0.1 refuses the mail"), "{}", said.out);
    assert_eq!(server.mails().len(), 1);
    assert_eq!(w.export("readings").len(), 16);
}

#[test]
fn a_mail_taken_but_not_confirmed_goes_again_under_the_same_message_id() {
    let server = Server::new(vec![Mood::DropsAfterData, Mood::Fine]);
    let w = mailing(&server, LOOPBACK);
    assert_eq!(w.run(&["nightly"]).code, Some(0));
    let mails = server.mails();
    assert_eq!(mails.len(), 3);
    assert_eq!(header(&mails[0].1, "Message-ID"), header(&mails[1].1, "Message-ID"));
    assert_ne!(header(&mails[1].1, "Message-ID"), header(&mails[2].1, "Message-ID"));
    assert_eq!(header(&mails[1].1, "Loamline-Attempt"), "2");
}

#[test]
fn a_server_that_sleeps_is_left_after_its_time() {
    let server = Server::new(vec![Mood::Sleeps]);
    let w = mailing(&server, "allowed = [\"127.0.0.1\"]\nseconds = 0.2\n");
    let said = w.run(&["nightly"]);
    assert_eq!(said.code, Some(1));
    assert!(said.out.contains("did not answer in time"), "{}", said.out);
}

#[test]
fn without_encryption_or_on_this_machine_only_what_is_allowed_is_spoken_to() {
    let server = Server::new(vec![Mood::Fine]);
    let said = mailing(&server, "").run(&["nightly"]);
    assert!(said.out.contains("not on the public internet"), "{}", said.out);
    // The server offers no encryption: then nothing is said to it.
    let w = mailing(&server, LOOPBACK);
    let settings = std::fs::read_to_string(w.home().join("loamline.toml")).unwrap();
    w.settings(&settings.replace("tls = \"none\"", "tls = \"starttls\""));
    assert_eq!(w.run(&["nightly"]).code, Some(1));
    assert_eq!(server.mails().len(), 0);
}
