//! `template`: a blank workbook and a policy file.

use std::path::Path;

use super::args::TemplateArgs;
use super::{Outcome, Ran, Streams};
use crate::template::{policy, workbook};

pub(super) fn run(args: &TemplateArgs, streams: &mut Streams<'_>) -> Ran {
    std::fs::create_dir_all(&args.dir)
        .map_err(|e| format!("cannot make the folder `{}`: {e}", args.dir.display()))?;
    let files: [(&str, Vec<u8>); 2] =
        [("plant.xlsx", workbook()?), ("policy.toml", policy().into_bytes())];
    for (name, _) in &files {
        let path = args.dir.join(name);
        if path.exists() {
            return Err(format!(
                "`{}` is already there and was left as it is; name another folder",
                path.display()
            )
            .into());
        }
    }
    for (name, bytes) in files {
        write(&args.dir.join(name), &bytes)?;
        streams.say(&format!("wrote {}", args.dir.join(name).display()));
    }
    streams
        .say("fill in the sheet Fleet first; only tag and model, or ratio and rating, are needed");
    Ok(Outcome::Done)
}

fn write(path: &Path, bytes: &[u8]) -> Result<(), String> {
    std::fs::write(path, bytes).map_err(|e| format!("cannot write `{}`: {e}", path.display()))
}
