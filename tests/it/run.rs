//! Runs the real binary in a world of its own: no environment, no terminal.

use std::ffi::OsStr;
use std::fs;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::process::Stdio;
use std::sync::atomic::AtomicU32;
use std::sync::atomic::Ordering;

/// What a command printed and how it ended.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Ran {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

/// The folder of the project: paths in commands and outputs are relative to it.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The binary, with nothing of the surroundings in it.
pub fn keyoff() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_keyoff"));
    command.env_clear().current_dir(root()).stdin(Stdio::null());
    command
}

pub fn run<S: AsRef<OsStr>>(args: impl IntoIterator<Item = S>) -> Ran {
    finish(keyoff().args(args))
}

pub fn run_in<S: AsRef<OsStr>>(folder: &Path, args: impl IntoIterator<Item = S>) -> Ran {
    finish(keyoff().current_dir(folder).args(args))
}

pub fn run_with_input<S: AsRef<OsStr>>(input: &[u8], args: impl IntoIterator<Item = S>) -> Ran {
    let mut child = keyoff()
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // The tool may end before it has read everything: then the pipe is closed, which is fine.
    let _ = child.stdin.take().unwrap().write_all(input);
    ran(child.wait_with_output().unwrap())
}

pub fn finish(command: &mut Command) -> Ran {
    ran(command.output().unwrap())
}

fn ran(output: std::process::Output) -> Ran {
    Ran {
        code: output.status.code(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A folder that goes when the test ends.
pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let path = std::env::temp_dir().join(format!("keyoff-it-{}-{count}", std::process::id()));
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    pub fn file(&self, name: &str, text: &str) -> PathBuf {
        let path = self.0.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, text).unwrap();
        path
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.0.join(name)).unwrap()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// Every record in a folder of the project, as paths relative to it.
pub fn records(folder: &str) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(root().join(folder))
        .unwrap_or_else(|error| panic!("{folder}: {error}"))
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".yaml"))
        .map(|name| format!("{folder}/{name}"))
        .collect();
    names.sort();
    assert!(!names.is_empty(), "{folder} has no record");
    names
}
