//! The command-line program; everything it does lives in the library.
use std::process::ExitCode;

use clap::Parser;
use sparemesh::cli::{Cli, run};

fn main() -> ExitCode {
    let out = &mut std::io::BufWriter::new(std::io::stdout().lock());
    // Not locked: a thread that panics has to be able to say so.
    run(&Cli::parse(), out, &mut std::io::stderr()).into()
}
