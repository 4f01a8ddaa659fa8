//! The crates, their packages and imports, and what is installed.

mod crates;
mod install;
mod modules;
mod public_api;
mod send_line;
mod third_party;
