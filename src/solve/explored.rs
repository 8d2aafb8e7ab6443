//! What was seen over all explored settings.

use std::sync::Arc;

use super::{Memory, State};
use crate::model::{BranchId, Key, PartId, Setting, TerminalId};
use crate::quantity::{Amps, Fraction, Scalar, Volts};

/// The most and least of everything over all settings that were looked at.
#[derive(Clone, Debug, Default)]
pub struct Explored {
    /// Settings looked at.
    pub settings: u64,
    /// Of how many.
    pub of: u64,
    /// Whether all were.
    pub complete: bool,
    /// Combinations of one group of switches in one position of the key that were allowed.
    pub limit: usize,
    /// In so large a vehicle many circuits were looked at in the same solution, and not each between the ends of what the
    /// others can do: the worst current of one circuit can be off by what the points move that it shares with others.
    pub together: bool,
    /// By wire: the current of largest magnitude.
    pub wires: Vec<Extreme<Amps>>,
    /// By branch: the current of largest magnitude.
    pub branches: Vec<Extreme<Amps>>,
    /// By branch: the current of largest magnitude with the key off, settled, in settings that a person can leave behind
    /// (nothing momentary held). The setting is empty where it flows as the vehicle is left.
    pub key_off: Vec<Extreme<Amps>>,
    /// By wire: the same with the key not in start, and without what loads take that do not run all the time; nothing of a
    /// wire that carries no such load.
    pub lasting_wires: Vec<Option<Extreme<Amps>>>,
    /// The same by branch.
    pub lasting_branches: Vec<Option<Extreme<Amps>>>,
    /// By terminal: where it was seen live.
    pub terminals: Vec<Seen>,
    /// By terminal: highest voltage.
    pub highest: Vec<Extreme<Volts>>,
    /// Consumers that were seen to draw, or to hold a relay, while one of their terminals was joined by no conductor to any
    /// source or to the chassis: their current runs through other consumers.
    pub adrift: Vec<Adrift>,
    /// Loops of parts that find no rest, each once with the smallest setting that shows it.
    pub chatter: Vec<(Vec<PartId>, Setting)>,
    /// By branch: how what uses current (a load, a coil, a converter's input) was seen; empty of other branches.
    pub uses: Vec<Use>,
    /// Sources that some setting joins to their own foot.
    pub shorted: Vec<Shorted>,
    /// Coils whose suppression diode would short the supply past them. Everything else is seen as if it were gone.
    pub burnt: Vec<Burnt>,
    /// Feeds and key terminals that were live at their end while they were off.
    pub back_fed: Vec<BackFed>,
    /// Feeds and key terminals through which current runs back while they are on.
    pub backwards: Vec<Backwards>,
    /// Loads that stay live whichever of two protections is pulled.
    pub joined: Vec<Joined>,
}

/// How a user of current was seen.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Use {
    /// The smallest setting in which it draws.
    pub ever: Option<Arc<Setting>>,
    /// The smallest one with the key off, buttons that are held included.
    pub key_off: Option<Arc<Setting>>,
    /// The most in settings that can last: nothing momentary is held, the key is not in start.
    pub lasting: Option<Shown<Amps>>,
    /// The most voltage over it while it draws.
    pub highest: Option<Shown<Volts>>,
    /// The least voltage over it while it draws.
    pub lowest: Option<Shown<Volts>>,
    /// The same with the engine running.
    pub lowest_running: Option<Shown<Volts>>,
    /// The most that is lost between the source that stands highest and it, and on the way home, as a share of the voltage of
    /// that source; the key not in start.
    pub lost: Option<Shown<Fraction>>,
    /// The state in which that is lost, and what it is solved from.
    pub lost_in: Option<Arc<(State, Memory)>>,
}

/// A value, and a setting that shows it, which others may share.
#[derive(Clone, PartialEq, Debug)]
pub struct Shown<T> {
    /// The value.
    pub value: T,
    /// The smallest setting that shows it, as nearly as makes no difference.
    pub setting: Arc<Setting>,
    /// Smaller settings that show part of it, smallest first, each with its value.
    pub smaller: Vec<(T, Arc<Setting>)>,
}

impl<T: Copy> Shown<T> {
    /// The smallest setting whose value is bad enough; that of the value itself where there is none.
    #[must_use]
    pub fn showing(&self, is_bad: impl Fn(T) -> bool) -> Setting {
        let mut smaller = self.smaller.iter();
        let found = smaller.find(|(value, _)| is_bad(*value));
        let setting = found.map_or(&self.setting, |(_, setting)| setting);
        (**setting).clone()
    }

    /// The setting of the value itself.
    #[must_use]
    pub fn worst(&self) -> Setting {
        (*self.setting).clone()
    }
}

/// A setting that joins a source to its own foot, through conductors alone.
#[derive(Clone, PartialEq, Debug)]
pub struct Shorted {
    /// The source.
    pub source: BranchId,
    /// Contacts on the way.
    pub contacts: Vec<BranchId>,
    /// The most that flows out of it then.
    pub seen: Extreme<Amps>,
}

/// A coil with a diode across it that would short the supply past it.
#[derive(Clone, PartialEq, Debug)]
pub struct Burnt {
    /// The coil.
    pub coil: BranchId,
    /// The most that the diode would take.
    pub seen: Extreme<Amps>,
}

/// A feed or key terminal that is off and live at its end.
#[derive(Clone, PartialEq, Debug)]
pub struct BackFed {
    /// The feed.
    pub feed: BranchId,
    /// The contact or protection nearest to the source that it is live from, else the source.
    pub from: BranchId,
    /// The highest voltage at its end while it is off.
    pub seen: Extreme<Volts>,
}

/// A feed or key terminal that is on, and through which current runs back.
#[derive(Clone, PartialEq, Debug)]
pub struct Backwards {
    /// The feed.
    pub feed: BranchId,
    /// The contact or protection nearest to the source that pushes it back, else the source.
    pub from: BranchId,
    /// The largest current that runs back.
    pub seen: Extreme<Amps>,
}

/// A load that two protections feed.
#[derive(Clone, PartialEq, Debug)]
pub struct Joined {
    /// The load.
    pub user: BranchId,
    /// Two protections of which neither alone makes it dead.
    pub protections: [PartId; 2],
    /// The smallest setting that shows it.
    pub setting: Arc<Setting>,
}

/// The extreme of a value and the smallest setting that gives it.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Extreme<T> {
    /// The value.
    pub value: T,
    /// The smallest setting that shows it, as nearly as makes no difference (within 2 %).
    pub setting: Arc<Setting>,
    /// Smaller settings that show part of it, smallest first, each with its value.
    pub smaller: Vec<(T, Arc<Setting>)>,
}

impl<T: Scalar> Extreme<T> {
    /// The smallest setting in which anything was seen, and the value in it.
    #[must_use]
    pub fn first(&self) -> (T, &Setting) {
        self.smaller
            .first()
            .map_or((self.value, &self.setting), |(value, setting)| {
                (*value, setting)
            })
    }

    /// The smallest setting in which a value of more than this was seen; that of the value itself where there is none.
    #[must_use]
    pub fn showing(&self, more_than: T) -> &Setting {
        self.smaller
            .iter()
            .find(|(value, _)| value.get().abs() > more_than.get())
            .map_or(&self.setting, |(_, setting)| setting)
    }
}

/// A consumer whose current runs through other consumers.
#[derive(Clone, PartialEq, Debug)]
pub struct Adrift {
    /// Its branch.
    pub branch: BranchId,
    /// The terminal that no conductor joins to a source or the chassis.
    pub at: TerminalId,
    /// The largest current, positive from the branch's `from` to its `to`.
    pub seen: Extreme<Amps>,
}

/// Where a terminal was seen live.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Seen {
    /// With the key off, as left.
    pub parked: bool,
    /// With the key off, in this smallest setting.
    pub key_off: Option<Arc<Setting>>,
    /// In any setting.
    pub ever: Option<Arc<Setting>>,
    /// With the key in each of its positions, in the order of [`Key::ALL`], in any setting that was looked at.
    pub by_key: [bool; Key::ALL.len()],
}
