//! Symbols of ways through parts, upright.

use crate::draw::drawing::{Anchor, BODY, Colour, Ink, LEAD};
use crate::draw::net::{Glyph, Symbol};
use crate::draw::symbol::pen::Pen;
use crate::draw::symbol::{PIN, glyph, inline};
use crate::draw::words;
use crate::model::{BranchId, Element, PartId};
use crate::read::document::Kind;

use super::paint::Painter;

impl Painter<'_> {
    /// The symbol of a way through a part; gives half its height.
    pub(super) fn symbol(
        &self,
        pen: &mut Pen,
        branch: BranchId,
        part: PartId,
        centre: (f64, f64),
    ) -> f64 {
        let vehicle = self.gatherer.vehicle;
        let one = vehicle.part(part);
        let element = &vehicle.branch(branch).element;
        let live = self.gatherer.closed(branch);
        let mut body = Pen::default();
        let plain = |symbol: Symbol| (symbol, 14.0);
        let (symbol, half) = match (one.kind, element) {
            (_, Element::Coil { .. }) => {
                pen.bar(centre, 20.0, 14.0, Some(Colour::WHITE));
                pen.line(
                    &[
                        (centre.0 - 10.0, centre.1 + 7.0),
                        (centre.0 + 10.0, centre.1 - 7.0),
                    ],
                    LEAD,
                );
                return 7.0;
            }
            (_, Element::Cell { .. }) => {
                for (y, half, thick) in [
                    (-9.0, 14.0, false),
                    (-3.0, 7.0, true),
                    (3.0, 14.0, false),
                    (9.0, 7.0, true),
                ] {
                    let ink = if thick { Ink::solid(4.0) } else { BODY };
                    let y = centre.1 + y;
                    pen.line(&[(centre.0 - half, y), (centre.0 + half, y)], ink);
                }
                pen.text(
                    (centre.0 - 9.0, centre.1 - 13.0),
                    "+",
                    12.0,
                    true,
                    Anchor::End,
                );
                return 9.0;
            }
            (_, Element::Alternator { .. }) => {
                pen.ring(centre, 13.0);
                let at = |y: f64| (centre.0, centre.1 + y);
                pen.text(at(1.0), "G", 12.0, false, Anchor::Middle);
                pen.text(at(9.0), "3~", PIN, false, Anchor::Middle);
                return 13.0;
            }
            (_, Element::Load(_)) => {
                let kind = words::glyph(&one.fields);
                glyph::load(&mut body, kind, centre);
                let upright = matches!(kind, Glyph::Led | Glyph::Heater);
                // What leaves a light goes to the left, away from the words.
                let body = if upright {
                    body.turned(centre).mirrored(centre.0)
                } else {
                    body
                };
                pen.shapes.extend(body.shapes);
                return if kind == Glyph::Electronics {
                    10.0
                } else {
                    12.0
                };
            }
            (Kind::Fuse, _) => plain(Symbol::Fuse),
            (Kind::FusibleLink, _) => plain(Symbol::Fuse),
            (Kind::Breaker, _) => (Symbol::Breaker, 12.0),
            (Kind::Switch, _) => plain(Symbol::Switch {
                momentary: one.fields.flag("momentary"),
            }),
            (Kind::Disconnect, _) => plain(Symbol::Disconnect),
            (Kind::Relay | Kind::KeySwitch | Kind::Controller, Element::Contact { .. }) => {
                plain(Symbol::Switch { momentary: false })
            }
            (Kind::Diode, _) | (_, Element::Diode { .. }) => plain(Symbol::Diode { back: false }),
            (Kind::Isolator, _) => (Symbol::Isolator, 18.0),
            (Kind::Connector, _) => {
                body.line(
                    &[(centre.0 - 8.0, centre.1), (centre.0 + 2.0, centre.1)],
                    Ink::solid(4.0),
                );
                let (x, y) = centre;
                body.arc((x + 4.0, y - 6.0), (x + 4.0, y + 6.0), 6.0);
                pen.shapes.extend(body.turned(centre).shapes);
                return 8.0;
            }
            _ => {
                pen.bar(centre, 24.0, 22.0, Some(Colour::WHITE));
                return 11.0;
            }
        };
        inline::body(&mut body, &symbol, live, centre, half);
        let body = body.turned(centre);
        // A plunger stands on the left, away from the words.
        let body = if symbol == (Symbol::Switch { momentary: true }) {
            body.mirrored(centre.0)
        } else {
            body
        };
        pen.shapes.extend(body.shapes);
        half
    }
}
