//! Recipes on their way to others: carried by pictures, packed, looked over; what strangers send is
//! stopped, and what happens at a bad moment loses nothing.

#[cfg(unix)]
mod bounds;
mod carried;
mod check;
#[path = "../common/mod.rs"]
mod common;
#[cfg(target_os = "linux")]
mod faults;
mod fuzzing;
mod given_up;
mod hostile;
#[cfg(unix)]
mod kills;
mod links;
#[cfg(unix)]
mod lost;
mod packs;
