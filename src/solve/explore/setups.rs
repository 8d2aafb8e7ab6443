//! Positions of the key, and settings of disconnects and plugs.

use std::collections::BTreeSet;

use crate::model::Control;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Key;
use crate::model::Vehicle;
use crate::solve::State;

/// Disconnects and plugs of which all settings are combined; of more, each is changed alone.
const OUTER: usize = 4;

/// A position of the key, and what goes with it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Setup {
    pub key: Key,
    pub engine: Engine,
    pub shore: bool,
    pub settled: bool,
    /// Words for what the key does not tell.
    pub also: Option<&'static str>,
}

/// Disconnects and plugs that are not as they are left.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub(super) struct Outer {
    pub switches: Vec<(u32, u8)>,
    pub detached: BTreeSet<String>,
}

/// The state with everything else as it is left.
pub(super) fn base(vehicle: &Vehicle, setup: Setup, outer: &Outer) -> State {
    let mut state = State::parked(vehicle);
    state.key = setup.key;
    state.engine = setup.engine;
    state.shore = setup.shore;
    state.settled = setup.settled;
    for &(switch, position) in &outer.switches {
        state.positions[switch as usize] = position;
    }
    state.detached.clone_from(&outer.detached);
    state
}

/// Positions of the key, with the engine as it can be there.
pub(super) fn setups(vehicle: &Vehicle) -> Vec<Setup> {
    let plain = |key, engine, also| Setup {
        key,
        engine,
        shore: false,
        settled: key == Key::Off,
        also,
    };
    let mut all = vec![plain(Key::Off, Engine::Stopped, None)];
    let timed = vehicle.branches.iter().any(|branch| match &branch.element {
        Element::Load(load) => load.settles.is_some(),
        Element::Contact { control, .. } => match control {
            Control::Hot { stays_on, .. } => stays_on.is_some(),
            Control::Delay { keeps_on, .. } => keeps_on.is_some(),
            _ => false,
        },
        _ => false,
    });
    if timed {
        all.push(Setup {
            settled: false,
            ..plain(
                Key::Off,
                Engine::Stopped,
                Some("just after the key is turned off"),
            )
        });
    }
    let on_shore = |control: &Control| match control {
        Control::Hot { hot, .. } | Control::Output { hot, .. } => hot.shore,
        _ => false,
    };
    let shore = vehicle.branches.iter().any(|branch| match &branch.element {
        Element::Contact { control, .. } | Element::Charger { control, .. } => on_shore(control),
        _ => false,
    });
    if shore {
        all.push(Setup {
            shore: true,
            ..plain(Key::Off, Engine::Stopped, Some("on shore power"))
        });
    }
    all.push(plain(Key::Accessory, Engine::Stopped, None));
    all.push(plain(Key::Run, Engine::Stopped, None));
    all.push(plain(
        Key::Run,
        Engine::Idle,
        Some("with the engine at idle"),
    ));
    let alternator = |element: &Element| matches!(element, Element::Alternator { .. });
    if vehicle
        .branches
        .iter()
        .any(|branch| alternator(&branch.element))
    {
        all.push(plain(
            Key::Run,
            Engine::Cruise,
            Some("with the engine at speed"),
        ));
    }
    all.push(plain(Key::Start, Engine::Stopped, None));
    all
}

/// Settings of disconnects and plugs, as left first; and whether they are all.
pub(super) fn outers(vehicle: &Vehicle) -> (Vec<Outer>, bool) {
    let mut choices: Vec<Vec<Outer>> = Vec::new();
    for (at, unit) in vehicle.switches.iter().enumerate() {
        if unit.disconnect {
            let others = (0..unit.positions.len() as u8).filter(|&position| position != unit.left);
            choices.push(
                others
                    .map(|position| Outer {
                        switches: vec![(at as u32, position)],
                        ..Outer::default()
                    })
                    .collect(),
            );
        }
    }
    let groups: BTreeSet<&String> = vehicle
        .branches
        .iter()
        .filter_map(|branch| match &branch.element {
            Element::Contact {
                control: Control::Attached(group),
                ..
            } => Some(group),
            _ => None,
        })
        .collect();
    for group in groups {
        choices.push(vec![Outer {
            detached: BTreeSet::from([group.clone()]),
            ..Outer::default()
        }]);
    }
    let together = choices.len() <= OUTER;
    let mut all = vec![Outer::default()];
    for choice in &choices {
        let known = if together { all.len() } else { 1 };
        for at in 0..known {
            for change in choice {
                let mut next = all[at].clone();
                next.switches.extend(&change.switches);
                next.detached.extend(change.detached.iter().cloned());
                all.push(next);
            }
        }
    }
    all.sort_by_key(|outer| outer.switches.len() + outer.detached.len());
    (all, together)
}
