//! The thin binary.

/// Gives memory back that many threads took while a book was opened; the system's keeps it for each of them.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    hirsel_app::main_entry()
}
