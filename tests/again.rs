//! The same report again: other bytes, a re-issue, a mail with its attachment; a report without a date.

use super::world::{TABLE, World};

fn ok(w: &World, args: &[&str]) -> String {
    let said = w.run(args);
    assert_eq!(said.code, Some(0), "{args:?}: {} {}", said.out, said.err);
    said.out
}

fn decision(said: &str) -> String {
    said.split("decision ").nth(1).unwrap().chars().take_while(char::is_ascii_digit).collect()
}

fn phosphorus(w: &World) -> Vec<(String, f64)> {
    let rows = w.export("readings");
    let of = rows.iter().filter(|r| r["analyte"] == "phosphorus" && r["sample_label"] == "Front lawn");
    let mut all: Vec<_> =
        of.map(|r| (r["status"].as_str().unwrap().to_owned(), r["value"].as_f64().unwrap())).collect();
    all.sort_by(|a, b| a.1.total_cmp(&b.1));
    all
}

#[test]
fn a_corrected_issue_counts_in_place_of_the_older_and_a_person_can_say_otherwise() {
    let later = TABLE.replace("2024-05-06", "2024-05-20").replace(",31,", ",13,");
    for order in [["a.csv", "b.csv"], ["b.csv", "a.csv"]] {
        let w = World::new();
        for name in order {
            w.ingest(&w.give(name, if name == "a.csv" { TABLE } else { &later }));
        }
        let newer_counts = vec![("accepted".to_owned(), 13.0), ("rejected".to_owned(), 31.0)];
        assert_eq!(phosphorus(&w), newer_counts);
        assert_eq!(w.export("documents").len(), 2, "both are kept");
        let said = ok(&w, &["settle", "apart", "a.csv", "b.csv", "--who", "Robin"]);
        assert!(phosphorus(&w).iter().all(|(status, _)| status == "accepted"), "{:?}", phosphorus(&w));
        // A third printing of the newer numbers does not undo what a person said.
        w.ingest(&w.give("c.csv", later.replace(',', ";")));
        assert!(phosphorus(&w).iter().all(|(status, _)| status == "accepted"), "{:?}", phosphorus(&w));
        ok(&w, &["undo", &decision(&said), "--who", "Robin"]);
        assert_eq!(phosphorus(&w), newer_counts);
        assert_eq!(w.run(&["verify"]).code, Some(0));
    }
}

#[test]
fn where_neither_issue_says_which_is_later_a_person_does() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE));
    w.ingest(&w.give("b.csv", TABLE.replace(",31,", ",13,")));
    let both_wait = vec![("held".to_owned(), 13.0), ("held".to_owned(), 31.0)];
    assert_eq!(phosphorus(&w), both_wait);
    let said = ok(&w, &["settle", "replaced", "a.csv", "b.csv", "--who", "Robin"]);
    assert_eq!(phosphorus(&w), [("accepted".to_owned(), 13.0), ("rejected".to_owned(), 31.0)]);
    ok(&w, &["undo", &decision(&said), "--who", "Robin"]);
    assert_eq!(phosphorus(&w), both_wait);
    assert_eq!(w.run(&["settle", "replaced", "a.csv", "none.csv", "--who", "Robin"]).code, Some(1));
}

fn mail() -> String {
    let encoded: String = {
        // Attached as it is: quoted-printable needs only the equal sign changed, and there is none.
        assert!(!TABLE.contains('='));
        TABLE.replace('\n', "\r\n")
    };
    format!(
        "From: lab@example.org\r\nTo: robin@example.org\r\nSubject: Results\r\nDate: Mon, 06 May 2024 10:00:00 +0000\r\n\
         MIME-Version: 1.0\r\nContent-Type: multipart/mixed; boundary=\"b\"\r\n\r\n\
         --b\r\nContent-Type: text/plain\r\n\r\nYour results are attached.\r\n\
         --b\r\nContent-Type: text/csv; name=\"a.csv\"\r\nContent-Disposition: attachment; filename=\"a.csv\"\r\n\
         Content-Transfer-Encoding: 7bit\r\n\r\n{encoded}\r\n--b--\r\n"
    )
}

#[test]
fn a_mail_and_its_attachment_dropped_both_count_once_in_either_order() {
    for order in [["mail.eml", "a.csv"], ["a.csv", "mail.eml"]] {
        let w = World::new();
        for name in order {
            let bytes = if name == "a.csv" { TABLE.to_owned() } else { mail() };
            let said = w.ingest(&w.give(name, bytes));
            assert_eq!(said.code, Some(0), "{order:?} {name}: {} {}", said.out, said.err);
        }
        let rows = w.export("readings");
        assert_eq!(rows.iter().filter(|r| r["status"] == "accepted").count(), 16, "{order:?}");
        assert_eq!(rows.len(), 16, "{order:?}");
        assert_eq!(w.run(&["verify"]).code, Some(0));
    }
}

/// A report that prints no date.
fn undated() -> String {
    TABLE.replace("Date reported,2024-05-06\n", "").replace("Date sampled,", "").replace("2024-04-20,", "")
}

fn keys(w: &World) -> Vec<String> {
    let rows: Vec<serde_json::Value> = serde_json::from_str(&w.run(&["held", "--json"]).out).unwrap();
    rows.iter().map(|r| r["reading"]["id"].to_string()).collect()
}

#[test]
fn a_report_without_a_date_waits_until_a_person_tells_the_day() {
    let w = World::new();
    assert_eq!(w.ingest(&w.give("a.csv", undated())).code, Some(3));
    let before = w.export("readings");
    assert!(before.iter().all(|r| r["season"].is_null() && r["status"] == "held"));
    let keys = keys(&w);
    let mut args = vec!["settle", "date", "2024-05-01", "--who", "Robin"];
    args.extend(keys.iter().map(String::as_str));
    let said = ok(&w, &args);
    assert_eq!(said.lines().filter(|l| l.contains("decision")).count(), 4, "one a sample: {said}");
    let after = w.export("readings");
    assert!(after.iter().all(|r| r["season"] == 2024 && r["sampled_on"] == "2024-05-01"), "{after:?}");
    assert!(after.iter().all(|r| r["status"] == "accepted"));
    assert!(w.files("held").is_empty());
    let log = ok(&w, &["settle", "log", "--json"]);
    assert!(log.contains("Robin") && log.contains("2024-05-01"), "{log}");
    for line in said.lines().filter(|l| l.contains("decision")) {
        ok(&w, &["undo", &decision(line), "--who", "Robin"]);
    }
    assert_eq!(w.export("readings"), before);
    assert_eq!(w.run(&["verify"]).code, Some(0));
}

#[test]
fn a_printed_day_is_not_overwritten() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE.replace("Client,J. Orchard\n", "")));
    let keys = keys(&w);
    let said = w.run(&["settle", "date", "2024-05-01", &keys[0], "--who", "Robin"]);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("2024-04-20"), "{}", said.err);
}

#[test]
fn a_site_and_a_day_missing_both_are_told_in_either_order() {
    for order in [["assign", "date"], ["date", "assign"]] {
        let w = World::new();
        w.ingest(&w.give("a.csv", undated().replace("Client,J. Orchard\n", "")));
        let key = keys(&w)[0].clone();
        for what in order {
            match what {
                "assign" => ok(&w, &["settle", "assign", "one", &key, "--new", "One", "--who", "Robin"]),
                _ => ok(&w, &["settle", "date", "2024-05-01", &key, "--who", "Robin"]),
            };
        }
        let rows = w.export("readings");
        assert_eq!(
            rows.iter().filter(|r| r["status"] == "accepted" && r["site"] == "one").count(),
            4,
            "{order:?}"
        );
    }
}
