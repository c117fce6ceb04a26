//! Encrypted connections: a certificate of the company's own authority counts where `[trust]` names it, and only for its
//! host. Each connection that succeeds has a twin that must not.

use super::authority::Authority;
use super::mail::{Server, header};
use super::stub::{Stub, answer, file, status};
use super::world;
use crate::world::{TABLE, World};

/// `localhost` may be either.
const LOOPBACK: &str = "allowed = [\"127.0.0.0/8\", \"::1\"]\n";

const TRUST: &str = "[trust]\nroots = [\"company-ca.pem\"]\n";

fn trusting(authority: &Authority, settings: &str) -> World {
    let w = world(&format!("{TRUST}{settings}"));
    std::fs::write(w.home().join("company-ca.pem"), format!("Our own authority\n\n{}", authority.pem))
        .unwrap();
    w
}

fn webhook(port: u16) -> String {
    format!("[webhook]\nurl = \"https://localhost:{port}/soil\"\nsecret = \"hush-hush\"\n{LOOPBACK}")
}

fn mailing(port: u16, tls: &str) -> String {
    format!(
        "[smtp]\nhost = \"localhost\"\nport = {port}\ntls = \"{tls}\"\nuser = \"soil\"\npassword = \"hush-hush\"\nfrom = \"Soil <soil@example.org>\"\nto = [\"kim@example.org\"]\n{LOOPBACK}"
    )
}

#[test]
fn a_webhook_is_told_over_https_where_its_authority_is_trusted() {
    let authority = Authority::new("ours");
    let stub = Stub::encrypted(vec![answer(status("204 No Content"))], authority.server_for("localhost"));
    let w = trusting(&authority, &webhook(stub.port));
    w.drop_in("a.csv", TABLE);
    let said = w.run(&["nightly"]);
    assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
    let heard = stub.heard();
    assert_eq!(heard.len(), 1);
    assert!(heard[0].header("loamline-signature").is_some() && heard[0].body.contains("\"reports\""));
}

#[test]
fn a_webhook_hears_nothing_where_nobody_vouches_for_it_or_its_certificate_is_anothers() {
    let (authority, other) = (Authority::new("ours"), Authority::new("a stranger"));
    for (server, why) in [
        (other.server_for("localhost"), "name the file of its root certificate in `roots` under [trust]"),
        (authority.server_for("hooks.example.org"), "its certificate is for another host"),
    ] {
        let stub = Stub::encrypted(vec![answer(status("204 No Content"))], server);
        let w = trusting(&authority, &webhook(stub.port));
        w.drop_in("a.csv", TABLE);
        let said = w.run(&["nightly"]);
        assert_eq!(said.code, Some(1), "{}{}", said.out, said.err);
        assert!(said.out.contains(why), "{why}: {}", said.out);
        assert_eq!(stub.heard().len(), 0, "{why}");
    }
}

#[test]
fn a_report_is_picked_up_over_https_and_not_from_a_stranger() {
    let (authority, other) = (Authority::new("ours"), Authority::new("a stranger"));
    let picked = |server| {
        let stub = Stub::encrypted(vec![answer(file("", TABLE))], server);
        let address = format!("https://localhost:{}/latest.csv", stub.port);
        let w = trusting(
            &authority,
            &format!(
                "[[pick_up]]\nname = \"Soil Room\"\nurl = \"{address}\"\nbearer = \"hush-hush\"\n{LOOPBACK}"
            ),
        );
        let code = w.run(&["nightly"]).code;
        (code, w.export("documents").len(), stub.heard().len())
    };
    assert_eq!(picked(authority.server_for("localhost")), (Some(0), 1, 1));
    assert_eq!(picked(other.server_for("localhost")), (Some(1), 0, 0));
}

#[test]
fn mail_goes_encrypted_from_the_first_byte_or_after_the_greeting() {
    let authority = Authority::new("ours");
    for (tls, late) in [("tls", false), ("starttls", true)] {
        let server = Server::encrypted(authority.server_for("localhost"), late);
        let w = trusting(&authority, &mailing(server.port, tls));
        w.drop_in("a.csv", TABLE);
        let said = w.run(&["nightly"]);
        assert_eq!(said.code, Some(0), "{tls}: {}{}", said.out, said.err);
        let mails = server.mails();
        assert_eq!((mails.len(), mails[0].0.as_str()), (1, "kim@example.org"), "{tls}");
        assert!(header(&mails[0].1, "Subject").contains("1 new report"), "{tls}");
    }
}

#[test]
fn a_mail_server_of_a_stranger_or_of_another_name_hears_no_password() {
    let (authority, other) = (Authority::new("ours"), Authority::new("a stranger"));
    for (tls, late) in [("tls", false), ("starttls", true)] {
        for (config, why) in [
            (other.server_for("localhost"), "`roots` under [trust]"),
            (authority.server_for("mail.example.org"), "its certificate is for another host"),
        ] {
            let server = Server::encrypted(config, late);
            let w = trusting(&authority, &mailing(server.port, tls));
            w.drop_in("a.csv", TABLE);
            let said = w.run(&["nightly"]);
            assert_eq!(said.code, Some(1), "{tls}, {why}: {}", said.out);
            assert!(said.out.contains(why), "{tls}, {why}: {}", said.out);
            assert_eq!((server.mails().len(), server.signed_in()), (0, 0), "{tls}, {why}");
        }
    }
}

#[test]
fn a_file_of_roots_that_cannot_be_used_is_named_with_its_line() {
    let w = world(TRUST);
    let wrong = |bytes: Option<&str>| {
        if let Some(bytes) = bytes {
            std::fs::write(w.home().join("company-ca.pem"), bytes).unwrap();
        }
        let said = w.run(&["sites"]);
        assert_eq!(said.code, Some(1), "{}", said.out);
        // The settings begin with the tests' own lines.
        let settings = std::fs::read_to_string(w.home().join("loamline.toml")).unwrap();
        let line = settings.lines().position(|l| l.starts_with("roots")).unwrap() + 1;
        assert!(said.err.contains(&format!("loamline.toml:{line}:11: ")), "{}", said.err);
        said.err
    };
    assert!(wrong(None).contains("the file company-ca.pem of `roots` under [trust] cannot be read"));
    assert!(wrong(Some("")).contains("holds no certificate"));
    let torn = Authority::new("ours").pem.replacen('M', "N", 1);
    assert!(wrong(Some(&format!("\n{torn}"))).contains("certificate in line 2 that cannot be read"));
    std::fs::write(w.home().join("company-ca.pem"), Authority::new("ours").pem).unwrap();
    assert_eq!(w.run(&["sites"]).code, Some(0));
}
