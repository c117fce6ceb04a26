//! A world for one test: a home folder, files to give, and the real program run on them.

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

/// A plain table of results that any release must read.
pub const TABLE: &str = "\
Laboratory,Example Soil Room
Client,J. Orchard
Report,R-100
Date reported,2024-05-06

Sample ID,Date sampled,pH (1:1 water),Organic matter (LOI) %,Phosphorus (Mehlich-3) ppm,Potassium (Mehlich-3) ppm
Front lawn,2024-04-20,6.4,3.9,31,142
Back lawn,2024-04-20,6.1,4.2,18,97
North bed,2024-04-20,6.6,5.1,44,180
South bed,2024-04-20,6.2,4.8,39,165
";

/// A home and a place for given files; both are gone when the test ends.
pub struct World {
    dir: tempfile::TempDir,
}

/// What a run said.
pub struct Said {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl World {
    pub fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        std::fs::create_dir(dir.path().join("given")).unwrap();
        Self { dir }
    }

    pub fn home(&self) -> PathBuf {
        self.dir.path().join("home")
    }

    /// Writes a file outside the home and gives its path.
    pub fn give(&self, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
        let path = self.dir.path().join("given").join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, bytes).unwrap();
        path
    }

    /// Drops a whole file into the inbox.
    pub fn drop_in(&self, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
        let path = self.home().join("inbox").join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, bytes).unwrap();
        path
    }

    pub fn settings(&self, text: &str) {
        std::fs::create_dir_all(self.home()).unwrap();
        std::fs::write(self.home().join("loamline.toml"), text).unwrap();
    }

    /// The program with these arguments on this home.
    pub fn command(&self, args: &[&str]) -> Command {
        self.command_by(&[], args)
    }

    /// The same, run by another program (`strace`, `sh`).
    pub fn command_by(&self, by: &[&str], args: &[&str]) -> Command {
        let mut words = by.to_vec();
        words.push(env!("CARGO_BIN_EXE_loamline"));
        let mut c = Command::new(words[0]);
        c.args(&words[1..])
            .env_clear()
            .envs(
                std::env::vars_os().filter(|(k, _)| k == "PATH" || k.to_string_lossy().starts_with("LLVM_")),
            )
            .env("HOME", self.dir.path())
            .arg("--home")
            .arg(self.home())
            .args(args)
            .current_dir(self.dir.path())
            .stdin(Stdio::null());
        c
    }

    pub fn run(&self, args: &[&str]) -> Said {
        Self::said(&mut self.command(args))
    }

    /// The same, run by another program.
    pub fn run_by(&self, by: &[&str], args: &[&str]) -> Said {
        Self::said(&mut self.command_by(by, args))
    }

    pub fn said(command: &mut Command) -> Said {
        let Output { status, stdout, stderr } = command.output().unwrap();
        let text = |b: Vec<u8>| String::from_utf8(b).unwrap();
        Said { code: status.code(), out: text(stdout), err: text(stderr) }
    }

    /// The same with something on standard input.
    pub fn run_with_input(&self, args: &[&str], input: &[u8]) -> Said {
        let mut child = self
            .command(args)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        std::io::Write::write_all(&mut child.stdin.take().unwrap(), input).unwrap();
        let Output { status, stdout, stderr } = child.wait_with_output().unwrap();
        let text = |b: Vec<u8>| String::from_utf8(b).unwrap();
        Said { code: status.code(), out: text(stdout), err: text(stderr) }
    }

    /// Starts a command that goes on until it is stopped.
    pub fn start(&self, args: &[&str]) -> Running {
        self.started(self.command(args).stdout(Stdio::null()).stderr(Stdio::null()))
    }

    /// The same for a command that is laid out already.
    pub fn started(&self, command: &mut Command) -> Running {
        Running { child: command.spawn().unwrap() }
    }

    pub fn ingest(&self, path: &Path) -> Said {
        self.run(&["ingest", path.to_str().unwrap()])
    }

    /// Rows of an export.
    pub fn export(&self, table: &str) -> Vec<serde_json::Value> {
        let said = self.run(&["export", table, "--format", "json"]);
        assert_eq!(said.code, Some(0), "{}", said.err);
        serde_json::from_str(&said.out).unwrap()
    }

    /// Files below a folder of the home, relative, sorted.
    pub fn files(&self, folder: &str) -> Vec<String> {
        let root = self.home().join(folder);
        let mut all = Vec::new();
        let mut todo = vec![root.clone()];
        while let Some(dir) = todo.pop() {
            for e in std::fs::read_dir(&dir).into_iter().flatten().flatten() {
                if e.path().is_dir() {
                    todo.push(e.path());
                } else {
                    all.push(e.path().strip_prefix(&root).unwrap().to_str().unwrap().to_owned());
                }
            }
        }
        all.sort();
        all
    }
}

/// Whether a tool of the tests is there; `LOAMLINE_TOOLS=all` (set by `.ci/run`) makes its absence a failure.
pub fn has_tool(name: &str) -> bool {
    let there = Command::new(name).arg("-V").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok();
    let wanted = std::env::var("LOAMLINE_TOOLS").is_ok_and(|v| v == "all");
    assert!(there || !wanted, "{name} is not installed");
    there
}

/// A running command, ended with the test.
pub struct Running {
    child: Child,
}

impl Running {
    /// Sends it a signal.
    pub fn signal(&self, signal: rustix::process::Signal) {
        rustix::process::kill_process(rustix::process::Pid::from_child(&self.child), signal).unwrap();
    }

    /// Asks it to stop as a service manager does, and gives its exit code.
    pub fn stop(mut self) -> Option<i32> {
        self.signal(rustix::process::Signal::TERM);
        let until = Instant::now() + Duration::from_secs(10);
        while Instant::now() < until {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.code();
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        panic!("did not stop within 10 seconds");
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Waits until something holds.
pub fn eventually(what: &str, mut holds: impl FnMut() -> bool) {
    let until = Instant::now() + Duration::from_secs(20);
    while !holds() {
        assert!(Instant::now() < until, "{what}: not within 20 seconds");
        std::thread::sleep(Duration::from_millis(50));
    }
}
