//! Plain words for people, wrapped to a width, with colour only where it is wanted.

pub mod assumed;
pub mod audit;
pub mod budget;
pub mod checks;
pub mod grid;
pub mod hunt;
pub mod page;
pub mod park;
pub mod show;
pub mod size;
pub mod standing;
pub mod tables;
pub mod unreadable;

pub use grid::Grid;
pub use page::Page;
