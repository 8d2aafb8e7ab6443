//! What every check's file uses.

pub(super) use super::context::Context;
pub(super) use super::finding::Finding;
pub(super) use super::finding::Gap;
pub(super) use super::finding::Harm;
pub(super) use super::finding::Level;
pub(super) use super::rule::Check;
pub(super) use super::rule::Judge;
pub(super) use super::rule::Meta;
pub(super) use super::rule::Verdict;
#[cfg(test)]
pub(super) use super::tester::Cases;
pub(super) use super::words;
