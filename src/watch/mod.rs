//! The watch over one piece of work: its clock and memory, and whether its result is still wanted.
//!
//! - `bounded`: the watch;
//! - `here`: the watch of a thread, for loops that are not handed one.

mod bounded;
mod here;

pub use bounded::{Alarm, Bounds, Excess, Gauge, Stopped, Watch};
pub use here::{Handed, ask, handed, present, within};
