//! Plain words for people, wrapped to a width, with colour only where it is wanted.

pub mod audit;
pub mod checks;
pub mod page;
pub mod tables;
pub mod unreadable;

pub use page::Page;
