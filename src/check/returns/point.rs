//! Points at which returns meet, and the resistance of the way home.

use crate::check::context::Context;
use crate::check::flow;
use crate::check::flow::Flow;
use crate::check::in_row::InRow;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::walk::Consumer;
use crate::quantity::Interval;
use crate::quantity::Volts;
use crate::read::document::Kind;

/// A ground point, stud, bus bar or splice on somebody's way home.
pub(super) struct Point<'c> {
    pub(super) id: PartId,
    pub(super) part: &'c Part,
    pub(super) terminal: TerminalId,
    /// Consumers of the record that come home by it.
    pub(super) users: Vec<&'c Consumer>,
    /// The conductors by which it leads home.
    pub(super) home: Vec<Link>,
}

/// Points at which only returns meet, those that added equipment uses, in document order.
pub(super) fn points<'c>(context: &'c Context<'_>) -> Vec<Point<'c>> {
    let kinds = &[Kind::Ground, Kind::Stud, Kind::Busbar, Kind::Splice];
    context
        .parts_of(kinds)
        .filter_map(|(id, part)| {
            let &terminal = part.terminals.first()?;
            if context.walks.fed(terminal) {
                return None;
            }
            let home = context.walks.links_home(context.vehicle, terminal);
            let home: Vec<Link> = home.into_iter().map(|(link, _)| link).collect();
            let users = users(context, &home);
            users
                .iter()
                .any(|one| context.is_added(one.part))
                .then_some(Point {
                    id,
                    part,
                    terminal,
                    users,
                    home,
                })
        })
        .collect()
}

/// Consumers of the record on whose way home any of these conductors lies.
fn users<'c>(context: &'c Context<'_>, links: &[Link]) -> Vec<&'c Consumer> {
    context
        .walks
        .consumers
        .iter()
        .filter(|consumer| context.vehicle.own_load != Some(consumer.part))
        .filter(|consumer| links.iter().any(|link| consumer.back.contains(link)))
        .collect()
}

impl Point<'_> {
    /// The most that comes home by it, starting of the engine apart.
    pub(super) fn flow(&self, context: &Context<'_>) -> Flow {
        let home = self.home.iter();
        let mut flows: Vec<Flow> = home.map(|&link| self.through(context, link)).collect();
        flows.sort_by(|a, b| b.amps.0.total_cmp(&a.amps.0));
        let sum = flows.into_iter().reduce(|mut sum, flow| {
            sum.amps += flow.amps;
            sum.smaller.clear();
            sum.range = sum.range + flow.range;
            sum.missing.extend(flow.missing);
            sum.ranged.extend(flow.ranged);
            sum
        });
        let mut sum = sum.unwrap_or(Flow {
            amps: crate::quantity::Amps::ZERO,
            range: Interval::exact(crate::quantity::Amps::ZERO),
            setting: std::sync::Arc::default(),
            smaller: Vec::new(),
            missing: Vec::new(),
            ranged: Vec::new(),
        });
        for list in [&mut sum.missing, &mut sum.ranged] {
            list.sort();
            list.dedup();
        }
        sum
    }

    /// The most that runs through a conductor of its way home, starting of the engine apart.
    fn through(&self, context: &Context<'_>, link: Link) -> Flow {
        match (link, self.starts(context)) {
            (Link::Wire(wire), false) => flow::in_wire(context, wire),
            (Link::Wire(wire), true) => flow::lasting_in_wire(context, wire),
            (Link::Branch(branch), false) => flow::in_branch(context, branch),
            (Link::Branch(branch), true) => flow::lasting_in_branch(context, branch),
        }
    }

    /// What is lost on a way home from it, at the most that each of its conductors carries.
    pub(super) fn lost(&self, context: &Context<'_>, way: &[Link]) -> Volts {
        way.iter().fold(Volts::ZERO, |sum, &link| {
            let ohms = InRow::of(context, [link]).likely;
            sum + Volts(self.through(context, link).amps.0 * ohms)
        })
    }

    /// Whether the starter comes home by it.
    fn starts(&self, context: &Context<'_>) -> bool {
        let mut users = self.users.iter();
        users.any(|one| context.walks.is_starter(context.vehicle, one.part))
    }

    /// Consumers that make up that flow.
    pub(super) fn takers(&self, context: &Context<'_>) -> Vec<&Consumer> {
        let users = self.users.iter().copied();
        if self.starts(context) {
            flow::lasting_of(context, users)
        } else {
            users.collect()
        }
    }

    /// Parts that come home by it, each once.
    pub(super) fn parts(&self) -> Vec<PartId> {
        let mut parts: Vec<PartId> = self.users.iter().map(|one| one.part).collect();
        parts.dedup();
        parts
    }

    /// The shortest way home from it, and where that ends: the chassis, or the `-` of a source.
    pub(super) fn way_home(&self, context: &Context<'_>) -> (Vec<Link>, TerminalId) {
        let mut way = Vec::new();
        let mut at = self.terminal;
        while let Some(&(link, next)) = context.walks.links_home(context.vehicle, at).first() {
            way.push(link);
            at = next;
        }
        (way, at)
    }
}
