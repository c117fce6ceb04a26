//! Mail: to each person by itself, both forms, one Message-ID; a server that refuses or sleeps harms nobody else.

use super::world;
use crate::world::{TABLE, World};
use std::io::{BufRead, BufReader, Write};
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

struct Server {
    port: u16,
    /// Envelope receiver and text of each mail taken.
    mails: Arc<Mutex<Vec<(String, String)>>>,
}

impl Server {
    /// The nth connection meets the nth mood; later ones the last.
    fn new(moods: Vec<Mood>) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let mails = Arc::new(Mutex::new(Vec::new()));
        let book = Arc::clone(&mails);
        std::thread::spawn(move || {
            for (n, stream) in listener.incoming().flatten().enumerate() {
                let (mood, book) = (moods[n.min(moods.len() - 1)], Arc::clone(&book));
                std::thread::spawn(move || talk(stream, mood, &book));
            }
        });
        Self { port, mails }
    }

    fn mails(&self) -> Vec<(String, String)> {
        self.mails.lock().unwrap().clone()
    }
}

fn talk(stream: TcpStream, mood: Mood, book: &Mutex<Vec<(String, String)>>) -> Option<()> {
    if mood == Mood::Sleeps {
        std::thread::sleep(Duration::from_secs(30));
    }
    let mut out = stream.try_clone().ok()?;
    let mut say = move |line: &str| out.write_all(format!("{line}\r\n").as_bytes()).ok();
    let mut lines = BufReader::new(stream).lines().map_while(Result::ok);
    say("220 stub ready")?;
    let mut to = String::new();
    while let Some(line) = lines.next() {
        let upper = line.to_uppercase();
        if upper.starts_with("EHLO") || upper.starts_with("MAIL") || upper.starts_with("RSET") {
            say("250 fine")?;
        } else if upper.starts_with("RCPT") {
            to = line.split(['<', '>']).nth(1)?.to_owned();
            match mood {
                Mood::Refuses(whom) if whom == to => say("550 no such mailbox")?,
                _ => say("250 fine")?,
            }
        } else if upper.starts_with("DATA") {
            say("354 go on")?;
            let text: Vec<String> = lines.by_ref().take_while(|line| line != ".").collect();
            book.lock().unwrap().push((to.clone(), text.join("\n")));
            if mood == Mood::DropsAfterData {
                return None;
            }
            say("250 taken")?;
        } else if upper.starts_with("QUIT") {
            say("221 bye")?;
            return Some(());
        } else {
            say("502 unknown")?;
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

fn header<'m>(mail: &'m str, name: &str) -> &'m str {
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
