//! Why a command could not be carried out.

/// Ends the command with exit code 2.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fault {
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub help: Option<String>,
}

impl Fault {
    /// Something is wrong.
    pub fn new(message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            help: None,
        }
    }

    /// Says what to do.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// As it is printed, wrapped to this width.
    pub fn text(&self, width: usize) -> String {
        let mut text = wrapped("error: ", &self.message, width);
        if let Some(help) = &self.help {
            text.push_str(&wrapped("  help: ", help, width));
        }
        text
    }
}

/// Lines under one another behind a mark; a name that is longer stays whole, so that it can be copied.
fn wrapped(mark: &str, words: &str, width: usize) -> String {
    let hang = " ".repeat(mark.len());
    let mut text = String::new();
    for (number, line) in words.lines().enumerate() {
        let options = textwrap::Options::new(width)
            .initial_indent(if number == 0 { mark } else { &hang })
            .subsequent_indent(&hang)
            .break_words(false)
            .word_separator(textwrap::WordSeparator::AsciiSpace)
            .word_splitter(textwrap::WordSplitter::NoHyphenation);
        for line in textwrap::wrap(line, options) {
            text.push_str(line.trim_end());
            text.push('\n');
        }
    }
    text
}
