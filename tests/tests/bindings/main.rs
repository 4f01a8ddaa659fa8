//! The C library and the Python package.

mod c_abi;
mod c_answers;
mod c_bytes;
mod c_header;
mod c_hostile;
mod python;
