//! What a mail becomes, and what a hostile one cannot do.

use super::*;
use crate::document::Content;

fn read(text: &str) -> Document {
    open(text.as_bytes(), &Limits::default()).unwrap()
}

fn words(document: &Document) -> Vec<String> {
    match &document.pages[0].content {
        Content::Words(words) => words.iter().map(|w| w.text.clone()).collect(),
        Content::Cells(cells) => cells.iter().map(|c| c.text.clone()).collect(),
        Content::Picture(_) => panic!("no picture expected"),
    }
}

fn mixed(parts: &[&str]) -> String {
    let mut mail =
        "From: a@b.invalid\nSubject: Soil =?utf-8?q?=C3=BC?=\nMIME-Version: 1.0\nContent-Type: multipart/mixed; boundary=\"xx\"\n\n"
            .to_owned();
    for part in parts {
        mail.push_str(&format!("--xx\n{part}\n"));
    }
    mail.push_str("--xx--\n");
    mail
}

#[test]
fn a_plain_letter_is_a_page_of_words_under_its_subject() {
    let document = read("From: a@b.invalid\nSubject: Soil results\nDate: x\n\nPLOT  PH\nA     6.4\n");
    assert_eq!(words(&document), ["Soil", "results", "PLOT", "PH", "A", "6.4"]);
    assert_eq!(document.format, Format::Mail);
}

#[test]
fn the_html_body_is_taken_where_it_holds_a_table() {
    let alternative = "Content-Type: multipart/alternative; boundary=yy\n\n--yy\nContent-Type: text/plain\n\nsee html\n\
                       --yy\nContent-Type: text/html; charset=utf-8\nContent-Transfer-Encoding: quoted-printable\n\n\
                       <table><tr><td>pH</td><td>6.=\n4</td></tr></table>\n--yy--\n";
    let document = read(&mixed(&[alternative]));
    assert_eq!(words(&document), ["Soil ü", "pH", "6.4"]);
    assert!(document.members.is_empty());
}

#[test]
fn attachments_and_forwarded_mails_are_members_and_small_pictures_are_not() {
    let document = read(&mixed(&[
        "Content-Type: text/plain\n\nplease find attached\n",
        "Content-Type: text/csv; name=r.csv\nContent-Disposition: attachment; filename=\"../r.csv\"\n\na,b\n",
        "Content-Type: application/pdf\nContent-Transfer-Encoding: base64\nContent-Disposition: inline; filename=r.pdf\n\nJVBERi0=\n",
        "Content-Type: image/png\nContent-ID: <logo>\nContent-Transfer-Encoding: base64\n\niVBORw0KGgo=\n",
        "Content-Type: message/rfc822\n\nFrom: c@d.invalid\nSubject: Inner/one\n\nhello\n",
        "Content-Type: application/ms-tnef; name=winmail.dat\nContent-Transfer-Encoding: base64\n\neJ8+Ig==\n",
    ]));
    let members: Vec<(&str, &[u8])> =
        document.members.iter().map(|m| (m.name.as_str(), &m.bytes[..])).collect();
    assert_eq!(members[0].0, "r.csv");
    assert_eq!(members[1], ("r.pdf", &b"%PDF-"[..]));
    assert_eq!(members[2].0, "Inner-one");
    assert!(
        members[2].1.starts_with(b"From: c@d.invalid\nSubject: Inner/one\n\nhello"),
        "{:?}",
        members[2].1
    );
    assert_eq!(members.len(), 3);
    assert_eq!(document.notes.len(), 2);
    assert_eq!(words(&document), ["Soil", "ü", "please", "find", "attached"]);
}

#[test]
fn letters_of_an_alphabet_that_the_mail_does_not_state_are_kept() {
    // `Profondità` and `µS` in Windows-1252, in base64, quoted and bare, with no alphabet or a wrong one.
    for part in [
        "Content-Type: text/csv\nContent-Transfer-Encoding: base64\nContent-Disposition: attachment; filename=r.csv\n\nUHJvZm9uZGl04Du1Uw==\n",
        "Content-Type: text/csv; charset=utf-8\nContent-Transfer-Encoding: quoted-printable\nContent-Disposition: attachment; filename=r.csv\n\nProfondit=E0;=B5S\n",
    ] {
        let document = read(&mixed(&["Content-Type: text/plain\n\nsee attached\n", part]));
        assert_eq!(document.members[0].bytes.trim_ascii_end(), b"Profondit\xe0;\xb5S", "{part}");
    }
    let mut bare =
        b"Subject: s\nContent-Type: text/plain\nContent-Transfer-Encoding: 8bit\n\nProfondit\xe0  20\n"
            .to_vec();
    bare.extend(b"pH  6.4\n");
    let document = open(&bare, &Limits::default()).unwrap();
    assert!(words(&document).contains(&"Profondità".to_owned()), "{:?}", words(&document));
}

#[test]
fn a_mailbox_gives_its_mails_as_members() {
    let document =
        read("From a@b Mon\nSubject: one\nFrom: a@b\n\nx\n\nFrom c@d Tue\nSubject: two\nFrom: c@d\n\ny\n");
    let names: Vec<&str> = document.members.iter().map(|m| m.name.as_str()).collect();
    assert_eq!(names, ["one", "two"]);
    assert!(document.pages.is_empty());
    assert_eq!(read("From a@b Mon\nSubject: one\nFrom: a@b\n\nx\n").pages.len(), 1);
}

#[test]
fn an_encrypted_mail_is_locked() {
    let mail = "From: a@b\nSubject: x\nContent-Type: application/pkcs7-mime; name=smime.p7m\nContent-Transfer-Encoding: base64\n\nAAAA\n";
    assert_eq!(open(mail.as_bytes(), &Limits::default()).unwrap_err().cause, Cause::Locked);
}

#[test]
fn parts_and_depth_are_bounded_before_they_are_built() {
    let limits = Limits::default();
    let many = mixed(&vec!["Content-Type: text/plain\n\nx\n"; 200]);
    assert_eq!(open(many.as_bytes(), &limits).unwrap_err().what, "The mail has more than 100 parts.");
    let mut letters = String::new();
    for _ in 0..50_000 {
        letters.push_str("From: a@b\nSubject: x\nContent-Type: message/rfc822\n\n");
    }
    assert_eq!(open(letters.as_bytes(), &limits).unwrap_err().cause, Cause::Limit);
    let mut deep = "From: a@b\nSubject: x\n".to_owned();
    for n in 0..20 {
        deep.push_str(&format!("Content-Type: multipart/mixed; boundary=b{n}\n\n--b{n}\n"));
    }
    deep.push_str("Content-Type: text/plain\n\nx\n");
    assert_eq!(open(deep.as_bytes(), &limits).unwrap_err().cause, Cause::TooDeep);
}
