//! The asking side: keeps one reading process warm, bounds its time, and turns its death into a refusal.

use super::frame::{self, Answer, Request};
use super::look::{Look, Seen};
use super::work::{self, Ended};
use super::{CHILD_ARGUMENT, ReadDocument};
use crate::document::{Cause, Format, Limits, Refusal};
use std::io::{self, Read};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

/// Documents one process reads before a fresh one takes its place.
const DOCUMENTS_A_CHILD: u32 = 1024;

/// A mail or archive may take so many times the time of one document.
const DOCUMENTS_OF_TIME: u32 = 30;

/// Members that may stop a reader before the whole is given up.
const STOPS_FORGIVEN: usize = 5;

/// Once a stop is asked for, the document in hand has so long to be finished.
const GRACE: Duration = Duration::from_secs(4);

/// The part of a document's time that reading it may take; the rest is for starting a reader and filing.
const READING_SHARE: f64 = 0.9;

/// Address space that the allocator of a reader sets aside at once.
const ALLOCATED_AT_ONCE: &str = "16MiB";

/// Of what a process says of its own end, so much is kept, bytes.
const COMPLAINT: u64 = 4 << 10;

/// So long a dead process's last words are waited for.
const LAST_WORDS: Duration = Duration::from_millis(500);

const OUT_OF_MEMORY: &[u8] = b"memory allocation of ";

/// A stop is looked for this often while a document is read.
const LOOK: Duration = Duration::from_millis(100);

/// A reader: one warm process, started when first needed.
///
/// The process ends with the thread that started it; use a reader on one thread alone.
#[derive(Debug)]
pub struct Reader {
    program: PathBuf,
    limits: Limits,
    stop: Arc<AtomicBool>,
    running: Option<Running>,
    tries: u32,
}

/// What the last document cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cost {
    /// How often a process began to read it.
    pub tries: u32,
    /// The most resident memory of the process in its life, MiB; none where it is gone or the system does not say.
    pub peak_mib: Option<u64>,
}

#[derive(Debug)]
struct Running {
    child: Child,
    input: ChildStdin,
    answers: Receiver<Answer>,
    complaint: Receiver<Vec<u8>>,
    documents: u32,
}

impl Running {
    /// How a process that died came to its end, by its last words.
    fn ended(&self, limits: &Limits) -> Ended {
        let words = self.complaint.recv_timeout(LAST_WORDS).unwrap_or_default();
        // What the runtime says before it ends a process that gets no more memory (library/std/src/alloc.rs).
        let memory = words.windows(OUT_OF_MEMORY.len()).any(|w| w == OUT_OF_MEMORY);
        // Half of a reader's address space is what it may write to.
        if memory { Ended::Memory(limits.memory_mib / 2) } else { Ended::Stopped }
    }
}

/// How one try ended.
enum Try {
    Read(Box<ReadDocument>),
    Seen(Box<Seen>),
    /// The process died while it read this member (0: the document itself).
    Died(u32, Ended),
    /// The time was up at this member.
    TimeUp(u32, u64),
}

impl Reader {
    /// A reader with these bounds; `program` is this program's own file. Once `stop` is set, a document that is
    /// not finished soon is given up.
    pub fn new(program: PathBuf, limits: Limits, stop: Arc<AtomicBool>) -> Self {
        Self { program, limits, stop, running: None, tries: 0 }
    }

    /// What the last document cost.
    pub fn cost(&self) -> Cost {
        let status = self
            .running
            .as_ref()
            .and_then(|running| std::fs::read_to_string(format!("/proc/{}/status", running.child.id())).ok());
        let peak = status.as_deref().and_then(|s| s.lines().find_map(|line| line.strip_prefix("VmHWM:")));
        let kib = peak.and_then(|rest| rest.trim().trim_end_matches("kB").trim().parse::<u64>().ok());
        Cost { tries: self.tries, peak_mib: kib.map(|kib| kib >> 10) }
    }

    /// This program's own file, even after it was replaced on disk.
    ///
    /// # Errors
    /// What the system says.
    pub fn own_program() -> io::Result<PathBuf> {
        let own = Path::new("/proc/self/exe");
        if own.exists() { Ok(own.to_owned()) } else { std::env::current_exe() }
    }

    /// Reads a document. Whatever is wrong with it stands in the result.
    ///
    /// # Errors
    /// Only causes outside the document: no process can be started, or the program is being stopped
    /// ([`io::ErrorKind::Interrupted`]).
    pub fn read(&mut self, name: &str, bytes: &[u8]) -> io::Result<ReadDocument> {
        let mut skip: Vec<u32> = Vec::new();
        let (mut deaths, mut ended) = (0, Ended::Stopped);
        self.tries = 0;
        let time = Duration::from_secs(self.limits.seconds).mul_f64(READING_SHARE);
        let begun = Instant::now();
        loop {
            // The second try has what the first left of the document's time.
            let left = if deaths == 0 { time } else { time.saturating_sub(begun.elapsed()) };
            self.tries += 1;
            let culprit = match self.attempt(self.request(name, bytes, &skip), bytes, left)? {
                Try::Read(read) => return Ok(*read),
                // Nobody asked to see anything.
                Try::Seen(_) => return Ok(refused(name, bytes, work::stopped(bytes, Ended::Stopped))),
                Try::Died(_, how) if deaths == 0 => {
                    (deaths, ended) = (1, how);
                    continue;
                }
                Try::TimeUp(0, _) if deaths > 0 => {
                    return Ok(refused(name, bytes, work::stopped(bytes, ended)));
                }
                Try::TimeUp(0, seconds) => return Ok(refused(name, bytes, time_up(seconds))),
                Try::Died(member, how) => {
                    ended = how;
                    member
                }
                Try::TimeUp(member, _) => member,
            };
            if culprit == 0 || skip.contains(&culprit) || skip.len() >= STOPS_FORGIVEN {
                return Ok(refused(name, bytes, work::stopped(bytes, ended)));
            }
            skip.push(culprit);
            deaths = 0;
        }
    }

    /// Shows a page of a document. A page that cannot be shown, or that ends its reader, is nothing to see.
    ///
    /// # Errors
    /// As [`Reader::read`].
    pub fn look(&mut self, bytes: &[u8], look: &Look) -> io::Result<Seen> {
        let request = Request { look: Some(look.clone()), ..self.request("", bytes, &[]) };
        let time = Duration::from_secs(self.limits.seconds);
        match self.attempt(request, bytes, time)? {
            Try::Seen(seen) => Ok(*seen),
            Try::Read(_) | Try::Died(..) | Try::TimeUp(..) => Ok(Seen::Nothing),
        }
    }

    fn request(&self, name: &str, bytes: &[u8], skip: &[u32]) -> Request {
        Request {
            name: name.to_owned(),
            bytes: bytes.len() as u64,
            limits: self.limits.clone(),
            skip: skip.to_vec(),
            look: None,
        }
    }

    fn attempt(&mut self, request: Request, bytes: &[u8], time: Duration) -> io::Result<Try> {
        let mut running = match self.running.take() {
            Some(r) if r.documents < DOCUMENTS_A_CHILD => r,
            _ => self.start()?,
        };
        let mut member = 0;
        if frame::write_request(&mut running.input, &request, bytes).is_err() {
            return Ok(Try::Died(member, running.ended(&self.limits)));
        }
        let seconds = self.limits.seconds;
        let begun = Instant::now();
        let last = begun + Duration::from_secs(seconds.max(self.limits.ocr_seconds)) * DOCUMENTS_OF_TIME;
        let mut until = begun + time;
        let mut stop_at: Option<Instant> = None;
        loop {
            let now = Instant::now();
            if self.stop.load(Ordering::Relaxed) && now >= *stop_at.get_or_insert(now + GRACE) {
                return Err(io::ErrorKind::Interrupted.into());
            }
            let rest = until.min(last).saturating_duration_since(now);
            match running.answers.recv_timeout(rest.min(LOOK)) {
                Ok(Answer::Member(number)) => {
                    member = number;
                    until = Instant::now() + Duration::from_secs(seconds);
                }
                Ok(Answer::Recognising(pages)) => {
                    let pages = self.limits.ocr_page_seconds.saturating_mul(u64::from(pages));
                    until += Duration::from_secs(pages.min(self.limits.ocr_seconds));
                }
                Ok(Answer::Done(read)) => {
                    running.documents += 1;
                    self.running = Some(running);
                    return Ok(Try::Read(read));
                }
                Ok(Answer::Seen(seen)) => {
                    running.documents += 1;
                    self.running = Some(running);
                    return Ok(Try::Seen(seen));
                }
                Err(RecvTimeoutError::Timeout) if rest > LOOK => {}
                Err(RecvTimeoutError::Timeout) => return Ok(Try::TimeUp(member, begun.elapsed().as_secs())),
                Err(RecvTimeoutError::Disconnected) => {
                    return Ok(Try::Died(member, running.ended(&self.limits)));
                }
            }
        }
    }

    fn start(&self) -> io::Result<Running> {
        let mut child = Command::new(&self.program)
            .arg0("loamline")
            .arg(CHILD_ARGUMENT)
            .arg(self.limits.memory_mib.to_string())
            // The allocator takes from the system bit by bit: what it set aside at once would count against the limit.
            .env("MIMALLOC_ARENA_RESERVE", ALLOCATED_AT_ONCE)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            // What a decoder or a panic says is of no use to a person and must not reach a terminal.
            .stderr(Stdio::piped())
            // A group of its own: a Ctrl-C at the terminal lets the document in hand be finished,
            // and the end of the reader is the end of everything it started.
            .process_group(0)
            .spawn()?;
        let (Some(input), Some(mut output), Some(mut complains)) =
            (child.stdin.take(), child.stdout.take(), child.stderr.take())
        else {
            return Err(io::Error::other("the reader has no pipes"));
        };
        let (send, answers) = mpsc::channel();
        std::thread::Builder::new().spawn(move || {
            while let Ok(Some(answer)) = frame::read::<Answer>(&mut output) {
                if send.send(answer).is_err() {
                    return;
                }
            }
        })?;
        let (send, complaint) = mpsc::channel();
        std::thread::Builder::new().spawn(move || {
            let mut words = Vec::new();
            // Read to the end whatever is said: a full pipe would stop the reader.
            let _ = complains.by_ref().take(COMPLAINT).read_to_end(&mut words);
            let _ = io::copy(&mut complains, &mut io::sink());
            let _ = send.send(words);
        })?;
        Ok(Running { child, input, answers, complaint, documents: 0 })
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        if let Some(group) = i32::try_from(self.child.id()).ok().and_then(rustix::process::Pid::from_raw) {
            // Gone already is as good.
            let _ = rustix::process::kill_process_group(group, rustix::process::Signal::KILL);
        }
        let _ = self.child.wait();
    }
}

fn time_up(seconds: u64) -> Refusal {
    Refusal::new(
        Cause::Limit,
        Format::Unknown,
        format!("Reading stopped after {seconds} seconds."),
        "Send the pages with the results alone.",
    )
}

/// The record of a document that gave nothing.
pub fn refused(name: &str, bytes: &[u8], refusal: Refusal) -> ReadDocument {
    ReadDocument {
        name: name.to_owned(),
        sha256: work::sha256_hex(bytes),
        bytes_len: bytes.len() as u64,
        format: refusal.format,
        result: Err(refusal),
        notes: Vec::new(),
        needs_recognition: false,
        members: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reader(program: impl Into<PathBuf>, seconds: u64) -> Reader {
        Reader::new(program.into(), Limits { seconds, ..Limits::default() }, Arc::default())
    }

    #[test]
    fn a_reader_that_dies_at_once_gives_a_refusal_not_an_error() {
        let mut reader = reader("/bin/false", 20);
        let read = reader.read("x.pdf", b"abc").unwrap();
        assert_eq!(read.result.unwrap_err().cause, Cause::Stopped);
        assert_eq!(read.bytes_len, 3);
        assert_eq!(reader.cost(), Cost { tries: 2, peak_mib: None });
    }

    /// A program that does this whenever it is started.
    fn program(folder: &Path, does: &str) -> PathBuf {
        let program = folder.join("program");
        std::fs::write(&program, format!("#!/bin/sh\n{does}\n")).unwrap();
        let mut mode = std::fs::metadata(&program).unwrap().permissions();
        std::os::unix::fs::PermissionsExt::set_mode(&mut mode, 0o755);
        std::fs::set_permissions(&program, mode).unwrap();
        program
    }

    #[test]
    fn a_reader_that_gets_no_more_memory_is_said_to_be_that() {
        let dir = tempfile::tempdir().unwrap();
        // More than a pipe holds comes after it.
        let does = "echo memory allocation of 64 bytes failed >&2; head -c 100000 /dev/zero >&2";
        let read = reader(program(dir.path(), does), 20).read("x.csv", b"Sample,pH\nA,6\n").unwrap();
        let refusal = read.result.unwrap_err();
        assert!(refusal.what.contains("more than 512 MB of memory"), "{refusal}");
        assert!(!refusal.remedy.contains("PDF"), "{refusal}");
    }

    #[test]
    fn a_reader_that_hangs_is_ended_when_its_time_is_up() {
        let dir = tempfile::tempdir().unwrap();
        let mut reader = reader(program(dir.path(), "sleep 60 & wait"), 1);
        let begun = Instant::now();
        let read = reader.read("x.pdf", b"abc").unwrap();
        assert_eq!(read.result.unwrap_err().cause, Cause::Limit);
        assert!(begun.elapsed() < Duration::from_secs(10));
    }

    #[test]
    fn no_reader_at_all_is_an_error_of_the_outside() {
        let mut reader = reader("/nowhere/loamline", 20);
        assert!(reader.read("x.pdf", b"abc").is_err());
    }
}
