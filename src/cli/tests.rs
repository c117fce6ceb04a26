//! What the help shows is what the program takes.

use super::Cli;
use clap::{Command, CommandFactory, Parser};

/// The commands people see, each with the words that call it and those of its parent.
fn commands() -> Vec<(String, String, Command)> {
    fn add(command: &Command, above: &str, all: &mut Vec<(String, String, Command)>) {
        for below in command.get_subcommands().filter(|c| !c.is_hide_set() && c.get_name() != "help") {
            let words = format!("{above} {}", below.get_name());
            add(below, &words, all);
            all.push((words, above.to_owned(), below.clone()));
        }
    }
    let mut all = Vec::new();
    add(&Cli::command(), "loamline", &mut all);
    all
}

fn examples(command: &Command) -> Vec<String> {
    let help = command.get_after_help().map(ToString::to_string).unwrap_or_default();
    help.lines()
        .filter_map(|line| line.strip_prefix("  loamline "))
        .map(|rest| format!("loamline {rest}"))
        .collect()
}

/// The words of a line as a shell takes them; what comes after `<` or `>` is the shell's own.
fn words(line: &str) -> Vec<String> {
    let (mut words, mut word, mut quoted) = (Vec::new(), String::new(), false);
    for sign in line.chars().take_while(|sign| !"<>".contains(*sign)) {
        match sign {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(std::mem::take(&mut word)),
            _ => word.push(sign),
        }
    }
    words.push(word);
    words.retain(|word| !word.is_empty());
    words
}

#[test]
fn every_command_is_shown_in_an_example_of_its_own_or_of_the_one_above() {
    let all = commands();
    assert!(all.len() > 30, "{}", all.len());
    for (words, above, command) in &all {
        let parent = all.iter().find(|(name, ..)| name == above).map(|(.., parent)| examples(parent));
        let called = |line: &String| line.contains(&words["loamline".len()..]);
        assert!(
            examples(command).iter().chain(parent.iter().flatten()).any(called),
            "`{words} --help` shows no example"
        );
    }
}

#[test]
fn every_example_is_a_line_that_the_program_takes() {
    let top = Cli::command();
    let lines: Vec<String> =
        commands().iter().map(|(.., command)| command).chain([&top]).flat_map(examples).collect();
    assert!(lines.len() > 50, "{}", lines.len());
    for line in lines {
        if let Err(error) = Cli::try_parse_from(words(&line)) {
            panic!("{line}: {error}");
        }
    }
}

#[test]
fn every_command_line_of_the_readme_is_one_that_the_program_takes() {
    let readme = include_str!("../../README.md");
    let lines: Vec<&str> = readme.lines().filter(|line| line.starts_with("    loamline ")).collect();
    assert!(lines.len() > 15, "{}", lines.len());
    for line in lines {
        if let Err(error) = Cli::try_parse_from(words(line.trim())) {
            panic!("{line}: {error}");
        }
    }
}
