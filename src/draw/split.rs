//! Pieces of a schematic: what hangs together, and what stands alone.

use super::net::{Device, End, Joint, Schematic};

/// Groups of devices that nets join, each in the order of the schematic, and the devices that no net joins.
#[must_use]
pub fn pieces(schematic: &Schematic) -> (Vec<Vec<usize>>, Vec<usize>) {
    let mut root: Vec<usize> = (0..schematic.devices.len()).collect();
    let mut joined = vec![false; schematic.devices.len()];
    for joint in &schematic.joints {
        let ends: Vec<usize> = ends(joint).map(|end| end.device).collect();
        for &device in &ends {
            joined[device] = true;
            let (a, b) = (find(&mut root, ends[0]), find(&mut root, device));
            root[a.max(b)] = a.min(b);
        }
    }
    let mut groups: Vec<(usize, Vec<usize>)> = Vec::new();
    let mut alone = Vec::new();
    for (device, joined) in joined.into_iter().enumerate() {
        if !joined {
            alone.push(device);
            continue;
        }
        let at = find(&mut root, device);
        match groups.iter_mut().find(|group| group.0 == at) {
            Some(group) => group.1.push(device),
            None => groups.push((at, vec![device])),
        }
    }
    (groups.into_iter().map(|group| group.1).collect(), alone)
}

/// All ends of a net.
pub fn ends(joint: &Joint) -> impl Iterator<Item = &End> {
    joint
        .centre
        .iter()
        .chain(joint.cables.iter().map(|cable| &cable.own))
}

/// The root of a set, the way shortened.
pub fn find(root: &mut [usize], mut at: usize) -> usize {
    while root[at] != at {
        root[at] = root[root[at]];
        at = root[at];
    }
    at
}

/// A schematic of some of the devices, with the nets that lie wholly among them.
#[must_use]
pub fn subset(schematic: &Schematic, devices: &[usize]) -> Schematic {
    let mut number = vec![None; schematic.devices.len()];
    let mut list: Vec<Device> = Vec::new();
    for &device in devices {
        number[device] = Some(list.len());
        list.push(schematic.devices[device].clone());
    }
    let mut joints = Vec::new();
    'joints: for joint in &schematic.joints {
        let mut joint = joint.clone();
        let centre = joint.centre.iter_mut();
        let cables = joint
            .cables
            .iter_mut()
            .flat_map(|cable| [&mut cable.own, &mut cable.text_at]);
        for end in centre.chain(cables) {
            match number[end.device] {
                Some(new) => end.device = new,
                None => continue 'joints,
            }
        }
        joints.push(joint);
    }
    Schematic {
        devices: list,
        joints,
    }
}
