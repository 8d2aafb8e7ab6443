//! Plain words for people, wrapped to a width, with colour only where it is wanted.

pub mod assumed;
pub mod audit;
pub mod budget;
pub mod checks;
pub mod compare;
pub mod grid;
pub mod hunt;
pub mod page;
pub mod park;
pub mod removal;
pub mod show;
pub mod sides;
pub mod size;
pub mod standing;
pub mod tables;
pub mod unreadable;
pub mod walkround;

pub use grid::Grid;
pub use page::Page;
