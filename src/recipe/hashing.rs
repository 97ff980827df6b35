//! The hashing of the script engine, the same in every process.

use std::sync::Once;

/// Rhai names functions without a name by a hash; with a fixed seed these names never vary. To be
/// called before anything else of Rhai, modules included.
pub(super) fn fix() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        // It fails where the seed is set already, which is as good: that seed is fixed too.
        let _ = rhai::config::hashing::set_hashing_seed(Some([
            0x504c_594c_4f4f_4d01,
            0x504c_594c_4f4f_4d02,
            0x504c_594c_4f4f_4d03,
            0x504c_594c_4f4f_4d04,
        ]));
    });
}
