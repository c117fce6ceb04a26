//! Settings that change while the service runs.

use crate::world::{TABLE, World, eventually};
use std::fs::{self, File};
use std::time::Duration;

#[test]
fn a_running_service_takes_new_settings_and_keeps_the_last_good_ones() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 3600\nlist_seconds = 3600\n");
    w.run(&["sites"]);
    let log = w.home().with_file_name("log");
    let said = || fs::read_to_string(&log).unwrap();
    let mut command = w.command(&["watch"]);
    let running = w.started(
        command.stdout(File::create(&log).unwrap()).stderr(File::options().append(true).open(&log).unwrap()),
    );
    w.drop_in("a.csv", TABLE);
    eventually("it watches", || said().contains("watching"));
    w.settings("[watch]\nsettle_seconds = 0.1\nlist_secons = 1\n");
    eventually("the wrong line is named", || said().contains("loamline.toml:3:1: "));
    assert!(
        said().contains("stay in force") && said().contains("did you mean `list_seconds`?"),
        "{}",
        said()
    );
    std::thread::sleep(Duration::from_millis(500));
    assert_eq!(w.files("inbox"), ["a.csv"], "half of wrong settings is not used either");
    w.settings("[watch]\nsettle_seconds = 0.1\nlist_seconds = 1\npoll = true\n");
    eventually("the report is taken under the new ones", || w.files("inbox").is_empty());
    assert!(
        said().contains("changed=[watch]") && said().contains("setting=\"`poll` under [watch]\""),
        "{}",
        said()
    );
    assert_eq!(running.stop(), Some(0));
    assert_eq!(w.export("documents").len(), 1);
}
