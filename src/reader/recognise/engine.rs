//! Runs the text recognition program `tesseract` on one sheet, with limits on time and output.
//!
//! It stays in the process group of the reader, so that whoever ends a reader ends it too, and starts nothing
//! itself; one thread, because several make it slower; no file to open; nothing of our surroundings but the
//! paths it needs.

use super::sheet::Sheet;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::time::{Duration, Instant};

/// Bytes of output that a page of words can come to.
const MOST_OUTPUT: u64 = 16 << 20;

/// Why there are no words.
#[derive(Debug, thiserror::Error)]
pub(super) enum Failure {
    /// The time is up.
    #[error("took longer than {0} seconds")]
    Slow(u64),
    /// The program has no data for English.
    #[error("misses its data for English (install \"tesseract-ocr-eng\")")]
    NoData,
    /// It ended with an error, or could not be run.
    #[error("ended with an error")]
    Broken,
}

/// The installed program; only folders named in full are searched.
pub(super) fn installed() -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    std::env::split_paths(&path)
        .filter(|folder| folder.is_absolute())
        .map(|folder| folder.join("tesseract"))
        .find(|program| program.is_file())
}

/// How the program is to look at a sheet.
pub(super) struct Manner<'m> {
    /// Page segmentation: `6` one block of text, `11` loose words.
    pub(super) layout: &'m str,
    /// Dots an inch of the sheet.
    pub(super) dots_an_inch: u32,
    /// The only signs there can be; none for any.
    pub(super) signs: Option<&'m str>,
}

/// The table of words it finds.
///
/// # Errors
/// A [`Failure`] when it ends with an error or is not done by `deadline`.
pub(super) fn run(
    program: &Path,
    sheet: &Sheet,
    manner: &Manner<'_>,
    deadline: Instant,
) -> Result<String, Failure> {
    let started = Instant::now();
    let mut command = Command::new(program);
    command.args(["-", "-", "-l", "eng", "--psm", manner.layout, "--dpi", &manner.dots_an_inch.to_string()]);
    if let Some(signs) = manner.signs {
        command.args(["-c", &format!("tessedit_char_whitelist={signs}")]);
    }
    command.arg("tsv");
    command.env_clear().env("OMP_THREAD_LIMIT", "1").env("LC_ALL", "C");
    for kept in ["PATH", "TESSDATA_PREFIX"] {
        if let Some(value) = std::env::var_os(kept) {
            command.env(kept, value);
        }
    }
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let child = command.spawn().map_err(|_| Failure::Broken)?;
    Running { child }.listen(sheet, started, deadline)
}

/// A running program; it ends when this is dropped.
struct Running {
    child: Child,
}

impl Running {
    fn listen(mut self, sheet: &Sheet, started: Instant, deadline: Instant) -> Result<String, Failure> {
        let (stdin, stdout, stderr) =
            (self.child.stdin.take(), self.child.stdout.take(), self.child.stderr.take());
        let (Some(mut stdin), Some(stdout), Some(stderr)) = (stdin, stdout, stderr) else {
            return Err(Failure::Broken);
        };
        let pixels = portable(sheet);
        let (send, receive) = mpsc::channel();
        let complain = send.clone();
        // The threads end when the pipes close, which the end of the program brings about. A program that
        // does not read its input, or writes without end, is cut off by the time and size limits.
        std::thread::spawn(move || stdin.write_all(&pixels));
        std::thread::spawn(move || send.send((Pipe::Words, all(stdout, MOST_OUTPUT))));
        std::thread::spawn(move || complain.send((Pipe::Complaints, all(stderr, 1 << 16))));
        let (mut words, mut complaints) = (None, None);
        while words.is_none() || complaints.is_none() {
            let left = deadline.saturating_duration_since(Instant::now());
            match receive.recv_timeout(left) {
                Ok((Pipe::Words, text)) => words = Some(text),
                Ok((Pipe::Complaints, text)) => complaints = Some(text),
                Err(_) => return Err(Failure::Slow(started.elapsed().as_secs().max(1))),
            }
        }
        let (words, complaints) = (words.flatten(), complaints.flatten().unwrap_or_default());
        loop {
            match self.child.try_wait() {
                Ok(Some(status)) if status.success() => return words.ok_or(Failure::Broken),
                Ok(Some(_))
                    if complaints.contains("loading language")
                        || complaints.contains("opening data file") =>
                {
                    return Err(Failure::NoData);
                }
                Ok(Some(_)) | Err(_) => return Err(Failure::Broken),
                Ok(None) if Instant::now() >= deadline => {
                    return Err(Failure::Slow(started.elapsed().as_secs().max(1)));
                }
                Ok(None) => std::thread::sleep(Duration::from_millis(2)),
            }
        }
    }
}

/// What a thread listens to.
enum Pipe {
    Words,
    Complaints,
}

impl Drop for Running {
    fn drop(&mut self) {
        // Already ended is what is wanted.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// All the text of a pipe; none when it is longer than allowed or no text.
fn all(pipe: impl Read, most: u64) -> Option<String> {
    let mut bytes = Vec::new();
    pipe.take(most + 1).read_to_end(&mut bytes).ok()?;
    (bytes.len() as u64 <= most).then(|| String::from_utf8_lossy(&bytes).into_owned())
}

/// A portable grey map: a line of sizes, then the pixels.
fn portable(sheet: &Sheet) -> Vec<u8> {
    let mut bytes = format!("P5 {} {} 255\n", sheet.width, sheet.height).into_bytes();
    bytes.extend(&sheet.grey);
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::PermissionsExt as _;

    /// A stand-in for the program.
    fn stub(script: &str) -> (tempfile::TempDir, PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let program = folder.path().join("stub");
        // Written under another name, then renamed: a file still open for writing cannot be run.
        let draft = folder.path().join("draft");
        std::fs::write(&draft, format!("#!/bin/sh\n{script}\n")).unwrap();
        std::fs::set_permissions(&draft, std::fs::Permissions::from_mode(0o755)).unwrap();
        std::fs::rename(&draft, &program).unwrap();
        (folder, program)
    }

    fn told(script: &str, seconds: f32) -> Result<String, Failure> {
        let (_folder, program) = stub(script);
        let sheet = Sheet { width: 600, height: 600, grey: vec![255; 360_000] };
        let manner = Manner { layout: "6", dots_an_inch: 300, signs: None };
        run(&program, &sheet, &manner, Instant::now() + Duration::from_secs_f32(seconds))
    }

    #[test]
    fn what_the_program_says_is_handed_back_and_it_gets_one_thread() {
        assert_eq!(told("cat >/dev/null; echo threads $OMP_THREAD_LIMIT", 20.0).unwrap(), "threads 1\n");
    }

    #[test]
    fn a_program_that_sleeps_or_never_reads_is_ended() {
        let folder = tempfile::tempdir().unwrap();
        let mark = folder.path().join("id");
        let started = Instant::now();
        let script = format!("echo $$ > {}; exec sleep 30", mark.display());
        assert!(matches!(told(&script, 0.5), Err(Failure::Slow(_))));
        assert!(started.elapsed() < Duration::from_secs(20));
        let id = std::fs::read_to_string(mark).unwrap();
        assert!(!Path::new("/proc").join(id.trim()).exists());
    }

    #[test]
    fn the_program_stays_in_the_group_that_is_ended_with_the_reader() {
        let group = rustix::process::getpgrp().as_raw_nonzero().to_string();
        let said = told(
            "cat >/dev/null; read -r id name state parent group rest < /proc/$$/stat; echo $group",
            20.0,
        );
        assert_eq!(said.unwrap().trim(), group);
    }

    #[test]
    fn a_program_that_fails_or_floods_gives_no_words() {
        assert!(matches!(told("exit 3", 20.0), Err(Failure::Broken)));
        assert!(matches!(told("echo Error opening data file >&2; exit 1", 20.0), Err(Failure::NoData)));
        assert!(told("head -c 20000000 /dev/zero", 20.0).is_err());
        assert!(told("yes", 5.0).is_err());
    }
}
