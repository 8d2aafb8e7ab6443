//! Why a record cannot be used.

use crate::render::diagnostic;
use crate::render::json::unreadable::MOST;
use crate::render::snippet::Look;
use crate::render::words;
use crate::source::Problem;
use crate::source::Sources;

/// The first hundred problems with their words, and how many there are.
#[must_use]
pub fn unreadable(sources: &Sources, problems: &[Problem], look: Look) -> String {
    let mut out = String::new();
    for problem in problems.iter().take(MOST) {
        out.push_str(&diagnostic::report(problem, sources, look));
        out.push('\n');
    }
    let count = words::plural(problems.len(), "fault", "faults");
    let path = words::path(sources);
    let more = if problems.len() > MOST {
        format!("; the first {MOST} are shown")
    } else {
        String::new()
    };
    out.push_str(&format!("{path}: {count}{more}. Nothing was audited.\n"));
    out
}
