//! `completions` and `man`.

use clap::CommandFactory;
use clap::builder::PossibleValuesParser;

use super::args::{Cli, CompletionsArgs, ManArgs};
use super::{Outcome, Ran, Streams};
use crate::findings::CODES;
use crate::standards::SHEETS;

pub(super) fn completions(args: &CompletionsArgs, streams: &mut Streams<'_>) -> Ran {
    // Written to memory first: the generator panics on a closed pipe.
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut with_names(), "sparemesh", &mut script);
    streams.out.write_all(&script)?;
    Ok(Outcome::Done)
}

/// The commands, with the names that `tables` takes: a name that is misspelt there is told in our own words, so it is only
/// here that they are listed.
fn with_names() -> clap::Command {
    let tables = SHEETS.iter().map(|s| s.name).chain(["policy", "fields", "findings"]);
    let names = PossibleValuesParser::new(tables);
    let codes = PossibleValuesParser::new(CODES.iter().map(|c| c.code));
    Cli::command().mut_subcommand("tables", |tables| {
        tables.mut_arg("name", |a| a.value_parser(names)).mut_arg("code", |a| a.value_parser(codes))
    })
}

/// What every manual page ends with.
const EXIT_STATUS: &str = r#".SH "EXIT STATUS"
.TP
0
Done; an empty answer is an answer.
.TP
1
A finding has error severity: from \fBcheck\fR, and from every command with \fB\-\-strict\fR.
.TP
2
Could not; standard error says why, and what to do.
"#;

pub(super) fn man(args: &ManArgs, streams: &mut Streams<'_>) -> Ran {
    let fail = |e: std::io::Error| format!("cannot write into `{}`: {e}", args.dir.display());
    std::fs::create_dir_all(&args.dir).map_err(fail)?;
    let mut all = Cli::command();
    all.build();
    let each = std::iter::once(&all).chain(all.get_subcommands());
    for command in each {
        let page = clap_mangen::Man::new(command.clone());
        let mut text = Vec::new();
        page.render(&mut text)?;
        let text = with_usage(&String::from_utf8_lossy(&text), command) + EXIT_STATUS;
        std::fs::write(args.dir.join(page.get_filename()), text).map_err(fail)?;
    }
    streams.say(&format!("wrote manual pages into {}", args.dir.display()));
    Ok(Outcome::Done)
}

/// The page with the usage of `--help` for its synopsis, which names what each word stands for, and its example as it is
/// typed, line by line.
fn with_usage(page: &str, command: &clap::Command) -> String {
    let usage = command.clone().render_usage().to_string();
    let usage = usage.trim_start_matches("Usage: ").trim().replace('-', "\\-");
    let mut out = String::new();
    for section in page.split_inclusive(".SH ") {
        let (text, next) = section.strip_suffix(".SH ").map_or((section, ""), |t| (t, ".SH "));
        let (title, body) = text.split_once('\n').unwrap_or((text, ""));
        match title {
            "SYNOPSIS" => out.push_str(&format!("{title}\n.nf\n{usage}\n.fi\n")),
            "EXTRA" => out.push_str(&format!("EXAMPLES\n.nf\n{body}.fi\n")),
            _ => out.push_str(text),
        }
        out.push_str(next);
    }
    out
}
