//! Output that holds: the same bytes whatever the machine does, whole files whatever is killed.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use sparemesh::spares::SplitMix;

/// Files of the sample plant, each by its own path.
fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-data");
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "xlsx" || e == "csv" || e == "ods"))
        .collect();
    files.sort();
    files
}

fn report(inputs: &[PathBuf], month: &str, output: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sparemesh"));
    command.arg("report").args(inputs).args(["--month", month, "-q", "-o"]).arg(output);
    command.stdout(Stdio::null()).stderr(Stdio::null());
    command
}

fn written(mut command: Command, output: &Path) -> Vec<u8> {
    assert!(command.status().unwrap().success());
    std::fs::read(output).unwrap()
}

#[test]
fn threads_and_the_order_of_files_change_no_byte() {
    let made = |name: &str, inputs: &[PathBuf], threads: &str| {
        let dir = tempfile::tempdir().unwrap();
        let output = dir.path().join("r.xlsx");
        let mut command = report(inputs, "2026-10", &output);
        command.env("RAYON_NUM_THREADS", threads);
        (name.to_owned(), written(command, &output))
    };
    let in_order = files();
    let mut shuffled = in_order.clone();
    shuffled.reverse();
    shuffled.swap(0, 1);
    let (_, one) = made("one thread", &in_order, "1");
    for (name, other) in [
        made("two threads", &in_order, "2"),
        made("seven threads", &in_order, "7"),
        made("files in another order", &shuffled, "2"),
    ] {
        assert!(one == other, "{name}: the report differs");
    }
}

/// Killed at any moment, the old workbook is there or the new one, whole; so is the month kept beside it.
#[test]
fn a_run_that_is_killed_leaves_the_old_file_or_the_new_one() {
    let cases =
        std::env::var("SPAREMESH_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(12_u32);
    let dir = tempfile::tempdir().unwrap();
    let output = dir.path().join("r.xlsx");
    let kept = dir.path().join("history/2026-10.json");
    let old = written(report(&files(), "2026-10", &output), &output);
    let old_month = std::fs::read(&kept).unwrap();
    // Without one file the report is another one.
    let fewer = &files()[1..];
    let began = Instant::now();
    let new = written(report(fewer, "2026-10", &output), &output);
    let (whole, new_month) = (began.elapsed(), std::fs::read(&kept).unwrap());
    assert!(old != new && old_month != new_month);
    let mut random = SplitMix::new(0x5EED);
    let mut seen = [0_u32; 2];
    for case in 0..cases.min(1_000) {
        std::fs::write(&output, &old).unwrap();
        std::fs::write(&kept, &old_month).unwrap();
        let mut child = report(fewer, "2026-10", &output).spawn().unwrap();
        // Half of them near the end, where files are written.
        let share = random.unit();
        let share = if case % 2 == 0 { share } else { 0.85 + 0.2 * share };
        std::thread::sleep(Duration::from_secs_f64(whole.as_secs_f64() * share));
        child.kill().unwrap();
        child.wait().unwrap();
        let now = std::fs::read(&output).unwrap();
        assert!(
            now == old || now == new,
            "killed at {share:.3} of a run: a workbook of {} bytes",
            now.len()
        );
        let month = std::fs::read(&kept).unwrap();
        assert!(
            month == old_month || month == new_month,
            "killed at {share:.3} of a run: half a month is kept"
        );
        seen[usize::from(now == new)] += 1;
    }
    println!(
        "{} reports killed: {} left the old workbook, {} the new one",
        seen[0] + seen[1],
        seen[0],
        seen[1]
    );
    assert!(seen[0] > 0, "no run was killed before it ended: {seen:?}");
}

#[test]
fn two_runs_at_once_do_not_mix() {
    let dir = tempfile::tempdir().unwrap();
    let output = dir.path().join("r.xlsx");
    let fewer = &files()[1..];
    let one = written(report(&files(), "2026-10", &output), &output);
    let other = written(report(fewer, "2026-10", &output), &output);
    for _ in 0..2 {
        let mut first = report(&files(), "2026-10", &output).spawn().unwrap();
        let mut second = report(fewer, "2026-10", &output).spawn().unwrap();
        assert!(first.wait().unwrap().success() && second.wait().unwrap().success());
        let now = std::fs::read(&output).unwrap();
        assert!(now == one || now == other, "a mixture of {} bytes", now.len());
    }
    let left = std::fs::read_dir(dir.path()).unwrap().count();
    assert_eq!(left, 2, "the workbook and the folder of months are all that is left");
}
