//! The watch over one piece of work: its clock and memory, and whether anybody still waits.
//!
//! - `bounded`: the watch;
//! - `here`: the one of a thread, which loops ask that nobody hands one to.

mod bounded;
mod here;

pub use bounded::{Alarm, Bounds, Excess, Gauge, Stopped, Watch};
pub use here::{Handed, ask, handed, within};
