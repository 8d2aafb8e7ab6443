//! What was left behind: ends, stubs, parts that nobody needs any more.

pub(super) mod live_stub;
pub(super) mod loose_end;
pub(super) mod unconnected_part;

use super::context::Context;
use crate::model::Setting;
use crate::model::TerminalId;

/// When a terminal is live.
#[derive(Clone, Debug)]
enum Live {
    /// With the key off, as the vehicle is left.
    Parked,
    /// With the key off, in this setting.
    KeyOff(Setting),
    /// In this setting.
    Sometimes(Setting),
    /// In no setting that was looked at.
    Never,
}

fn live(context: &Context<'_>, terminal: TerminalId) -> Live {
    let Some(seen) = context.solved.explored.terminals.get(terminal.index()) else {
        return Live::Never;
    };
    if seen.parked {
        Live::Parked
    } else if let Some(setting) = &seen.key_off {
        Live::KeyOff(setting.clone())
    } else if let Some(setting) = &seen.ever {
        Live::Sometimes(setting.clone())
    } else {
        Live::Never
    }
}

impl Live {
    /// `at all times`, `with the key in run`: how it is said.
    fn words(&self) -> String {
        match self {
            Self::Parked => "with the key off".to_owned(),
            Self::KeyOff(setting) => {
                format!("with the key off{}", super::words::left(setting))
            }
            Self::Sometimes(setting) => {
                let key = setting.key.map_or_else(
                    || "with the key on".to_owned(),
                    |key| format!("with the key in {}", key.text()),
                );
                format!("{key}{}", super::words::when(setting))
            }
            Self::Never => "never".to_owned(),
        }
    }

    fn setting(&self) -> Setting {
        match self {
            Self::Parked | Self::Never => Setting::default(),
            Self::KeyOff(setting) | Self::Sometimes(setting) => setting.clone(),
        }
    }
}
