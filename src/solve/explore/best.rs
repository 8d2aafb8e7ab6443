//! The largest of what was seen, and the smallest settings that show so much of it.

use std::sync::Arc;

/// A smaller setting that shows this share of an extreme is told instead of a larger one that shows all of it.
pub(super) const AS_GOOD: f64 = 0.98;
/// A setting is not kept where a smaller one shows this share of the same: less than what is told for one another, so that the two
/// do not add up.
const SAME: f64 = 0.99;
/// Currents below this, in ampere, and voltages below this, in volt, are nothing.
pub(super) const NOTHING: f64 = 1e-7;

/// A setting, kept short: the pass and the combinations of some groups.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Spot {
    pub pass: u32,
    /// Group and combination, of those groups that are not as they are left. Shared: with everything on, thousands of values are
    /// of one setting of thousands of groups.
    pub combinations: Arc<[(u32, u32)]>,
}

impl Spot {
    /// Whether both are the same setting; quick where they share it.
    pub(super) fn is(&self, other: &Self) -> bool {
        self.pass == other.pass
            && (Arc::ptr_eq(&self.combinations, &other.combinations)
                || self.combinations == other.combinations)
    }
}

/// What some setting shows.
#[derive(Clone, Debug)]
pub(super) struct Step {
    pub value: f64,
    /// How much is changed in it.
    pub cost: u32,
    pub spot: Spot,
}

/// The value of largest magnitude, and settings that lead up to it.
#[derive(Clone, Default, Debug)]
pub(super) struct Best {
    /// The largest, whatever its setting.
    pub most: f64,
    /// None of them is as large as one that costs no more; small ones first.
    steps: Vec<Step>,
}

impl Best {
    /// Takes a value if no setting that costs as little shows as much.
    pub(super) fn see(&mut self, value: f64, cost: u32, spot: impl FnOnce() -> Spot) {
        if !self.is_news(value, cost) {
            return;
        }
        if value.abs() > self.most.abs() {
            self.most = value;
        }
        if self.shown(value, cost) {
            return;
        }
        let size = value.abs();
        self.steps
            .retain(|step| step.cost < cost || step.value.abs() > size);
        let at = self.steps.partition_point(|step| step.cost < cost);
        let spot = spot();
        self.steps.insert(at, Step { value, cost, spot });
    }

    /// Whether seeing it would change anything.
    pub(super) fn is_news(&self, value: f64, cost: u32) -> bool {
        let size = value.abs();
        size > NOTHING && (size > self.most.abs() || !self.shown(value, cost))
    }

    /// Whether a setting that costs as little shows as much.
    fn shown(&self, value: f64, cost: u32) -> bool {
        let enough = value.abs() * SAME;
        self.steps
            .iter()
            .any(|step| step.cost <= cost && step.value.abs() >= enough)
    }

    /// The smallest setting that shows the largest value, as nearly as makes no difference; nothing where nothing was seen.
    pub(super) fn told(&self) -> Option<&Step> {
        let enough = self.most.abs() * AS_GOOD;
        self.steps.iter().find(|step| step.value.abs() >= enough)
    }

    /// The smallest setting in which anything was seen.
    pub(super) fn first(&self) -> Option<&Step> {
        self.steps.first()
    }

    /// Settings smaller than the one told that show part of it, smallest first.
    pub(super) fn smaller(&self) -> impl Iterator<Item = &Step> {
        let enough = self.most.abs() * AS_GOOD;
        self.steps
            .iter()
            .take_while(move |step| step.value.abs() < enough)
    }
}

/// A smaller setting is told instead of a larger one that takes no more than this share of a voltage more.
const AS_LOW: f64 = 1.01;

/// The lowest of a voltage, and settings that lead down to it.
#[derive(Clone, Default, Debug)]
pub(super) struct Low {
    /// The lowest, whatever its setting.
    least: f64,
    /// None of them is as low as one that costs no more; small ones first.
    steps: Vec<Step>,
}

impl Low {
    /// Takes a voltage if no setting that costs as little shows one as low.
    pub(super) fn see(&mut self, volts: f64, cost: u32, spot: impl FnOnce() -> Spot) {
        self.least = if self.steps.is_empty() {
            volts
        } else {
            self.least.min(volts)
        };
        let enough = volts * AS_LOW;
        let known = |step: &Step| step.cost <= cost && step.value <= enough;
        if self.steps.iter().any(known) {
            return;
        }
        self.steps
            .retain(|step| step.cost < cost || step.value < volts);
        let at = self.steps.partition_point(|step| step.cost < cost);
        let spot = spot();
        let value = volts;
        self.steps.insert(at, Step { value, cost, spot });
    }

    /// The lowest; nothing where nothing was seen.
    pub(super) fn least(&self) -> Option<f64> {
        (!self.steps.is_empty()).then_some(self.least)
    }

    /// The settings that lead down to it, the smallest first; the last is the smallest that shows it, as nearly as makes no
    /// difference.
    pub(super) fn steps(&self) -> &[Step] {
        let enough = self.least * AS_LOW;
        let told = self.steps.iter().position(|step| step.value <= enough);
        &self.steps[..told.map_or(0, |told| told + 1)]
    }
}

/// The smallest setting in which something was so.
#[derive(Clone, Default, Debug)]
pub(super) struct Least(Option<(u32, Spot)>);

impl Least {
    /// It is so in this setting.
    pub(super) fn see(&mut self, cost: u32, spot: impl FnOnce() -> Spot) {
        if self.0.as_ref().is_none_or(|&(known, _)| cost < known) {
            self.0 = Some((cost, spot()));
        }
    }

    /// The setting.
    pub(super) fn spot(&self) -> Option<&Spot> {
        self.0.as_ref().map(|(_, spot)| spot)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(pass: u32) -> Spot {
        Spot {
            pass,
            combinations: Arc::default(),
        }
    }

    #[test]
    fn the_smallest_setting_is_told_and_the_largest_value_kept() {
        let mut best = Best::default();
        best.see(10.0, 3, || spot(0));
        best.see(-9.9, 1, || spot(1));
        best.see(4.0, 0, || spot(2));
        best.see(3.0, 2, || spot(3));
        best.see(10.05, 5, || spot(4));
        assert_eq!(best.most, 10.05);
        // 9.9 A is no more than 2 % short of it.
        assert_eq!(best.told().map(|step| step.spot.pass), Some(1));
        let smaller: Vec<u32> = best.smaller().map(|step| step.spot.pass).collect();
        assert_eq!(smaller, [2]);
        best.see(11.0, 6, || spot(5));
        assert_eq!(best.told().map(|step| step.spot.pass), Some(5));
        assert!(!best.is_news(1e-9, 0));
    }

    #[test]
    fn small_settings_lead_down_to_the_lowest() {
        let mut low = Low::default();
        assert_eq!(low.least(), None);
        low.see(10.0, 3, || spot(0));
        low.see(12.0, 1, || spot(1));
        low.see(12.5, 2, || spot(2));
        low.see(13.0, 0, || spot(3));
        low.see(9.95, 4, || spot(4));
        assert_eq!(low.least(), Some(9.95));
        // 10 V is no more than 1 % above it.
        let passes: Vec<u32> = low.steps().iter().map(|step| step.spot.pass).collect();
        assert_eq!(passes, [3, 1, 0]);
        low.see(9.0, 2, || spot(5));
        let passes: Vec<u32> = low.steps().iter().map(|step| step.spot.pass).collect();
        assert_eq!(passes, [3, 1, 5]);
    }
}
