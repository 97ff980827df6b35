//! Loaves: bars glued side by side, or to a block, and sliced to parts of courses, whole courses or whole
//! panels. They serve where neighbours along a course keep their poses from course to course.
//!
//! Which loaves panels can be sliced from ([`slices`]), and what each method takes compared with single tiles
//! ([`methods`]). Why a method does not fit is worded here ([`words`]). Never here: counting wood, steps.

pub mod methods;
pub mod slices;
pub mod words;
