//! One file a command.

pub mod audit;
pub mod budget;
pub mod compare;
pub mod completions;
pub mod diagram;
pub mod explain;
pub mod fuses;
pub mod hunt;
pub mod manual;
pub mod new;
pub mod park;
pub mod remove;
pub mod report;
pub mod schema;
pub mod size;
pub mod states;
pub mod tables;
pub mod view;
pub mod walkround;
pub mod wirelist;

use std::path::Path;

use keyoff::render::json;
use keyoff::render::json::v1;
use keyoff::render::snippet::Look;
use keyoff::render::text;

use crate::fault::Fault;
use crate::file;
use crate::record::Unusable;
use crate::terminal::Terminal;

/// How a command ended.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum End {
    /// Nothing at or above the level asked for.
    Clean = 0,
    /// Findings.
    Findings = 1,
    /// Some input could not be used.
    Unusable = 2,
}

/// Prints `text`, or writes it to a file and says so.
fn deliver(
    terminal: Terminal,
    output: Option<&Path>,
    force: bool,
    text: &str,
) -> Result<End, Fault> {
    match output.filter(|path| !file::is_standard(path)) {
        None => terminal.print(text)?,
        Some(path) => {
            beside(terminal, path, force, text)?;
        }
    }
    Ok(End::Clean)
}

/// Writes a file beside the answer, and says so.
fn beside(terminal: Terminal, path: &Path, force: bool, text: &str) -> Result<(), Fault> {
    file::write(path, text.as_bytes(), force)?;
    terminal.say(&format!("wrote {}\n", path.display()));
    Ok(())
}

/// A name that is not there: says which is nearest, and which there are.
fn no_such(what: &str, name: &str, names: &[&str], list: &str) -> Fault {
    let fault = Fault::new(format!("there is no {what} `{name}`"));
    let near = names
        .iter()
        .map(|known| {
            let [wanted, has] = [name, known].map(str::to_lowercase);
            let like = strsim::normalized_damerau_levenshtein(&wanted, &has);
            (like, *known)
        })
        .filter(|(like, _)| *like > 0.5)
        .max_by(|a, b| a.0.total_cmp(&b.0));
    match near {
        Some((_, known)) => fault.help(format!("did you mean `{known}`? {list}")),
        None => fault.help(list),
    }
}

/// Why a record could not be used, in words; the first hundred faults of it.
fn unusable(unusable: &Unusable, look: Look) -> String {
    match unusable {
        Unusable::Unavailable(fault) => fault.text(look.width),
        Unusable::Unreadable(unreadable) => {
            text::unreadable::unreadable(&unreadable.sources, &unreadable.problems, look)
        }
    }
}

/// The same as data.
fn unreadable(path: &Path, unusable: &Unusable) -> v1::Unreadable {
    let path = path.display().to_string();
    match unusable {
        Unusable::Unavailable(fault) => {
            json::unreadable::unavailable(&path, &fault.message, fault.help.as_deref())
        }
        Unusable::Unreadable(unreadable) => {
            json::unreadable::unreadable(&path, &unreadable.sources, &unreadable.problems)
        }
    }
}

/// Says why a record could not be used, where and as the answer would have been printed.
fn refuse(path: &Path, why: &Unusable, data: bool, terminal: Terminal) -> Result<End, Fault> {
    if data {
        let text = json::pretty(&unreadable(path, why));
        terminal.print(&text.map_err(|error| Fault::new(error.to_string()))?)?;
    } else {
        terminal.say(&unusable(why, terminal.err));
    }
    Ok(End::Unusable)
}
