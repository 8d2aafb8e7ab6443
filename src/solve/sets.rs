//! Union of sets.

/// Union of sets with the smallest member as lead.
#[derive(Default)]
pub(super) struct Sets {
    pub(super) leads: Vec<u32>,
}

impl Sets {
    pub(super) fn new(count: usize) -> Self {
        Self {
            leads: (0..count as u32).collect(),
        }
    }

    pub(super) fn lead(&mut self, mut at: u32) -> u32 {
        while self.leads[at as usize] != at {
            let next = self.leads[self.leads[at as usize] as usize];
            self.leads[at as usize] = next;
            at = next;
        }
        at
    }

    /// Whether they were apart.
    pub(super) fn join(&mut self, a: u32, b: u32) -> bool {
        let (a, b) = (self.lead(a), self.lead(b));
        let (low, high) = (a.min(b), a.max(b));
        self.leads[high as usize] = low;
        low != high
    }
}
