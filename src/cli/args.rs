//! The words of the command line; nothing here does anything.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

/// Which spare gear reducer can stand in, which spares to hold, and why.
#[derive(Debug, Parser)]
#[command(name = "sparemesh", version, about, max_term_width = 100, disable_help_subcommand = true)]
pub struct Cli {
    /// What to do
    #[command(subcommand)]
    pub command: Command,

    /// Options that every command takes
    #[command(flatten)]
    pub common: Common,
}

/// Options that every command takes.
#[derive(Clone, Debug, Args)]
#[allow(clippy::struct_excessive_bools)] // each is one switch of the command line
pub struct Common {
    /// Policy file; otherwise policy.toml in the first folder
    #[arg(long, global = true, value_name = "FILE")]
    pub policy: Option<PathBuf>,

    /// Mapping file; otherwise columns.toml in the first folder
    #[arg(long, global = true, value_name = "FILE")]
    pub columns: Option<PathBuf>,

    /// Print one JSON document, in SI
    #[arg(long, global = true)]
    pub json: bool,

    /// Units on the screen and in the workbook
    #[arg(long, global = true, value_name = "SYSTEM", default_value = "si")]
    pub units: UnitSystem,

    /// Say nothing but the answer
    #[arg(short, long, global = true)]
    pub quiet: bool,

    /// Lists in full, and what the plan noticed (plan)
    #[arg(short, long, global = true)]
    pub verbose: bool,

    /// Exit with 1 when a finding has error severity
    #[arg(long, global = true)]
    pub strict: bool,

    /// No colours (also the variable NO_COLOR)
    #[arg(long, global = true)]
    pub no_color: bool,
}

/// The units shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum UnitSystem {
    /// kW, N·m, mm, kg
    Si,
    /// hp, lbf·in, in, lb
    Us,
}

/// The commands, in the order of the work.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Show what was understood, and every finding
    #[command(after_help = "Example:\n  sparemesh check sample-data")]
    Check(CheckArgs),
    /// Compare what each drive needs with what its unit has
    #[command(
        after_help = "Example:\n  sparemesh rate sample-data\n  sparemesh rate sample-data --working CV-501"
    )]
    Rate(RateArgs),
    /// Show what can stand in for the unit at a tag, ranked
    #[command(
        after_help = "Example:\n  sparemesh substitute CV-503 sample-data\n  sparemesh substitute CV-503 sample-data --sheet swap.xlsx\n  sparemesh substitute --like 'ratio=25 motor_power_kw=11 motor_speed_rpm=1460' sample-data"
    )]
    Substitute(SubstituteArgs),
    /// Show one candidate for one tag, gate by gate
    #[command(after_help = "Example:\n  sparemesh explain CV-503 shelf:S-1002 sample-data")]
    Explain(ExplainArgs),
    /// Decide what to hold, release and buy, and show the families
    #[command(
        after_help = "Examples:\n  sparemesh plan sample-data\n  sparemesh plan sample-data --without S-1001 --rates 3\n  sparemesh plan sample-data --budget 20000"
    )]
    Plan(PlanArgs),
    /// Write the monthly workbook
    #[command(
        after_help = "Example:\n  sparemesh report sample-data --month 2026-10 -o report.xlsx"
    )]
    Report(ReportArgs),
    /// Write blank input workbooks with notes and drop-downs, and a policy file
    #[command(after_help = "Example:\n  sparemesh template my-plant")]
    Template(TemplateArgs),
    /// Print built-in tables with their sources, the policy, or the findings
    #[command(
        after_help = "Examples:\n  sparemesh tables\n  sparemesh tables policy\n  sparemesh tables findings IN-008"
    )]
    Tables(TablesArgs),
    /// Print completions for a shell
    #[command(after_help = "Example:\n  sparemesh completions bash > sparemesh.bash")]
    Completions(CompletionsArgs),
    /// Write manual pages into a folder
    #[command(after_help = "Example:\n  sparemesh man man1")]
    Man(ManArgs),
}

/// Arguments of `check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// Files or folders to read
    #[arg(required = true, value_name = "PATH")]
    pub paths: Vec<PathBuf>,
    /// Draft a mapping file of every column
    #[arg(long, value_name = "FILE")]
    pub write_columns: Option<PathBuf>,
    /// List every value with its cell and how it came to be known
    #[arg(long)]
    pub records: bool,
}

/// Arguments of `rate`.
#[derive(Debug, Args)]
pub struct RateArgs {
    /// Files or folders to read
    #[arg(required = true, value_name = "PATH")]
    pub paths: Vec<PathBuf>,
    /// Show the working for one tag: each formula with its numbers and source
    #[arg(long, value_name = "TAG")]
    pub working: Option<String>,
}

/// A count that shows something.
fn at_least_one(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(0) | Err(_) => Err("a whole number from 1 is wanted".into()),
        Ok(count) => Ok(count),
    }
}

/// A number with a decimal point.
fn number(text: &str) -> Result<f64, String> {
    let number = text.parse().ok().filter(|n: &f64| n.is_finite());
    number.ok_or_else(|| "a number is wanted, with a point and without blanks, as 1.5".into())
}

/// A sum of money that can be spent.
fn money(text: &str) -> Result<f64, String> {
    // Where a point parts thousands this is twenty thousand, elsewhere twenty.
    let thousands = text.split_once('.').is_some_and(|(whole, rest)| {
        !["", "0"].contains(&whole) && rest.len() == 3 && rest.bytes().all(|b| b.is_ascii_digit())
    });
    if thousands {
        let (plain, cut) = (text.replace('.', ""), text.split('.').next().unwrap_or_default());
        return Err(format!("it can be read as {plain} or as {cut}; write one of them"));
    }
    let sum = number(text)?;
    if sum < 0.0 { Err("money to spend is not negative".into()) } else { Ok(sum) }
}

/// Arguments of `substitute`.
#[derive(Debug, Args)]
pub struct SubstituteArgs {
    /// The tag whose unit failed, then files or folders to read; with --like only those
    #[arg(required = true, value_name = "TAG PATH")]
    pub tag_and_paths: Vec<String>,
    /// Ask without a tag: what is known of the place, as 'ratio=25 output_shaft_mm=60'
    #[arg(long, value_name = "FIELD=VALUE …")]
    pub like: Option<String>,
    /// Candidates shown
    #[arg(long, value_name = "N", default_value_t = 5, value_parser = at_least_one)]
    pub top: usize,
    /// A value just measured, as output_shaft_mm=60, or at a spare, as S-1001.output_shaft_mm=60;
    /// `tables fields` lists the names
    #[arg(long, value_name = "FIELD=VALUE")]
    pub set: Vec<String>,
    /// Write what --set says into a csv file that is itself an input
    #[arg(long, value_name = "FILE.csv", requires = "set")]
    pub save_measured: Option<PathBuf>,
    /// Write a one-page swap sheet for the first candidate of the answer
    #[arg(long, value_name = "FILE.xlsx")]
    pub sheet: Option<PathBuf>,
}

/// Arguments of `explain`.
#[derive(Debug, Args)]
pub struct ExplainArgs {
    /// The position
    pub tag: String,
    /// The candidate: a shelf item, a tag, a model; shelf:…, tag:… or model:… settle it
    pub candidate: String,
    /// Files or folders to read
    #[arg(required = true, value_name = "PATH")]
    pub paths: Vec<PathBuf>,
    /// A value just measured, as output_shaft_mm=60, or at the candidate, as
    /// spare.output_shaft_mm=60; `tables fields` lists the names
    #[arg(long, value_name = "FIELD=VALUE")]
    pub set: Vec<String>,
}

/// Arguments of `plan`.
#[derive(Debug, Args)]
pub struct PlanArgs {
    /// Files or folders to read
    #[arg(required = true, value_name = "PATH")]
    pub paths: Vec<PathBuf>,
    /// What changes without this shelf item, or without so many of it
    #[arg(long, value_name = "ITEM[=N]")]
    pub without: Vec<String>,
    /// What changes with so many more of a shelf item or a catalogue model, ready to go in
    #[arg(long, value_name = "ITEM=N")]
    pub with: Vec<String>,
    /// What changes if this position goes
    #[arg(long, value_name = "TAG")]
    pub remove: Vec<String>,
    /// What changes if units fail so many times as often
    #[arg(long, value_name = "FACTOR", value_parser = number, allow_hyphen_values = true)]
    pub rates: Option<f64>,
    /// What changes if everything takes so many times as long to come
    #[arg(long, value_name = "FACTOR", value_parser = number, allow_hyphen_values = true)]
    pub lead_times: Option<f64>,
    /// What so much money buys best
    #[arg(long, value_name = "MONEY", value_parser = money, allow_hyphen_values = true)]
    pub budget: Option<f64>,
}

/// Arguments of `report`.
#[derive(Debug, Args)]
pub struct ReportArgs {
    /// Files or folders to read
    #[arg(required = true, value_name = "PATH")]
    pub paths: Vec<PathBuf>,
    /// The month reported; without it, that of the newest dated event
    #[arg(long, value_name = "YYYY-MM")]
    pub month: Option<String>,
    /// The workbook to write
    #[arg(short, long, value_name = "FILE.xlsx")]
    pub output: Option<PathBuf>,
    /// Write the sheets as csv files too
    #[arg(long, value_name = "DIR")]
    pub csv: Option<PathBuf>,
}

/// Arguments of `template`.
#[derive(Debug, Args)]
pub struct TemplateArgs {
    /// Folder to write into; made if it is missing
    pub dir: PathBuf,
}

/// Arguments of `tables`.
#[derive(Debug, Args)]
pub struct TablesArgs {
    /// A table's name, `policy`, `fields`, or `findings`
    pub name: Option<String>,
    /// With `findings`: one code
    pub code: Option<String>,
}

/// Arguments of `completions`.
#[derive(Debug, Args)]
pub struct CompletionsArgs {
    /// The shell
    pub shell: clap_complete::Shell,
}

/// Arguments of `man`.
#[derive(Debug, Args)]
pub struct ManArgs {
    /// Folder to write into; made if it is missing
    pub dir: PathBuf,
}
