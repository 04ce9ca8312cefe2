//! The thin binary.
fn main() -> std::process::ExitCode {
    hirsel_app::desk::run(std::env::args_os().nth(1).map(Into::into))
}
