//! Records in, drawings and starter records out.

use std::fs;
use std::fs::File;
use std::fs::OpenOptions;
use std::io::BufWriter;
use std::io::ErrorKind;
use std::io::Read;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;

use crate::fault::Fault;

/// Whether this stands for standard input or output.
pub fn is_standard(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// The bytes of a record, never more than `most`.
pub fn read(path: &Path, most: u64) -> Result<Vec<u8>, Fault> {
    if is_standard(path) {
        return take(std::io::stdin().lock(), "standard input", most);
    }
    let name = path.display().to_string();
    let wrong = |error: std::io::Error| match error.kind() {
        ErrorKind::NotFound => Fault::new(format!("there is no file `{name}`"))
            .help("check the name and the folder; `keyoff new NAME` starts a record"),
        ErrorKind::PermissionDenied => Fault::new(format!("`{name}` may not be read"))
            .help("ask its owner for the right to read it"),
        _ => Fault::new(format!("`{name}` cannot be read: {error}")),
    };
    let about = fs::metadata(path).map_err(wrong)?;
    if about.is_dir() {
        return Err(
            Fault::new(format!("`{name}` is a folder, not a record")).help(format!(
                "name a file in it: {name}/truck.yaml; only `keyoff audit` takes folders"
            )),
        );
    }
    take(File::open(path).map_err(wrong)?, &format!("`{name}`"), most)
}

fn take(from: impl Read, name: &str, most: u64) -> Result<Vec<u8>, Fault> {
    let mut bytes = Vec::new();
    from.take(most.saturating_add(1))
        .read_to_end(&mut bytes)
        .map_err(|error| Fault::new(format!("{name} cannot be read: {error}")))?;
    if bytes.len() as u64 > most {
        return Err(Fault::new(format!("{name} is larger than {most} bytes"))
            .help("a record of one vehicle is a few kilobytes; --max-size allows more if it really is one"));
    }
    Ok(bytes)
}

/// A library that a record names, relative to the record's folder.
pub fn library(record: &Path, name: &str, most: u64) -> Result<Vec<u8>, String> {
    let folder = record
        .parent()
        .filter(|_| !is_standard(record))
        .map_or_else(PathBuf::new, Path::to_path_buf);
    let path = folder.join(name);
    match fs::metadata(&path) {
        Ok(about) if !about.is_file() => Err(format!("`{}` is not a file", path.display())),
        Ok(_) => read(&path, most).map_err(|fault| fault.message),
        Err(_) => Err(format!("there is no file `{}`", path.display())),
    }
}

/// Writes a file whole or not at all, and over an existing one only where that is wanted.
pub fn write(path: &Path, bytes: &[u8], force: bool) -> Result<(), Fault> {
    let mut file = Growing::create(path, force)?;
    file.write(bytes)?;
    file.finish().map(|_| ())
}

/// A file that grows beside its place and takes it when it is whole; where it never gets so far, it goes away.
#[derive(Debug)]
pub struct Growing {
    /// As it was named.
    path: PathBuf,
    /// Where it goes: what a link points at is written, not the link.
    target: PathBuf,
    /// Where it grows; nothing where it is written straight to a device.
    beside: Option<PathBuf>,
    force: bool,
    out: BufWriter<File>,
}

impl Growing {
    /// Starts a file.
    pub fn create(path: &Path, force: bool) -> Result<Self, Fault> {
        let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
        let mut beside = Some(beside(&target));
        if let Ok(about) = fs::metadata(&target) {
            if about.is_dir() {
                return Err(Fault::new(format!("`{}` is a folder", path.display()))
                    .help("name the file to be written in it"));
            }
            if !about.is_file() {
                // A device or a pipe: there is nothing to keep whole.
                beside = None;
            } else if !force {
                return Err(taken(path));
            }
        }
        let file = match &beside {
            // A new file of its own: nothing that lies there under this name is written through.
            Some(beside) => File::create_new(beside),
            None => OpenOptions::new().write(true).open(&target),
        };
        Ok(Self {
            out: BufWriter::new(file.map_err(|error| unwritable(path, &error))?),
            path: path.to_path_buf(),
            target,
            beside,
            force,
        })
    }

    /// Adds text.
    pub fn add(&mut self, text: &str) -> Result<(), Fault> {
        self.write(text.as_bytes())
    }

    fn write(&mut self, bytes: &[u8]) -> Result<(), Fault> {
        self.out
            .write_all(bytes)
            .map_err(|error| unwritable(&self.path, &error))
    }

    /// Puts it in its place, and says where that is.
    pub fn finish(mut self) -> Result<PathBuf, Fault> {
        let mut put = || -> std::io::Result<()> {
            self.out.flush()?;
            let Some(beside) = &self.beside else {
                return Ok(());
            };
            self.out.get_ref().sync_all()?;
            put(beside, &self.target, self.force)
        };
        match put() {
            Ok(()) => {
                self.beside = None;
                Ok(std::mem::take(&mut self.path))
            }
            Err(error) if error.kind() == ErrorKind::AlreadyExists => Err(taken(&self.path)),
            Err(error) => Err(unwritable(&self.path, &error)),
        }
    }
}

impl Drop for Growing {
    fn drop(&mut self) {
        if let Some(beside) = &self.beside {
            // The fault that matters has been told.
            let _ = fs::remove_file(beside);
        }
    }
}

fn taken(path: &Path) -> Fault {
    Fault::new(format!("`{}` is there already", path.display()))
        .help("choose another name, or write over it with --force")
}

fn unwritable(path: &Path, error: &std::io::Error) -> Fault {
    let shown = path.display();
    let folder = path.parent().filter(|folder| !folder.is_dir());
    match folder {
        Some(folder) if error.kind() == ErrorKind::NotFound => Fault::new(format!(
            "`{shown}` cannot be written: there is no folder `{}`",
            folder.display()
        ))
        .help("make the folder first, or name another place"),
        _ => Fault::new(format!("`{shown}` cannot be written: {error}")),
    }
}

/// A name in the same folder, so that the last step is a rename within one disk.
fn beside(target: &Path) -> PathBuf {
    let mut name = std::ffi::OsString::from(".");
    name.push(target.file_name().unwrap_or_default());
    name.push(format!(".{}.part", std::process::id()));
    target.with_file_name(name)
}

fn put(from: &Path, to: &Path, force: bool) -> std::io::Result<()> {
    if force {
        if let Ok(about) = fs::metadata(to) {
            fs::set_permissions(from, about.permissions())?;
        }
        return fs::rename(from, to);
    }
    // A second name for the file fails where something has appeared there since; a rename would write over it.
    match fs::hard_link(from, to) {
        Ok(()) => fs::remove_file(from),
        Err(error) if error.kind() == ErrorKind::AlreadyExists => Err(error),
        // Not every disk knows second names.
        Err(_) => fs::rename(from, to),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder(name: &str) -> PathBuf {
        let folder = std::env::temp_dir().join(format!("keyoff-{name}-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        folder
    }

    #[test]
    fn files_are_written_whole_and_only_over_others_when_told() {
        let folder = folder("write");
        let file = folder.join("x.svg");
        write(&file, b"one", false).unwrap();
        let refused = write(&file, b"two", false).unwrap_err();
        assert!(refused.message.contains("there already"), "{refused:?}");
        assert_eq!(fs::read(&file).unwrap(), b"one");
        write(&file, b"two", true).unwrap();
        assert_eq!(fs::read(&file).unwrap(), b"two");
        let left: Vec<_> = fs::read_dir(&folder).unwrap().collect();
        assert_eq!(left.len(), 1, "nothing half-written stays behind: {left:?}");
        fs::remove_dir_all(folder).unwrap();
    }

    #[test]
    fn what_is_too_large_is_refused_before_it_is_read_whole() {
        let refused = take(std::io::repeat(b'x'), "it", 10).unwrap_err();
        assert!(refused.message.contains("larger than 10 bytes"));
        assert_eq!(take(&b"0123456789"[..], "it", 10).unwrap().len(), 10);
    }
}
