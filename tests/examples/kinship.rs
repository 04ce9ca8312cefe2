//! Inbreeding of a made-up pedigree: seconds, and the most memory this process ever held.
//!
//! `cargo run --release -p hirsel_tests --example kinship -- flocks|closed|closed-small|deep [FILE.csv]` makes the
//! pedigree of the benches, reckons it on two threads and prints what it took. With a file it also writes the pedigree
//! (animal,sire,dam by number from 1; 0 is not known) with the inbreeding, for others to be measured on.

#[path = "../benches/made/pedigrees.rs"]
mod pedigrees;

use hirsel_core::reckon::kinship::{NONE, inbreeding};
use pedigrees::{CLOSED, CLOSED_SMALL, DEEP, FLOCKS, pedigree};
use std::io::{BufWriter, Write as _};
use std::process::ExitCode;
use std::time::Instant;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let form = match args.first().map(String::as_str) {
        Some("flocks") => FLOCKS,
        Some("closed") => CLOSED,
        Some("closed-small") => CLOSED_SMALL,
        Some("deep") => DEEP,
        _ => {
            eprintln!(
                "say which pedigree: flocks, closed, closed-small or deep, and a file to write it to if you want"
            );
            return ExitCode::from(2);
        }
    };
    let p = pedigree(&form);
    let start = Instant::now();
    let f = inbreeding(&p, 2);
    let took = start.elapsed().as_secs_f64();
    let mean = f.iter().sum::<f64>() / f.len() as f64;
    println!("{} animals, {}: {took:.3} s, mean inbreeding {mean:.6}", p.len(), form.name);
    match peak() {
        Some(mb) => println!("most memory held, pedigree and inbreeding included: {mb:.0} MB"),
        None => println!("most memory held: this system does not tell"),
    }
    let Some(path) = args.get(1) else { return ExitCode::SUCCESS };
    let written = std::fs::File::create(path).and_then(|file| {
        let mut out = BufWriter::new(file);
        writeln!(out, "animal,sire,dam,inbreeding")?;
        let number = |p: u32| if p == NONE { 0 } else { p + 1 };
        for (i, ([s, d], f)) in p.parents().iter().zip(&f).enumerate() {
            writeln!(out, "{},{},{},{f}", i + 1, number(*s), number(*d))?;
        }
        out.flush()
    });
    if let Err(e) = written {
        eprintln!("{path}: {e}");
        return ExitCode::from(2);
    }
    ExitCode::SUCCESS
}

/// The high-water mark of this process in MB, where the system keeps one.
fn peak() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = text.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    line.split_whitespace().next()?.parse::<f64>().ok().map(|kb| kb / 1024.0)
}
