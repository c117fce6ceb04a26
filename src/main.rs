//! The doorway: arguments in, exit code out.

fn main() -> std::process::ExitCode {
    loamline::cli::run()
}
