//! What is wrong with an input, as people and as other programs read it.

use miette::Severity;

use super::snippet::Look;
use super::snippet::Snippet;
use crate::source::Problem;
use crate::source::Sources;
use crate::source::Span;
use crate::source::Text;

/// One problem with its words underlined, ending in a line break.
#[must_use]
pub fn report(problem: &Problem, sources: &Sources, look: Look) -> String {
    Snippet {
        sources,
        severity: Severity::Error,
        code: None,
        message: problem.message.clone(),
        help: problem.help.clone(),
        at: problem.at,
        label: problem.label.clone(),
        also: &problem.also,
    }
    .text(look)
}

/// One problem in lines that an editor or a script can take apart: `truck.yaml:12:18: error: …`, then a `help:` and a
/// `note:` line for each further place.
#[must_use]
pub fn plain(problem: &Problem, sources: &Sources) -> String {
    let mut out = format!(
        "{}: error: {}\n",
        place(problem.at, sources),
        one_line(&problem.message)
    );
    if let Some(help) = &problem.help {
        out.push_str(&format!(
            "{}: help: {}\n",
            place(problem.at, sources),
            one_line(help)
        ));
    }
    for (at, words) in &problem.also {
        out.push_str(&format!(
            "{}: note: {}\n",
            place(*at, sources),
            one_line(words)
        ));
    }
    out
}

fn place(at: Span, sources: &Sources) -> String {
    let name = sources.get(at.file).map_or("", Text::name);
    let position = sources.position(at);
    format!("{name}:{}:{}", position.line, position.column)
}

fn one_line(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::FileId;

    #[test]
    fn a_plain_problem_is_one_line_for_each_place() {
        let mut sources = Sources::default();
        sources.add(Text::new(
            "truck.yaml",
            "parts:\n  F1: {kind: fuse}\n  F1: {kind: fuse}\n",
        ));
        let problem = Problem::new(Span::new(FileId(0), 28, 30), "`F1` is given twice")
            .also(Span::new(FileId(0), 9, 11), "first here")
            .help("keep one");
        assert_eq!(
            plain(&problem, &sources),
            "truck.yaml:3:3: error: `F1` is given twice\n\
             truck.yaml:3:3: help: keep one\n\
             truck.yaml:2:3: note: first here\n"
        );
    }
}
