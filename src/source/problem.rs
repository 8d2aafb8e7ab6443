//! What is wrong with a text, said as a colleague would.

use super::Span;

/// One reason why an input cannot be used, with the words at fault and a mend.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Problem {
    /// What is wrong, one sentence without a full stop.
    pub message: String,
    /// What to write instead.
    pub help: Option<String>,
    /// The words at fault.
    pub at: Span,
    /// What stands under the underline, a few words.
    pub label: String,
    /// Further places that belong to it, each with its own few words.
    pub also: Vec<(Span, String)>,
}

impl Problem {
    /// A problem at `at`.
    pub fn new(at: Span, message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            help: None,
            at,
            label: String::new(),
            also: Vec::new(),
        }
    }

    /// Says what to write instead.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// Puts words under the underline.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    /// Points at a further place.
    #[must_use]
    pub fn also(mut self, at: Span, label: impl Into<String>) -> Self {
        self.also.push((at, label.into()));
        self
    }
}

/// Complaints gathered while reading: readers go on after a fault, so that a person sees all of them at once.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Problems {
    list: Vec<Problem>,
}

impl Problems {
    /// No problem yet.
    #[must_use]
    pub const fn new() -> Self {
        Self { list: Vec::new() }
    }

    /// Adds one.
    pub fn push(&mut self, problem: Problem) {
        self.list.push(problem);
    }

    /// Adds those that there are.
    pub fn extend(&mut self, problems: impl IntoIterator<Item = Problem>) {
        self.list.extend(problems);
    }

    /// How many were found.
    #[must_use]
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether none was found.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Whether one of the last `most` is about something in `span`.
    #[must_use]
    pub fn recent_within(&self, span: Span, most: usize) -> bool {
        self.list.iter().rev().take(most).any(|problem| {
            problem.at.file == span.file
                && span.start <= problem.at.start
                && problem.at.end <= span.end
        })
    }

    /// In the order of the text, the same complaint about the same words once.
    #[must_use]
    pub fn into_sorted(mut self) -> Vec<Problem> {
        self.list
            .sort_by(|a, b| (a.at, &a.message).cmp(&(b.at, &b.message)));
        self.list
            .dedup_by(|a, b| a.at == b.at && a.message == b.message);
        self.list
    }
}
