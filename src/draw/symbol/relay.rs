//! A relay, whole: contact above, coil below, a dashed outline around both.

use super::pen::Pen;
use super::{Figure, LIMIT, PIN, Words, comb, lead, places, span, up, volts};
use crate::draw::drawing::{Anchor, BODY, Colour, DASHED, LEAD};
use crate::draw::net::{Across, Device, Pin};
use crate::draw::pass::Side;

/// Least width.
const WIDTH: i32 = 120;
/// The common end of the coils, right of the middle.
const COMMON: i32 = 14;

fn pin<'d>(device: &'d Device, name: &str) -> Option<(usize, &'d Pin)> {
    device.pin(name).map(|index| (index, &device.pins[index]))
}

/// Whether its contact runs from one side to the other, and its coil too.
pub fn fits(device: &Device) -> bool {
    let Some((_, common)) = pin(device, "30") else {
        return false;
    };
    let far = |name: &str| pin(device, name).is_none_or(|(_, one)| one.side != common.side);
    let coils = |side: Side| {
        device
            .pins
            .iter()
            .filter(|pin| matches!(pin.name.as_str(), "85" | "86") && pin.side == side)
            .count()
    };
    let set = device
        .pins
        .iter()
        .filter(|pin| matches!(pin.name.as_str(), "set" | "reset"))
        .all(|pin| pin.side == Side::West && coils(Side::West) == 0);
    let plain = coils(Side::West) <= 1 && coils(Side::East) <= 1;
    pin(device, "87").is_some() && far("87") && far("87a") && set && plain
}

/// Draws it.
pub fn draw(device: &Device, across: Across) -> Figure {
    let words = Words::of(device, LIMIT + 20);
    let room = lead::room(&device.leads);
    let mirrored = pin(device, "30").is_some_and(|(_, one)| one.side == Side::East);
    let width = up(
        (words.width + 8)
            .max(WIDTH)
            // The ground lead starts right of the middle and its words must find room on the right.
            .max(2 * (COMMON + room.width + 4)),
        20,
    );
    let (left, right) = (f64::from(width) / 2.0 - 50.0, f64::from(width) / 2.0 + 50.0);
    let slots = |name: &str| pin(device, name).map_or(0, |(_, one)| span(&one.slots));

    let outline = words.height + 4;
    let mut contact = up(outline + 16, 10);
    if let Some((_, one)) = pin(device, "87a") {
        contact += 30 + span(&one.slots);
    }
    let coil = contact + 30 + slots("30").max(slots("87"));
    let coils: Vec<&str> = if device.pin("reset").is_some() || device.pin("set").is_some() {
        vec!["set", "reset"]
    } else {
        vec!["86"]
    };
    let coil_pitch = 40;
    let foot_coil = coil
        + coil_pitch * (coils.len() as i32 - 1)
        + slots("86")
            .max(slots("85"))
            .max(slots("set") + slots("reset"));
    let foot = foot_coil + if across == Across::Nothing { 14 } else { 24 };

    let mut pen = Pen::default();
    let mut ports = vec![Vec::new(); device.pins.len()];
    let mut reach = vec![0; device.pins.len()];
    pen.frame(
        (left + 10.0, f64::from(outline)),
        80.0,
        f64::from(foot - outline),
        DASHED,
        None,
    );

    // Contact, drawn from left to right and mirrored where the common terminal is on the right.
    let y = f64::from(contact);
    let mut body = Pen::default();
    let from = (left + 30.0, y);
    let to = (right - 30.0, y);
    let changeover = pin(device, "87a").is_some();
    let tip = match (changeover, device.live) {
        (_, true) => (to.0, y),
        (true, false) => (to.0 - 1.0, y - 28.0),
        (false, false) => (to.0 - 4.0, y - 11.0),
    };
    body.line(&[from, tip], BODY);
    body.contact(from);
    body.contact(to);
    if changeover {
        body.contact((to.0, y - 30.0));
    }
    if mirrored {
        body = body.mirrored(f64::from(width) / 2.0);
    }
    // Mechanical link from the coil to the blade.
    let link_x = f64::from(width) / 2.0 - 8.0;
    let along = (link_x - from.0) / (tip.0 - from.0);
    let blade_y = if mirrored {
        let x = f64::from(width) - link_x;
        y + (tip.1 - y) * (x - from.0) / (tip.0 - from.0)
    } else {
        y + (tip.1 - y) * along
    };
    pen.line(
        &[(link_x, blade_y), (link_x, f64::from(coil) - 7.0)],
        DASHED,
    );
    pen.shapes.append(&mut body.shapes);

    for (name, row) in [
        ("30", contact),
        ("87", contact),
        ("87a", contact - 30 - slots("87a")),
    ] {
        if let Some((index, one)) = pin(device, name) {
            ports[index] = places(&one.slots, row);
            let (edge, inner, text, anchor) = ends(one.side, width, left, right);
            let body = match one.side {
                Side::West => left + 28.0,
                Side::East => right - 28.0,
            };
            // The wire ends at the outline; from there to the contact the lead is the relay's.
            let y = f64::from(row);
            if name == "87a" && row != contact - 30 {
                pen.lead((body, y), (body, f64::from(contact - 30)));
            }
            reach[index] = comb(&mut pen, one, edge, inner, &ports[index]);
            pen.lead((inner, y), (body, y));
            pen.text((text, y - 3.0), name, PIN, false, anchor);
            volts(&mut pen, device, index, inner, row);
        }
    }

    // Coils, and the common return on the right or below.
    let coil_x = f64::from(width) / 2.0 - 8.0;
    let common_x = f64::from(width / 2 + COMMON);
    let mut row = coil;
    for (number, name) in coils.iter().enumerate() {
        let y = f64::from(row);
        pen.bar((coil_x, y), 20.0, 14.0, Some(Colour::WHITE));
        pen.line(&[(coil_x - 10.0, y + 7.0), (coil_x + 10.0, y - 7.0)], LEAD);
        pen.lead((coil_x + 10.0, y), (common_x, y));
        if number > 0 {
            pen.lead((common_x, f64::from(coil)), (common_x, y));
            pen.dot((common_x, y), 2.2);
        }
        if number == 0 {
            suppression(&mut pen, across, coil_x, y, common_x);
        }
        // A coil whose 86 is the return has its feed at 85.
        let feed = if *name == "86" {
            coil_end(device, Side::West)
        } else {
            pin(device, name)
        };
        let shown = feed.map_or(*name, |(_, one)| one.name.as_str());
        if let Some((index, one)) = feed {
            ports[index] = places(&one.slots, row);
            reach[index] = comb(&mut pen, one, 0.0, left + 10.0, &ports[index]);
            pen.lead((left + 10.0, y), (coil_x - 10.0, y));
            volts(&mut pen, device, index, 0.0, row);
            row += span(&one.slots);
        } else {
            pen.lead((left + 24.0, y), (coil_x - 10.0, y));
        }
        // A long name stands clear of the coil.
        let up = if shown.len() > 3 { 9.0 } else { 3.0 };
        pen.text((left + 13.0, y - up), shown, PIN, false, Anchor::Start);
        row += coil_pitch;
    }
    let y = f64::from(coil);
    let east = coil_end(device, Side::East);
    if let Some((index, one)) = east {
        ports[index] = places(&one.slots, coil);
        let outline = right - 10.0;
        reach[index] = comb(&mut pen, one, f64::from(width), outline, &ports[index]);
        pen.lead((common_x, y), (outline, y));
        pen.text((right - 12.0, y - 3.0), &one.name, PIN, false, Anchor::End);
        volts(&mut pen, device, index, outline, coil);
    }
    let mut labels = Vec::new();
    if !device.leads.is_empty() {
        let name = &device.leads[0].name;
        pen.lead((common_x, y), (common_x, f64::from(foot)));
        pen.text(
            (common_x + 3.0, f64::from(foot) - 4.0),
            name,
            PIN,
            false,
            Anchor::Start,
        );
        labels = lead::draw(&mut pen, &device.leads, common_x, f64::from(foot));
    }
    words.centred(&mut pen, f64::from(width) / 2.0, 0.0);
    let under = if device.leads.is_empty() {
        4
    } else {
        room.height + 2
    };
    Figure {
        width,
        height: up((foot + under).max(foot_coil + 20), 10),
        ports,
        reach,
        open: true,
        shapes: pen.shapes,
        labels,
        anchors: Vec::new(),
    }
}

/// The end of a plain coil on one side.
fn coil_end(device: &Device, side: Side) -> Option<(usize, &Pin)> {
    ["86", "85"]
        .iter()
        .find_map(|name| pin(device, name).filter(|(_, one)| one.side == side))
}

/// Edge of the room, of the outline, and where a terminal's name stands.
fn ends(side: Side, width: i32, left: f64, right: f64) -> (f64, f64, f64, Anchor) {
    match side {
        Side::West => (0.0, left + 10.0, left + 13.0, Anchor::Start),
        Side::East => (f64::from(width), right - 10.0, right - 13.0, Anchor::End),
    }
}

/// A resistor or diode across the coil.
fn suppression(pen: &mut Pen, across: Across, x: f64, y: f64, common_x: f64) {
    if across == Across::Nothing {
        return;
    }
    let (low, left) = (y + 15.0, x - 18.0);
    pen.line(
        &[(left, y), (left, low), (common_x, low), (common_x, y)],
        LEAD,
    );
    pen.dot((left, y), 1.8);
    pen.dot((common_x, y), 1.8);
    match across {
        Across::Resistor => pen.bar((x, low), 16.0, 6.0, Some(Colour::WHITE)),
        Across::Diode => {
            // It blocks while the coil is fed: it points back at the feed.
            pen.area(
                &[(x + 4.0, low - 4.0), (x - 4.0, low), (x + 4.0, low + 4.0)],
                None,
                Some(Colour::BLACK),
            );
            pen.line(&[(x - 4.0, low - 4.0), (x - 4.0, low + 4.0)], LEAD);
        }
        Across::Nothing => {}
    }
}
