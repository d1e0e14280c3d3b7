//! What the pages of the commands show is what the commands print; every command has a page.

use std::path::Path;

use crate::cli::command;

fn pages() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/commands");
    let mut pages: Vec<(String, String)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| (path.display().to_string(), std::fs::read_to_string(&path).unwrap()))
        .collect();
    pages.sort();
    pages
}

#[test]
fn what_the_pages_show_is_what_is_printed() {
    let mut shown = 0;
    for (path, text) in pages() {
        for block in text.split("```console\n").skip(1) {
            let block = block.split("\n```").next().unwrap();
            let (asked, printed) = block.split_once('\n').unwrap();
            let (asked, lines) = asked.split_once(" | head -").unwrap_or((asked, "999"));
            let args: Vec<&str> = asked.trim_start_matches("$ sparemesh ").split(' ').collect();
            let output = String::from_utf8(command(&args).stdout).unwrap();
            let output: Vec<&str> =
                output.trim_end().lines().take(lines.parse().unwrap()).collect();
            assert_eq!(
                printed.trim_end(),
                output.join("\n").trim_end(),
                "{path}: run docs/commands.sh"
            );
            shown += 1;
        }
    }
    assert!(shown >= 6, "{shown} commands shown");
}

#[test]
fn every_command_has_a_page() {
    let all: String = pages().into_iter().map(|p| p.1).collect();
    let help = String::from_utf8(command(&["--help"]).stdout).unwrap();
    let list = help.split("Commands:").nth(1).unwrap().split("\n\n").next().unwrap();
    let names = list.lines().filter_map(|l| l.strip_prefix("  ")?.split(' ').next());
    let names: Vec<&str> = names.filter(|n| !n.is_empty()).collect();
    assert!(names.len() >= 10, "{names:?}");
    for name in names {
        assert!(all.contains(&format!("sparemesh {name} ")), "no page shows `{name}`");
    }
}

#[test]
fn manual_pages_say_what_each_word_stands_for() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().to_str().unwrap();
    assert!(crate::cli::command(&["man", folder, "-q"]).status.success());
    let page = std::fs::read_to_string(dir.path().join("sparemesh-report.1")).unwrap();
    assert!(
        page.contains(".SH SYNOPSIS\n.nf\nsparemesh report [OPTIONS] <PATH>...\n.fi\n"),
        "{page}"
    );
    let example = page.split(".SH EXAMPLES\n.nf\n").nth(1).expect("an example");
    assert!(
        example.split(".fi").next().unwrap().contains("sparemesh report sample\\-data"),
        "{page}"
    );
    assert!(page.contains(".SH \"EXIT STATUS\"") && page.contains("<YYYY\\-MM>"), "{page}");
    let all = std::fs::read_to_string(dir.path().join("sparemesh.1")).unwrap();
    assert!(all.contains(".SH SUBCOMMANDS") && all.contains(".SH VERSION"), "{all}");
}
