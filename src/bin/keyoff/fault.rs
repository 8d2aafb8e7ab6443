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

    /// As it is printed.
    pub fn text(&self) -> String {
        match &self.help {
            Some(help) => format!("error: {}\n  help: {help}\n", self.message),
            None => format!("error: {}\n", self.message),
        }
    }
}
