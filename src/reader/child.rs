//! The reading process: sets its own limits, then takes documents from its input until that ends.

use super::frame::{self, Answer, Request};
use super::look;
use super::work::{self, Progress};
use rustix::process::{Resource, Rlimit, Signal, getpgrp, getpid, kill_current_process_group, setrlimit};
use std::io::{self, Write};
use std::sync::mpsc;

/// Own stack of the reading thread, bytes.
const STACK_BYTES: usize = 8 << 20;

/// Processor seconds of one reading process in all its life: a wall behind the wall clock of the parent.
const CPU_SECONDS: u64 = 3_600;

/// Runs the reading process to its end; the exit status is nonzero where it cannot be set up.
pub fn run(memory_mib: u64) -> u8 {
    // What a decoder's caught panic says is for nobody; the terminal of a person is no place for it.
    std::panic::set_hook(Box::new(|_| {}));
    let (jobs, taken) = mpsc::sync_channel::<(Request, Vec<u8>)>(1);
    if limit(memory_mib).is_err() {
        return 1;
    }
    let reading = std::thread::Builder::new().stack_size(STACK_BYTES).spawn(move || {
        let _guard = EndWithMe;
        for (request, document) in taken {
            if answer(&request, &document).is_err() {
                return;
            }
        }
    });
    if reading.is_err() {
        return 1;
    }
    // The input is watched even while a document is read: its end is the end of the program that asked.
    let mut input = io::stdin().lock();
    while let Ok(Some(job)) = frame::read_request(&mut input) {
        if jobs.send(job).is_err() {
            return 1;
        }
    }
    end_group();
    0
}

/// Ends this process with the text recognition it may have running, where the group is its own: the program that
/// asked may have been killed, and then nobody else can.
fn end_group() {
    if getpgrp() == getpid() {
        // Should it fail, the return from here ends the process at least.
        let _ = kill_current_process_group(Signal::KILL);
    }
}

fn limit(memory_mib: u64) -> io::Result<()> {
    let both = |n: u64| Rlimit { current: Some(n), maximum: Some(n) };
    let memory = memory_mib.saturating_mul(1 << 20);
    setrlimit(Resource::Core, both(0))?;
    setrlimit(Resource::Cpu, both(CPU_SECONDS))?;
    // Written pages count as data: half the address space bounds what is resident.
    setrlimit(Resource::Data, both(memory / 2))?;
    setrlimit(Resource::As, both(memory))?;
    Ok(())
}

/// A panic of the reading thread ends the process, so that nobody waits for it.
struct EndWithMe;

impl Drop for EndWithMe {
    fn drop(&mut self) {
        if std::thread::panicking() {
            std::process::abort();
        }
    }
}

struct Tell<W>(W);

impl<W: Write> Progress for Tell<W> {
    fn member(&mut self, number: u32) {
        // A pipe that is gone ends the process by its input.
        let _ = frame::write(&mut self.0, &Answer::Member(number));
    }

    fn recognising(&mut self, pages: u32) {
        let _ = frame::write(&mut self.0, &Answer::Recognising(pages));
    }
}

fn answer(request: &Request, document: &[u8]) -> io::Result<()> {
    let mut tell = Tell(io::stdout());
    if let Some(wanted) = &request.look {
        let seen = look::look(document, &request.limits, wanted);
        return frame::write(&mut tell.0, &Answer::Seen(Box::new(seen)));
    }
    let read = work::read_tree(&request.name, document, &request.limits, &request.skip, &mut tell);
    frame::write(&mut tell.0, &Answer::Done(Box::new(read)))
}
