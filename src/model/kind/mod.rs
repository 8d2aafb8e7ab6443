//! What conducts inside each kind of part: one file for each family of kinds.

pub(super) mod battery;
pub(super) mod joint;
pub(super) mod key;
pub(super) mod load;
pub(super) mod protection;
pub(super) mod relay;
pub(super) mod source;
pub(super) mod switch;
pub(super) mod timed;

use super::build::Maker;
use crate::read::document::Kind;

/// Adds the branches of a part.
pub(super) fn build(maker: &mut Maker<'_, '_>) {
    match maker.kind {
        Kind::Battery => battery::build(maker),
        Kind::Alternator => source::alternator(maker),
        Kind::Charger => source::charger(maker),
        Kind::Converter => source::converter(maker),
        Kind::Feed => key::feed(maker),
        Kind::KeySwitch => key::key_switch(maker),
        Kind::Disconnect => switch::disconnect(maker),
        Kind::Switch => switch::switch(maker),
        Kind::Fuse | Kind::Breaker | Kind::FusibleLink => protection::build(maker),
        Kind::Relay => relay::build(maker),
        Kind::Load => load::load(maker),
        Kind::Controller => load::controller(maker),
        Kind::Delay => timed::delay(maker),
        Kind::Cutoff => timed::cutoff(maker),
        Kind::Isolator => timed::isolator(maker),
        Kind::Diode => joint::diode(maker),
        Kind::Connector => joint::connector(maker),
        Kind::Splice | Kind::Stud | Kind::Busbar => joint::landing(maker),
        Kind::Ground => joint::ground(maker),
        Kind::Stub => {}
    }
}
