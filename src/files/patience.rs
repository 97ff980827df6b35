//! Waiting for a file that another program holds open.
//!
//! On Windows a file cannot be replaced or written to while a viewer has it open exclusively. Most let go of
//! it within moments; one that does not is told of.

use std::io;
use std::time::Duration;

/// How often what failed is tried again, and what lies between two tries.
const TRIES: u32 = 20;
const PAUSE: Duration = Duration::from_millis(50);

/// How much longer to wait.
#[derive(Debug)]
pub(super) struct Patience {
    tries: u32,
    windows: bool,
}

impl Patience {
    pub(super) fn new() -> Self {
        let windows = cfg!(windows);
        Self {
            tries: TRIES,
            windows,
        }
    }

    /// Waits a moment, where this error may be gone then; whether it is worth another try.
    pub(super) fn waits_for(&mut self, error: &io::Error) -> bool {
        if self.tries == 0 || !is_held(error, self.windows) {
            return false;
        }
        self.tries -= 1;
        std::thread::sleep(PAUSE);
        true
    }
}

/// Whether the system says that another program holds the file: denied access, a sharing or a lock violation, or a part that
/// is mapped (the system error codes 5, 32, 33 and 1224 of Windows). Denied access can also mean that it is protected.
pub(super) fn is_held(error: &io::Error, windows: bool) -> bool {
    windows && matches!(error.raw_os_error(), Some(5 | 32 | 33 | 1224))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tries(windows: bool, code: i32) -> usize {
        let mut patience = Patience { tries: 3, windows };
        let error = io::Error::from_raw_os_error(code);
        (0..10).take_while(|_| patience.waits_for(&error)).count()
    }

    #[test]
    fn what_is_held_is_waited_for_a_while_and_nothing_else_is() {
        for code in [5, 32, 33, 1224] {
            assert_eq!((tries(true, code), tries(false, code)), (3, 0));
        }
        assert_eq!(tries(true, 2), 0);
    }
}
