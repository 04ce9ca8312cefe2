//! The thin binary.
/// A flock is many small records, read on several threads and kept: this allocator holds them closer together than the
/// system's own and gives back what a page or a paper needed for a while.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    hirsel_app::main_entry()
}
