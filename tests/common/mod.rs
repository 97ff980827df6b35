//! What several test files share.
pub(crate) mod wood;
