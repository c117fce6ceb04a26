//! The program itself on a home of its own.

use crate::maker::paper::Paper;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

/// A home for one measurement.
pub struct Place {
    dir: tempfile::TempDir,
}

impl Place {
    pub fn new() -> Self {
        Self { dir: tempfile::tempdir().unwrap() }
    }

    pub fn home(&self) -> PathBuf {
        self.dir.path().join("home")
    }

    pub fn folder(&self, name: &str) -> PathBuf {
        let folder = self.dir.path().join(name);
        std::fs::create_dir_all(&folder).unwrap();
        folder
    }

    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_loamline"));
        command
            .arg("--home")
            .arg(self.home())
            .args(arguments)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        command
    }

    /// Runs it to its good end: 3 says that something was held or refused, which no report made here is.
    pub fn run(&self, arguments: &[&str]) {
        let status = self.command(arguments).status().unwrap();
        assert_eq!(status.code(), Some(0), "{arguments:?}");
    }

    pub fn settings(&self, text: &str) {
        std::fs::create_dir_all(self.home()).unwrap();
        std::fs::write(self.home().join("loamline.toml"), text).unwrap();
    }
}

/// Writes the files and gives the folder.
pub fn write(folder: &Path, papers: &[Paper]) {
    papers.iter().for_each(|paper| std::fs::write(folder.join(&paper.name), &paper.bytes).unwrap());
}

/// A running command, ended with the measurement.
pub struct Running(pub Child);

impl Drop for Running {
    fn drop(&mut self) {
        // Gone already is as good.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}
