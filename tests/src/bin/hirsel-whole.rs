//! The program itself, built together with the tests that start it as a program.

fn main() -> std::process::ExitCode {
    hirsel_app::main_entry()
}
