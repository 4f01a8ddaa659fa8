//! The command `fairspell`: all of it is in the library beside, which also draws answers for the Python package.

use std::process::ExitCode;

fn main() -> ExitCode {
    fairspell_cli::main()
}
