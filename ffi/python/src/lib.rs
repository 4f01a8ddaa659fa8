//! The native half of the Python package `fairspell`: what Python hands over goes to the core without the interpreter's lock,
//! and an [`Answer`] comes back. The public names, their documentation and their types are in `python/fairspell`. Its page, whose
//! examples the checks run:
//!
#![doc = include_str!("../README.md")]
#![forbid(unsafe_code)]

mod answer;
mod decide;
mod failure;
mod freeze;
mod hindcast;
mod input;
mod place;
mod season;
mod spread;

use pyo3::prelude::*;

pub use answer::Answer;

/// The module.
#[pymodule(gil_used = false)]
mod _fairspell {
    #[pymodule_export]
    use crate::answer::Answer;
    #[pymodule_export]
    use crate::decide::decide_many;
    #[pymodule_export]
    use crate::freeze::freeze_many;
    #[pymodule_export]
    use crate::hindcast::hindcast_many;
    #[pymodule_export]
    use crate::season::season;
}
