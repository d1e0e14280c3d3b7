//! Small files that would grow large: refused or read, in little time and memory.

use std::io::{Cursor, Write};
use std::path::Path;
use std::process::{Command, Output};
use std::time::{Duration, Instant};

use crate::field::{HEADINGS, Parts, file, rows, xlsx};

/// The program on a file, in a gigabyte of addresses where the system can hold it to that.
fn check(path: &Path) -> (Output, Duration) {
    let program = env!("CARGO_BIN_EXE_sparemesh");
    let began = Instant::now();
    let mut command = if cfg!(unix) {
        let mut shell = Command::new("sh");
        shell.args(["-c", "ulimit -v 1048576; exec \"$0\" check \"$1\"", program]);
        shell
    } else {
        let mut plain = Command::new(program);
        plain.arg("check");
        plain
    };
    let output = command.arg(path).output().unwrap();
    (output, began.elapsed())
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Runs the program, which reads the file or refuses it, in time.
fn read_or_refused(path: &Path) -> Output {
    let (output, took) = check(path);
    assert!(
        output.status.code().is_some_and(|code| code <= 2),
        "{:?} {}",
        output.status,
        said(&output)
    );
    assert!(took < Duration::from_secs(10), "{took:?}");
    output
}

fn parts() -> Vec<u8> {
    let fleet = rows(&[HEADINGS, &["CV-1", "Mixer", "11", "25", "8"]]);
    xlsx(&Parts { sheet: &fleet, ..Parts::default() })
}

/// A workbook with one more part, of so many megabytes of one letter.
fn swollen(megabytes: usize) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new_append(Cursor::new(parts())).unwrap();
    let options = zip::write::SimpleFileOptions::default();
    zip.start_file("xl/sharedStrings.xml", options).unwrap();
    zip.write_all(b"<sst><si><t>").unwrap();
    let block = vec![b'a'; 1 << 20];
    for _ in 0..megabytes {
        zip.write_all(&block).unwrap();
    }
    zip.write_all(b"</t></si></sst>").unwrap();
    zip.finish().unwrap().into_inner()
}

/// The same with the size written as a few bytes, where the part begins and in the archive's own list.
fn lying(mut bytes: Vec<u8>) -> Vec<u8> {
    let name = b"xl/sharedStrings.xml";
    let mut changed = 0;
    for at in 0..bytes.len() - name.len() {
        if &bytes[at..at + name.len()] != name {
            continue;
        }
        for (mark, size) in [(30, 8), (46, 22)] {
            let head = [b"PK\x03\x04", b"PK\x01\x02"][usize::from(mark == 46)];
            if at >= mark && &bytes[at - mark..at - mark + 4] == head {
                bytes[at - size..at - size + 4].copy_from_slice(&5000_u32.to_le_bytes());
                changed += 1;
            }
        }
    }
    assert_eq!(changed, 2, "the size stands in both places");
    bytes
}

#[test]
fn a_file_that_unpacks_to_too_much_is_refused_before_it_does() {
    let (_dir, path) = file("bomb.xlsx", &swollen(600));
    let (output, took) = check(&path);
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert!(said(&output).contains("it would unpack to 600 MB, more than the 512 MB allowed"));
    assert!(took < Duration::from_secs(10), "{took:?}");
}

#[test]
fn a_file_that_lies_about_its_size_is_read_no_further_than_it_says() {
    let (_dir, path) = file("liar.xlsx", &lying(swollen(600)));
    read_or_refused(&path);
}

/// Ten entities, each ten times the one before: a thousand million letters from a few hundred bytes.
#[test]
fn entities_are_not_unfolded() {
    let mut kinds = String::from("<!DOCTYPE x [<!ENTITY a \"aaaaaaaaaa\">");
    for (before, name) in ('a'..='h').zip('b'..='i') {
        kinds.push_str(&format!("<!ENTITY {name} \"{}\">", format!("&{before};").repeat(10)));
    }
    kinds.push_str("]>");
    let fleet = rows(&[HEADINGS, &["CV-1", "&i;", "11", "25", "8"]]);
    let plain = xlsx(&Parts { sheet: &fleet, ..Parts::default() });
    let mut archive = zip::ZipArchive::new(Cursor::new(plain)).unwrap();
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for at in 0..archive.len() {
        let mut part = archive.by_index(at).unwrap();
        let name = part.name().unwrap().into_owned();
        let text = std::io::read_to_string(&mut part).unwrap();
        zip.start_file(name.as_str(), zip::write::SimpleFileOptions::default()).unwrap();
        zip.write_all(text.replacen("?>", &format!("?>{kinds}"), 1).as_bytes()).unwrap();
    }
    let (_dir, path) = file("entities.xlsx", &zip.finish().unwrap().into_inner());
    let output = read_or_refused(&path);
    assert!(!String::from_utf8_lossy(&output.stdout).contains("aaaaaaaaaaaa"));
}

/// A gigabyte of addresses is less than the swollen part, and enough to read a workbook: the limit is no empty word.
#[test]
fn the_limit_of_memory_is_felt() {
    let (_dir, path) = file("whole.xlsx", &parts());
    let (output, _) = check(&path);
    assert!(output.status.code().is_some_and(|code| code <= 1), "{}", said(&output));
    if cfg!(target_os = "linux") {
        let grown =
            Command::new("sh").args(["-c", "ulimit -v 1048576; ulimit -v"]).output().unwrap();
        assert_eq!(String::from_utf8_lossy(&grown.stdout).trim(), "1048576");
    }
}
