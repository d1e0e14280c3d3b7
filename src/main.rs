//! The command-line program; everything it does lives in the library.
use std::process::ExitCode;

use clap::Parser;
use sparemesh::cli::{Cli, run};

fn main() -> ExitCode {
    let out = &mut std::io::BufWriter::new(std::io::stdout().lock());
    run(&Cli::parse(), out, &mut std::io::stderr().lock()).into()
}
