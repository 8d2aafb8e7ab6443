//! What can be chosen from by name.

use clap::ValueEnum;

/// When to use colours.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Color {
    /// On a terminal, unless NO_COLOR is set
    #[default]
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

/// Words or data.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Format {
    /// Words for people
    #[default]
    Text,
    /// Data for programs
    Json,
}

/// Words, a table or data.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum TableFormat {
    /// Words for people
    #[default]
    Text,
    /// Data for programs
    Json,
    /// A table for a spreadsheet
    Csv,
}

/// The forms of a diagram.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum DiagramFormat {
    /// A picture
    #[default]
    Svg,
    /// Where everything stands on the sheets, as data for programs
    Json,
}

/// The forms of an audit.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum AuditFormat {
    /// Words for people
    #[default]
    Text,
    /// Data for programs
    Json,
    /// Findings and what could not be judged, as a table for a spreadsheet
    Csv,
    /// SARIF 2.1.0, for editors and build services
    Sarif,
    /// JUnit XML, for build services
    Junit,
}

/// The least level that makes the exit code 1.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum FailOn {
    /// Errors
    #[default]
    Error,
    /// Warnings and errors
    Warning,
    /// Anything
    Note,
    /// Nothing
    Never,
}

/// How a diagram is laid out.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum View {
    /// Everything on one sheet where it fits, else in strips
    #[default]
    Auto,
    /// Everything on one sheet, supply on the left
    Overview,
    /// The supply, then each protected circuit by itself
    Strips,
    /// Every path of current from its supply rail down to the chassis
    Tracks,
}

impl From<View> for keyoff::draw::View {
    fn from(view: View) -> Self {
        match view {
            View::Auto => Self::Auto,
            View::Overview => Self::Overview,
            View::Strips => Self::Strips,
            View::Tracks => Self::Tracks,
        }
    }
}

/// The papers of the trade.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
pub enum PaperKind {
    /// What was fitted, lists, drawing, key-off statement, tests in every state
    HandOver,
    /// The state that it was found in, by place
    Condition,
    /// What comes out (`--remove`), order of work, what is left behind, proof
    RemovalRecord,
    /// Load against charging, to be measured at delivery
    LoadAnalysis,
}

/// Paper.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Paper {
    /// 11 by 8.5 inch
    #[default]
    Letter,
    /// 17 by 11 inch
    Tabloid,
    /// 297 by 210 mm
    A4,
    /// 420 by 297 mm
    A3,
}

impl From<Paper> for keyoff::draw::Paper {
    fn from(paper: Paper) -> Self {
        match paper {
            Paper::Letter => Self::Letter,
            Paper::Tabloid => Self::Tabloid,
            Paper::A4 => Self::A4,
            Paper::A3 => Self::A3,
        }
    }
}

/// Units of display.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Units {
    /// Metres, millimetres, degrees Celsius
    #[default]
    Metric,
    /// Feet, inches, degrees Fahrenheit
    Us,
}

impl From<Units> for keyoff::quantity::show::Units {
    fn from(units: Units) -> Self {
        match units {
            Units::Metric => Self::Metric,
            Units::Us => Self::Us,
        }
    }
}
