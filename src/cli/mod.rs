//! The command line: one file per command; nobody looks into this room.

mod args;
mod budget;
mod check;
mod explain;
mod load;
mod lookup;
mod measured;
mod pair;
mod plan;
mod plan_actions;
mod plan_first;
mod plan_lists;
mod rate;
mod render;
mod report;
mod shell;
mod substitute;
mod tables;
mod template;
mod what_if;

use std::error::Error;
use std::io::{self, Write};
use std::process::ExitCode;

use crate::findings::{Finding, Severity};

pub use args::{Cli, Command, Common, UnitSystem};

/// How a run ended; the one place where exit codes are decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// The job was done.
    Done,
    /// The job was done, and a finding of error severity was asked to count.
    Findings,
    /// The job could not be done.
    Failed,
}

impl Outcome {
    /// 0 done, 1 done with errors where asked, 2 could not.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::Findings => 1,
            Self::Failed => 2,
        }
    }
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(outcome.code())
    }
}

/// What every command returns.
type Ran = Result<Outcome, Box<dyn Error>>;

/// Where a command writes: data to `out`, talk to `err`.
struct Streams<'a> {
    out: &'a mut dyn Write,
    err: &'a mut dyn Write,
    common: &'a Common,
}

impl Streams<'_> {
    /// Says something, unless asked to be quiet.
    fn say(&mut self, text: &str) {
        if !self.common.quiet {
            // Talk that cannot be heard is no reason to stop.
            let _ = writeln!(self.err, "{text}");
        }
    }
}

/// Runs a command.
pub fn run(cli: &Cli, out: &mut dyn Write, err: &mut dyn Write) -> Outcome {
    let mut streams = Streams { out, err, common: &cli.common };
    let result = match &cli.command {
        Command::Check(args) => check::run(args, &mut streams),
        Command::Rate(args) => rate::run(args, &mut streams),
        Command::Substitute(args) => substitute::run(args, &mut streams),
        Command::Explain(args) => explain::run(args, &mut streams),
        Command::Plan(args) => plan::run(args, &mut streams),
        Command::Report(args) => report::run(args, &mut streams),
        Command::Template(args) => template::run(args, &mut streams),
        Command::Tables(args) => tables::run(args, &mut streams),
        Command::Completions(args) => shell::completions(args, &mut streams),
        Command::Man(args) => shell::man(args, &mut streams),
    };
    match result.and_then(|outcome| streams.out.flush().map(|()| outcome).map_err(Into::into)) {
        Ok(outcome) => outcome,
        Err(error) if is_closed_pipe(&*error) => Outcome::Done,
        Err(error) => {
            // What was typed may hold control characters.
            let said: String = error.to_string().chars().filter(|c| !c.is_control()).collect();
            let _ = writeln!(streams.err, "error: {said}");
            Outcome::Failed
        }
    }
}

/// What `--strict` makes of findings of error severity.
fn strict(common: &Common, lists: &[Finding], more: &[Finding]) -> Outcome {
    let error = |f: &Finding| f.severity == Severity::Error;
    if common.strict && (lists.iter().any(error) || more.iter().any(error)) {
        Outcome::Findings
    } else {
        Outcome::Done
    }
}

fn is_closed_pipe(error: &(dyn Error + 'static)) -> bool {
    let kind = error.downcast_ref::<io::Error>().map(io::Error::kind).or_else(|| {
        error.downcast_ref::<serde_json::Error>().and_then(serde_json::Error::io_error_kind)
    });
    kind == Some(io::ErrorKind::BrokenPipe)
}
