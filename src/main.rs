//! Arguments in, exit code out; nothing else.

fn main() -> std::process::ExitCode {
    enfilade::cli::run(std::env::args_os())
}
