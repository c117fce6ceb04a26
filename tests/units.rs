//! The unit files are ones that systemd takes, and leave the service little to harm.

use super::world::World;
use std::process::{Command, Stdio};

/// The bound that systemd itself calls fine work: its scale ends at 10.
const MOST_EXPOSED: f64 = 2.0;

#[test]
fn unit_files_pass_the_checks_of_systemd_where_it_is_there() {
    let world = World::new();
    let said = world.run(&["units", "-o", "units", "--program", "/bin/true"]);
    assert_eq!(said.code, Some(0), "{}", said.err);
    let files: Vec<&str> = said.out.lines().collect();
    assert_eq!(
        files,
        ["units/loamline.service", "units/loamline-nightly.service", "units/loamline-nightly.timer"]
    );
    assert!(!world.home().exists(), "writing units makes no home");
    let folder = world.home().with_file_name("units");
    if Command::new("systemd-analyze").arg("--version").stdout(Stdio::null()).status().is_err() {
        return;
    }
    for name in ["loamline.service", "loamline-nightly.service"] {
        let run = |args: &[&str]| {
            let output = Command::new("systemd-analyze").args(args).arg(folder.join(name)).output().unwrap();
            let text = format!(
                "{}{}",
                String::from_utf8_lossy(&output.stdout),
                String::from_utf8_lossy(&output.stderr)
            );
            assert!(output.status.success(), "{args:?} {name}: {text}");
            text
        };
        let complaints = run(&["verify"]);
        assert!(!complaints.contains(name), "{complaints}");
        let text = run(&["security", "--offline=true", "--no-pager"]);
        let overall = text.lines().find(|line| line.contains("Overall exposure")).unwrap();
        let figure: f64 = overall.split_whitespace().find_map(|word| word.parse().ok()).unwrap();
        assert!(figure <= MOST_EXPOSED, "{overall}");
    }
}
