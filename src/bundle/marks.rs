//! The lines by which a pack is known.

/// How the line begins under which a pack's lower part stands.
pub(super) const MARK: &str = "// ==== plyloom pack ";
/// The newest form, which is the one that is written.
pub(super) const FORM: u64 = 1;
/// The last line of a pack.
pub(super) const END: &str = "// ==== end of plyloom pack ====";
