//! Three verdicts from two ranges.

use crate::quantity::Interval;
use crate::quantity::Scalar;

/// How a value that is known between two ends stands to a limit that is known between two ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Weighed {
    /// Even at its most it is within the least that the limit can be.
    Within,
    /// Even at its least it is above the most that the limit can be.
    Above,
    /// It depends on where in their ranges the two are.
    Depends,
}

/// Weighs a value against a limit. What is above by no more than rounding is within.
pub(super) fn weigh<T: Scalar>(value: Interval<T>, limit: Interval<T>) -> Weighed {
    if value.high.get() <= slack(limit.low.get()) {
        Weighed::Within
    } else if value.low.get() > slack(limit.high.get()) {
        Weighed::Above
    } else {
        Weighed::Depends
    }
}

fn slack(limit: f64) -> f64 {
    limit + 1e-9 * limit.abs() + 1e-12
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Amps;

    fn amps(low: f64, high: f64) -> Interval<Amps> {
        Interval::between(Amps(low), Amps(high))
    }

    #[test]
    fn only_what_holds_at_both_ends_is_a_verdict() {
        assert_eq!(weigh(amps(9.0, 10.0), amps(10.0, 12.0)), Weighed::Within);
        assert_eq!(weigh(amps(9.0, 10.1), amps(10.0, 12.0)), Weighed::Depends);
        assert_eq!(weigh(amps(11.0, 11.0), amps(10.0, 12.0)), Weighed::Depends);
        assert_eq!(weigh(amps(12.1, 13.0), amps(10.0, 12.0)), Weighed::Above);
    }

    #[test]
    fn rounding_is_no_fault() {
        let sum = 0.1 + 0.2;
        assert_eq!(weigh(amps(sum, sum), amps(0.3, 0.3)), Weighed::Within);
    }
}
