//! `units`: the files with which systemd runs the service, or the nightly pass.

use super::Exit;
use super::say::Say;
use crate::export::write_whole;
use anyhow::{Context as _, bail};
use std::path::{Path, PathBuf};

/// Where a system-wide program lies by custom, and where its state does (file-hierarchy(7), from memory).
const PROGRAM: &str = "/usr/local/bin/loamline";
const HOME: &str = "/var/lib/loamline";

/// Folders that the units hide from the service.
const HIDDEN: [&str; 5] = ["/home", "/root", "/run/user", "/tmp", "/var/tmp"];

const HARDENING: &str = include_str!("hardening.conf");

/// The files and their templates.
const UNITS: [(&str, &str); 3] = [
    ("loamline.service", include_str!("loamline.service")),
    ("loamline-nightly.service", include_str!("loamline-nightly.service")),
    ("loamline-nightly.timer", include_str!("loamline-nightly.timer")),
];

/// Writes unit files for systemd: the service, and a nightly pass with its timer.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline units -o units\n  loamline units --program /opt/soil/loamline -o /etc/systemd/system\n\nThe service runs as the user `loamline`, with its home in /var/lib/loamline, and sees little else of the machine. Enable loamline.service for the pages, or loamline-nightly.timer for one pass a night without them; one of the two works in a home at a time."
)]
pub struct Units {
    /// The folder they are written to
    #[arg(short, long, value_name = "DIR")]
    output: PathBuf,
    /// Where the program lies for the service
    #[arg(long, value_name = "FILE", default_value = PROGRAM)]
    program: String,
}

impl Units {
    /// Runs it.
    ///
    /// # Errors
    /// A sentence on the folder or the program's place.
    pub fn run(self) -> anyhow::Result<Exit> {
        usable(&self.program)?;
        std::fs::create_dir_all(&self.output)
            .with_context(|| format!("{} cannot be made", self.output.display()))?;
        let mut say = Say::default();
        for (name, template) in UNITS {
            let path = self.output.join(name);
            write_whole(&path, filled(template, &self.program).as_bytes())?;
            say.line(path.display().to_string())?;
        }
        if !Path::new(&self.program).is_file() {
            super::say::complain(&format!(
                "note: put the program at {} before you start them.",
                self.program
            ));
        }
        say.flush()?;
        Ok(Exit::Fine)
    }
}

/// The place of the program must mean itself to systemd, and be seen by the service.
fn usable(program: &str) -> anyhow::Result<()> {
    let plain = |c: char| c.is_ascii_alphanumeric() || "/._+-".contains(c);
    if !program.starts_with('/') || !program.chars().all(plain) || program.split('/').any(|part| part == "..")
    {
        bail!(
            "`{program}` is no place for the service's program: name a full path of letters, digits and . _ + -"
        );
    }
    if HIDDEN.iter().any(|folder| Path::new(program).starts_with(folder)) {
        bail!(
            "{program} is hidden from the service: install the program elsewhere, for example at {PROGRAM}"
        );
    }
    Ok(())
}

fn filled(template: &str, program: &str) -> String {
    template.replace("@HARDENING@", HARDENING).replace("@PROGRAM@", program).replace("@HOME@", HOME)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_place_is_filled_and_both_services_are_hardened() {
        for (name, template) in UNITS {
            let unit = filled(template, PROGRAM);
            let open = ["@PROGRAM@", "@HOME@", "@HARDENING@"];
            assert!(open.iter().all(|mark| !unit.contains(mark)), "{name}: {unit}");
            if name.ends_with(".service") {
                assert!(
                    unit.contains("\nExecStart=/usr/local/bin/loamline --home /var/lib/loamline "),
                    "{unit}"
                );
                assert!(unit.contains("\nNoNewPrivileges=yes\n"), "{unit}");
            }
        }
    }

    #[test]
    fn a_program_that_the_service_cannot_see_or_systemd_would_read_otherwise_is_refused() {
        assert!(usable(PROGRAM).is_ok() && usable("/opt/soil-2.1/bin/loamline").is_ok());
        for wrong in [
            "loamline",
            "/opt/a b",
            "/opt/%n",
            "/opt/$x",
            "/opt/../home/x",
            "/opt/x\n",
            "/home/robin/x",
            "/tmp/x",
        ] {
            assert!(usable(wrong).is_err(), "{wrong}");
        }
    }
}
