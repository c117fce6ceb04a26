//! The doorway: arguments in, exit code out.

/// The allocator of the whole program, its readers included.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    loamline::cli::run()
}
