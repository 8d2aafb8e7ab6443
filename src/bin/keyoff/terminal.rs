//! Where the words go: colour, width, and pipes that close early.

use std::io::ErrorKind;
use std::io::IsTerminal;
use std::io::Write;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;

use anstream::AutoStream;
use anstream::ColorChoice;
use keyoff::render::snippet::Look;

use crate::args::Color;
use crate::fault::Fault;

/// Narrower than this, words themselves fall apart.
const NARROWEST: usize = 40;

/// Wider than this, lines are hard to follow.
const WIDEST: usize = 120;

/// Standard output and standard error.
#[derive(Clone, Copy, Debug)]
pub struct Terminal {
    /// How standard output looks.
    pub out: Look,
    /// How standard error looks.
    pub err: Look,
    /// Somebody looks on at standard error.
    pub err_is_terminal: bool,
}

/// Whether the reader of standard output has seen enough.
static CLOSED: AtomicBool = AtomicBool::new(false);

impl Terminal {
    /// As the command line and the surroundings want it.
    pub fn new(color: Color) -> Self {
        let out = std::io::stdout();
        let err = std::io::stderr();
        Self {
            out: Look {
                width: width(out.is_terminal(), terminal_size::terminal_size_of(&out)),
                colour: colour(color, out.is_terminal()),
            },
            err: Look {
                width: width(err.is_terminal(), terminal_size::terminal_size_of(&err)),
                colour: colour(color, err.is_terminal()),
            },
            err_is_terminal: err.is_terminal(),
        }
    }

    /// Prints an answer. A reader that has seen enough and closed the pipe is no fault.
    pub fn print(self, text: &str) -> Result<(), Fault> {
        // What holds no colour needs no search for it.
        let choice = if text.contains('\x1b') {
            choice(self.out)
        } else {
            ColorChoice::AlwaysAnsi
        };
        let mut out = AutoStream::new(std::io::stdout().lock(), choice);
        match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
            Err(error) if error.kind() != ErrorKind::BrokenPipe => {
                Err(Fault::new(format!("the answer cannot be written: {error}")))
            }
            Err(_) => {
                CLOSED.store(true, Ordering::Relaxed);
                Ok(())
            }
            Ok(()) => Ok(()),
        }
    }

    /// Whether the reader of the answer has closed the pipe: more work for it would be in vain.
    pub fn is_closed(self) -> bool {
        CLOSED.load(Ordering::Relaxed)
    }

    /// Says something beside the answer. There is nowhere left to say that this failed.
    pub fn say(self, text: &str) {
        let mut err = AutoStream::new(std::io::stderr().lock(), choice(self.err));
        let _ = err.write_all(text.as_bytes()).and_then(|()| err.flush());
    }
}

fn colour(color: Color, terminal: bool) -> bool {
    let set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    match color {
        Color::Always => true,
        Color::Never => false,
        Color::Auto => {
            terminal
                && !set("NO_COLOR")
                && std::env::var_os("TERM").is_none_or(|term| term != "dumb")
        }
    }
}

const fn choice(look: Look) -> ColorChoice {
    if look.colour {
        ColorChoice::Always
    } else {
        ColorChoice::Never
    }
}

fn width(terminal: bool, size: Option<(terminal_size::Width, terminal_size::Height)>) -> usize {
    match size {
        Some((terminal_size::Width(columns), _)) if terminal => {
            usize::from(columns).clamp(NARROWEST, WIDEST)
        }
        _ => Look::default().width,
    }
}
