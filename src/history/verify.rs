//! The store against itself and against the kept originals.

use super::{History, Result};
use rusqlite::Connection;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

/// Something that is not as it must be.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Finding {
    /// Short fixed name: `store-damaged`, `foreign-key`, `original-missing`, `original-changed`, `original-unknown`,
    /// `container-unknown`, `original-unreadable`.
    pub name: &'static str,
    /// One sentence that names the file or row.
    pub sentence: String,
}

/// Folders of the home that hold originals.
const KEPT: [&str; 3] = ["filed", "held", "refused"];

impl History {
    /// Checks the store, and every original under `home` against its record. Empty when all is sound.
    ///
    /// Paths in sentences are those inside the home folder.
    ///
    /// # Errors
    /// What the disk says where nothing can be checked at all.
    pub fn verify(&self, home: &Path) -> Result<Vec<Finding>> {
        Ok(self.verify_until(home, &AtomicBool::new(false))?.unwrap_or_default())
    }

    /// The same, given up between two originals once `stop` is set: then nothing is known.
    ///
    /// # Errors
    /// As [`History::verify`].
    pub fn verify_until(&self, home: &Path, stop: &AtomicBool) -> Result<Option<Vec<Finding>>> {
        let mut findings = sound(&self.connection)?;
        if findings.is_empty() {
            findings.extend(originals(&self.connection, home, stop)?);
        }
        findings.sort();
        Ok((!stop.load(Ordering::Relaxed)).then_some(findings))
    }

    /// A quick check of the store alone, for every night: its pages, and the types of its rows.
    ///
    /// # Errors
    /// What the store says.
    pub fn quick_check(&self) -> Result<Vec<Finding>> {
        quick(&self.connection)
    }

    /// The quick check, and every row against the rules of its columns, as when it was written: eight times the work.
    ///
    /// # Errors
    /// What the store says.
    pub fn rules_check(&self) -> Result<Vec<Finding>> {
        check(&self.connection, "PRAGMA quick_check")
    }
}

/// The quick check without the rules of columns (`CHECK`), which every row went by when it was written; the whole check
/// holds it against them again.
pub(super) fn quick(connection: &Connection) -> Result<Vec<Finding>> {
    let rules = |on: bool| connection.pragma_update(None, "ignore_check_constraints", !on);
    rules(false)?;
    let found = check(connection, "PRAGMA quick_check");
    rules(true)?;
    found
}

/// The store's own checks: pages, types and constraints, foreign keys.
pub(super) fn sound(connection: &Connection) -> Result<Vec<Finding>> {
    let mut findings = check(connection, "PRAGMA integrity_check")?;
    if findings.is_empty() {
        findings.extend(lost_pages(connection)?);
    }
    let mut statement = connection.prepare("PRAGMA foreign_key_check")?;
    let rows = statement.query_map([], |row| {
        Ok((row.get::<_, String>(0)?, row.get::<_, Option<i64>>(1)?, row.get::<_, String>(2)?))
    })?;
    for row in rows {
        let (table, id, parent) = row?;
        let id = id.map_or_else(String::new, |id| format!(" row {id}"));
        findings.push(Finding {
            name: "foreign-key",
            sentence: format!("In the history, {table}{id} points to a row of {parent} that is not there."),
        });
    }
    Ok(findings)
}

/// One of the checks of the store itself, on a connection that may write: SQLite leaves the rules of columns out of one
/// that may not.
fn check(connection: &Connection, pragma: &str) -> Result<Vec<Finding>> {
    // A view that is first among the names makes SQLite take it for a check of one table alone, which leaves the list of
    // free pages out; asked of the schema by name, it looks at that list in any case.
    let mut lines: Vec<String> = Vec::new();
    for asked in [pragma.to_owned(), format!("{pragma}(sqlite_schema)")] {
        let mut statement = connection.prepare(&asked)?;
        let found: Vec<String> =
            statement.query_map([], |row| row.get(0))?.collect::<rusqlite::Result<_>>()?;
        lines.extend(found.into_iter().filter(|line| line != "ok"));
    }
    lines.sort();
    lines.dedup();
    Ok(lines.into_iter().map(|line| damaged(&line)).collect())
}

fn damaged(what: &str) -> Finding {
    // Several findings of one tree come as one text of several lines.
    let what = what.replace("*** in database main ***\n", "").replace('\n', "; ");
    Finding { name: "store-damaged", sentence: format!("The history is damaged: {what}.") }
}

/// Pages that are neither in a tree nor free.
fn lost_pages(connection: &Connection) -> Result<Option<Finding>> {
    /// The byte that processes lock lies on a page that is never used (sqlite.org/fileformat2.html, 1.4).
    const LOCK: i64 = 1 << 30;
    let of = |name: &str| connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
    let (pages, free, size) = (of("page_count")?, of("freelist_count")?, of("page_size")?);
    let used: i64 =
        connection
            .query_row("SELECT sum(pageno) FROM dbstat WHERE aggregate = TRUE", [], |row| row.get(0))?;
    let lost = pages - free - used - i64::from(pages.saturating_mul(size) > LOCK);
    Ok((lost != 0).then(|| {
        let what = if lost == 1 { "1 page belongs".to_owned() } else { format!("{lost} pages belong") };
        damaged(&format!("{what} to nothing"))
    }))
}

fn originals(connection: &Connection, home: &Path, stop: &AtomicBool) -> Result<Vec<Finding>> {
    let mut findings = Vec::new();
    let mut statement = connection
        .prepare("SELECT sha256, source_file, kept_at, inside_of FROM documents ORDER BY sha256")?;
    let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?)))?;
    let mut recorded: BTreeSet<PathBuf> = BTreeSet::new();
    let mut hashes: BTreeMap<String, (String, Option<String>)> = BTreeMap::new();
    let mut kept: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for row in rows {
        let (sha256, file, kept_at, inside_of): (String, String, Option<String>, Option<String>) = row?;
        if let Some(kept_at) = kept_at {
            recorded.insert(home.join(&kept_at));
            kept.entry(kept_at).or_default().push(sha256.clone());
        }
        hashes.insert(sha256, (file, inside_of));
    }
    for (kept_at, sha256s) in &kept {
        if stop.load(Ordering::Relaxed) {
            return Ok(findings);
        }
        findings.extend(original(home, kept_at, sha256s, &hashes));
    }
    for (file, inside_of) in hashes.values() {
        if inside_of.as_ref().is_some_and(|outer| !hashes.contains_key(outer)) {
            findings.push(Finding {
                name: "container-unknown",
                sentence: format!("`{}` came in a mail or archive that has no record.", shown(file)),
            });
        }
    }
    for folder in KEPT {
        unknown(home, &home.join(folder), &recorded, &mut findings);
    }
    Ok(findings)
}

/// The original of the records kept at one place: there, readable, and the same bytes. What came inside a mail or
/// archive is kept as that: one record of the place has the bytes, and every record that came alone must.
fn original(
    home: &Path,
    kept_at: &str,
    sha256s: &[String],
    hashes: &BTreeMap<String, (String, Option<String>)>,
) -> Option<Finding> {
    let came_alone = |sha256: &&String| hashes.get(*sha256).is_some_and(|(_, inside_of)| inside_of.is_none());
    let named = sha256s.iter().find(came_alone).or(sha256s.first()).and_then(|sha256| hashes.get(sha256));
    let (kept, file) = (shown(kept_at), shown(named.map_or("", |(file, _)| file)));
    match hash(&home.join(kept_at)) {
        Ok(found) if sha256s.contains(&found) && sha256s.iter().filter(came_alone).all(|s| *s == found) => {
            None
        }
        Ok(_) => Some(Finding {
            name: "original-changed",
            sentence: format!("The original `{kept}` of `{file}` is not what was recorded."),
        }),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Some(Finding {
            name: "original-missing",
            sentence: format!("The original `{kept}` of `{file}` is missing."),
        }),
        Err(error) => Some(Finding {
            name: "original-unreadable",
            sentence: format!("The original `{kept}` of `{file}` cannot be read: {error}."),
        }),
    }
}

/// Files in the folders of originals that no record speaks of.
fn unknown(home: &Path, folder: &Path, recorded: &BTreeSet<PathBuf>, findings: &mut Vec<Finding>) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for path in entries.flatten().map(|entry| entry.path()) {
        if path.is_dir() && !path.is_symlink() {
            unknown(home, &path, recorded, findings);
        } else if !recorded.contains(&path) && !path.to_string_lossy().ends_with(".why.txt") {
            let inside = shown(&path.strip_prefix(home).unwrap_or(&path).to_string_lossy());
            findings.push(Finding {
                name: "original-unknown",
                sentence: format!("`{inside}` has no record in the history."),
            });
        }
    }
}

/// SHA-256 of a file, in lower-case hex.
fn hash(path: &Path) -> std::io::Result<String> {
    let mut file = std::fs::File::open(path)?;
    let mut hasher = Sha256::new();
    let mut buffer = vec![0_u8; 64 << 10];
    loop {
        let read = file.read(&mut buffer)?;
        if read == 0 {
            break;
        }
        hasher.update(buffer.get(..read).unwrap_or_default());
    }
    Ok(hasher.finalize().iter().map(|byte| format!("{byte:02x}")).collect())
}

/// A name from outside, without anything a terminal would obey.
fn shown(name: &str) -> String {
    name.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::history::NewDocument;
    use crate::history::examples::{site, usual};

    /// A home with two filed originals and their records.
    fn home() -> (tempfile::TempDir, History) {
        let home = tempfile::tempdir().unwrap();
        std::fs::create_dir_all(home.path().join("filed/2021")).unwrap();
        let mut history = History::open(&home.path().join("loamline.db")).unwrap();
        history.upsert_site(&site("lawn")).unwrap();
        for seed in 1..=2_u32 {
            let kept_at = format!("filed/2021/{seed}.pdf");
            std::fs::write(home.path().join(&kept_at), format!("original {seed}")).unwrap();
            let sha256 = hash(&home.path().join(&kept_at)).unwrap();
            let new = usual(seed, &format!("H-{seed}"), 2020 + i16::try_from(seed).unwrap());
            history.record(&NewDocument { sha256, kept_at: Some(kept_at), ..new }).unwrap();
        }
        (home, history)
    }

    fn names(history: &History, home: &Path) -> Vec<(&'static str, String)> {
        history.verify(home).unwrap().into_iter().map(|finding| (finding.name, finding.sentence)).collect()
    }

    #[test]
    fn a_sound_home_has_no_findings() {
        let (home, history) = home();
        assert_eq!(names(&history, home.path()), []);
        assert_eq!(history.quick_check().unwrap(), []);
    }

    #[test]
    fn a_check_that_is_stopped_says_nothing() {
        let (home, history) = home();
        let stopped = |stop| history.verify_until(home.path(), &AtomicBool::new(stop)).unwrap();
        assert_eq!((stopped(false), stopped(true)), (Some(Vec::new()), None));
    }

    #[test]
    fn an_original_changed_missing_or_unknown_is_named() {
        let (home, history) = home();
        let at = |name: &str| home.path().join("filed/2021").join(name);
        std::fs::write(at("1.pdf"), "original 7").unwrap();
        std::fs::remove_file(at("2.pdf")).unwrap();
        std::fs::write(at("3.pdf"), "nobody's").unwrap();
        let found = names(&history, home.path());
        assert_eq!(
            found.iter().map(|f| f.0).collect::<Vec<_>>(),
            ["original-changed", "original-missing", "original-unknown"]
        );
        for ((_, sentence), name) in found.iter().zip(["1.pdf", "2.pdf", "3.pdf"]) {
            assert!(sentence.contains(&format!("filed/2021/{name}")), "{sentence}");
        }
    }

    #[test]
    fn an_attachment_whose_mail_has_no_record_is_named() {
        let (home, mut history) = home();
        let inside_of = Some("f".repeat(64));
        history.record(&NewDocument { inside_of, kept_at: None, ..usual(9, "H-9", 2023) }).unwrap();
        assert_eq!(names(&history, home.path()).first().unwrap().0, "container-unknown");
    }

    #[test]
    fn a_row_that_points_nowhere_is_named() {
        let (home, history) = home();
        history.connection.pragma_update(None, "foreign_keys", false).unwrap();
        history.connection.execute("UPDATE samples SET site = 'gone' WHERE id = 1", []).unwrap();
        let found = names(&history, home.path());
        assert!(found.iter().any(|f| f.0 == "foreign-key" && f.1.contains("samples row 1")), "{found:?}");
    }

    /// What is found in the sample store once its bytes were changed.
    fn found_after(change: impl Fn(&mut Vec<u8>)) -> (Vec<Finding>, Vec<Finding>) {
        let (home, history) = home();
        let path = history.path().to_owned();
        history.connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).unwrap();
        drop(history);
        let mut bytes = std::fs::read(&path).unwrap();
        change(&mut bytes);
        std::fs::write(&path, bytes).unwrap();
        let history = History::open(&path).unwrap();
        (history.quick_check().unwrap(), history.verify(home.path()).unwrap())
    }

    #[test]
    fn a_list_of_free_pages_that_is_wrong_and_pages_that_belong_to_nothing_are_found() {
        // Places in the head of the file: sqlite.org/fileformat2.html, 1.3 (from memory).
        let (quick, whole) = found_after(|bytes| bytes[39] += 1);
        assert!(quick.len() == 1 && quick[0].name == "store-damaged", "{quick:?}");
        assert_eq!(whole, quick);
        let (_, whole) = found_after(|bytes| {
            let pages = u32::from_be_bytes([bytes[28], bytes[29], bytes[30], bytes[31]]) + 1;
            bytes[28..32].copy_from_slice(&pages.to_be_bytes());
            bytes.extend([0; 4096]);
        });
        // SQLite says so itself where a table comes first among the names of the schema.
        let said = |text: &str| whole.iter().any(|f| f.sentence.contains(text));
        assert!(whole.len() == 1 && (said("1 page belongs") || said("never used")), "{whole:?}");
    }

    #[test]
    fn a_row_against_the_rules_of_its_columns_is_found_by_the_check_of_these_and_the_whole_one() {
        let (home, history) = home();
        let set = |rules: &str| format!("PRAGMA ignore_check_constraints = {rules};");
        let odd = "UPDATE documents SET bytes = -1;";
        history.connection.execute_batch(&[set("ON"), odd.to_owned(), set("OFF")].concat()).unwrap();
        assert_eq!(history.quick_check().unwrap(), []);
        for found in [history.rules_check().unwrap(), history.verify(home.path()).unwrap()] {
            let named = |f: &Finding| f.name == "store-damaged" && f.sentence.contains("documents");
            assert!(found.iter().any(named), "{found:?}");
        }
        history.quick_check().unwrap();
        assert!(history.connection.execute_batch(odd).is_err(), "what is written then goes by its rules");
    }

    #[test]
    fn a_store_with_bytes_overwritten_is_found_damaged() {
        let (home, history) = home();
        let path = history.path().to_owned();
        history.connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).unwrap();
        drop(history);
        let mut bytes = std::fs::read(&path).unwrap();
        // The pages after the first: their heads and cells.
        for byte in bytes.iter_mut().skip(4096).step_by(97) {
            *byte ^= 0x55;
        }
        std::fs::write(&path, bytes).unwrap();
        let found = History::open(&path).and_then(|history| history.verify(home.path()));
        assert!(found.is_err() || !found.unwrap().is_empty());
    }

    #[test]
    fn names_are_shown_without_what_a_terminal_obeys() {
        assert_eq!(shown("a\u{1b}[2Jb"), "a\u{fffd}[2Jb");
    }
}
