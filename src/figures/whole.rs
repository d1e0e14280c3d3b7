//! Files written whole: under a temporary name in the same folder, synced, then renamed.

use std::io::{self, Write};
use std::path::Path;

/// Writes bytes so that at any moment the file is the old one or the new one.
///
/// # Errors
/// When the folder is missing, the disk is full, or the file is open or read-only.
pub fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".sparemesh-");
    #[cfg(unix)]
    {
        // What is written is for others to read too; the user's mask still applies.
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    file.persist(path).map(drop).map_err(|e| e.error)
}
