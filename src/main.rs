//! The command-line program; everything it does lives in the library.
use std::process::ExitCode;

use clap::{ColorChoice, CommandFactory, FromArgMatches};
use sparemesh::cli::{Cli, run};

fn main() -> ExitCode {
    let out = &mut std::io::BufWriter::new(std::io::stdout().lock());
    // Not locked: a thread that panics has to be able to say so.
    run(&asked(), out, &mut std::io::stderr()).into()
}

/// What was asked; told without colours where that was asked too, though the rest be misspelt.
fn asked() -> Cli {
    let plain = std::env::args_os().any(|word| word == "--no-color");
    let colour = if plain { ColorChoice::Never } else { ColorChoice::Auto };
    let found = Cli::command().color(colour).get_matches();
    Cli::from_arg_matches(&found).unwrap_or_else(|error| error.exit())
}
