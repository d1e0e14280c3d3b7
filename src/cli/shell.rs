//! `completions` and `man`.

use clap::CommandFactory;

use super::args::{Cli, CompletionsArgs, ManArgs};
use super::{Outcome, Ran, Streams};

pub(super) fn completions(args: &CompletionsArgs, streams: &mut Streams<'_>) -> Ran {
    // Written to memory first: the generator panics on a closed pipe.
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "sparemesh", &mut script);
    streams.out.write_all(&script)?;
    Ok(Outcome::Done)
}

pub(super) fn man(args: &ManArgs, streams: &mut Streams<'_>) -> Ran {
    let fail = |e: std::io::Error| format!("cannot write into `{}`: {e}", args.dir.display());
    std::fs::create_dir_all(&args.dir).map_err(fail)?;
    clap_mangen::generate_to(Cli::command(), &args.dir).map_err(fail)?;
    streams.say(&format!("wrote manual pages into {}", args.dir.display()));
    Ok(Outcome::Done)
}
