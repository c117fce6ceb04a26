//! What the README promises to a newcomer is what there is.

use std::fs;
use std::path::Path;

fn text(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

#[test]
fn the_readme_opens_with_the_job_and_names_the_two_commands() {
    let readme = text("README.md");
    let first = readme.split("\n\n").nth(1).unwrap();
    for word in ["soil", "laborator", "history", "chart"] {
        assert!(first.contains(word), "the first paragraph does not speak of {word}: {first}");
    }
    for command in ["cargo run -- demo", "cargo test"] {
        assert!(readme.lines().any(|l| l.trim() == command), "{command}");
    }
    assert!(text(".ci/run").lines().any(|l| l.trim() == "cargo test"));
}

#[test]
fn every_command_the_readme_shows_is_one() {
    let world = super::world::World::new();
    let help = world.run(&["--help"]).out;
    let readme = text("README.md");
    let shown = readme.lines().filter_map(|l| l.strip_prefix("    loamline "));
    let mut seen = 0;
    for line in shown {
        let command = line.split_whitespace().next().unwrap();
        assert!(
            help.lines().any(|l| l.trim_start().starts_with(&format!("{command} "))),
            "{command}\n{help}"
        );
        seen += 1;
    }
    assert!(seen > 3);
}
