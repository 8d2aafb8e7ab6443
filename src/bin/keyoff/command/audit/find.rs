//! From what the command line names to records: files, folders, patterns.

use std::path::Path;
use std::path::PathBuf;

use glob::MatchOptions;
use walkdir::DirEntry;
use walkdir::WalkDir;

use crate::fault::Fault;
use crate::file;

/// One file to audit.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Found {
    /// The file.
    pub path: PathBuf,
    /// Somebody named this very file: it is a record, or has to be told that it is none.
    pub named: bool,
}

/// What a path on the command line came to: a file, or why there is none.
pub type Item = Result<Found, (PathBuf, Fault)>;

/// Whether this can stand for several records.
pub fn is_many(path: &Path) -> bool {
    !file::is_standard(path) && (path.is_dir() || is_pattern(path))
}

/// A file of that very name comes first: names may have brackets in them.
fn is_pattern(path: &Path) -> bool {
    path.to_str()
        .is_some_and(|path| path.contains(['*', '?', '[']))
        && !path.exists()
}

/// Every file, in the order given, those of a folder by name. Only the names in the folders that are being walked are held.
pub fn find(given: &[PathBuf]) -> impl Iterator<Item = Item> {
    given
        .iter()
        .flat_map(|path| -> Box<dyn Iterator<Item = Item>> {
            if is_pattern(path) {
                pattern(path)
            } else if is_many(path) {
                folder(path)
            } else {
                Box::new(std::iter::once(Ok(Found {
                    path: path.clone(),
                    named: true,
                })))
            }
        })
}

fn folder(path: &Path) -> Box<dyn Iterator<Item = Item>> {
    let root = path.to_path_buf();
    let walk = WalkDir::new(path).sort_by_file_name().into_iter();
    let found = walk
        .filter_entry(|entry| entry.depth() == 0 || !is_hidden(entry))
        .filter_map(move |entry| match entry {
            Ok(entry) => is_record(&entry).then(|| {
                Ok(Found {
                    path: entry.into_path(),
                    named: false,
                })
            }),
            Err(error) => {
                let path = error.path().map_or_else(|| root.clone(), Path::to_path_buf);
                let why = error
                    .io_error()
                    .map_or_else(|| error.to_string(), ToString::to_string);
                let fault = Fault::new(format!("`{}` cannot be read: {why}", path.display()));
                Some(Err((path, fault)))
            }
        });
    or_nothing(
        found,
        path,
        "there is no record in it: none of its files ends in .yaml or .yml",
    )
}

fn pattern(path: &Path) -> Box<dyn Iterator<Item = Item>> {
    let wrong = |fault: Fault| -> Box<dyn Iterator<Item = Item>> {
        Box::new(std::iter::once(Err((path.to_path_buf(), fault))))
    };
    let name = path.to_string_lossy();
    // As a shell does it: `*` keeps within a folder, and names that start with a dot want to be asked for.
    let options = MatchOptions {
        require_literal_separator: true,
        require_literal_leading_dot: true,
        ..MatchOptions::default()
    };
    let paths = match glob::glob_with(&name, options) {
        Ok(paths) => paths,
        Err(error) => {
            return wrong(Fault::new(format!("`{name}` is no pattern: {}", error.msg)));
        }
    };
    let found = paths.flat_map(|path| -> Box<dyn Iterator<Item = Item>> {
        match path {
            Ok(path) if path.is_dir() => folder(&path),
            Ok(path) => Box::new(std::iter::once(Ok(Found { path, named: true }))),
            Err(error) => {
                let path = error.path().to_path_buf();
                let fault = Fault::new(format!(
                    "`{}` cannot be read: {}",
                    path.display(),
                    error.error()
                ));
                Box::new(std::iter::once(Err((path, fault))))
            }
        }
    });
    or_nothing(found, path, "no file has such a name")
}

/// Says so where nothing was found: a wrong name must not look like a sound fleet.
fn or_nothing(
    found: impl Iterator<Item = Item> + 'static,
    path: &Path,
    why: &str,
) -> Box<dyn Iterator<Item = Item>> {
    let mut found = found.peekable();
    if found.peek().is_some() {
        return Box::new(found);
    }
    let fault = Fault::new(format!("nothing to audit at `{}`: {why}", path.display()));
    Box::new(std::iter::once(Err((path.to_path_buf(), fault))))
}

fn is_hidden(entry: &DirEntry) -> bool {
    entry
        .file_name()
        .to_str()
        .is_some_and(|name| name.starts_with('.'))
}

fn is_record(entry: &DirEntry) -> bool {
    let ending = entry.path().extension().and_then(|ending| ending.to_str());
    let named = ending.is_some_and(|ending| {
        ending.eq_ignore_ascii_case("yaml") || ending.eq_ignore_ascii_case("yml")
    });
    // A link to a file counts; one to a folder is not followed, so that a walk has an end.
    named && (entry.file_type().is_file() || (entry.path_is_symlink() && entry.path().is_file()))
}
