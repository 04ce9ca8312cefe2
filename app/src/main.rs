//! The thin binary.
fn main() -> std::process::ExitCode {
    hirsel_app::main_entry()
}
