//! What the command line does: its formats, exit codes, refusals, files that mean harm, and pages for everyone.

mod accessibility;
mod atomic_output;
mod bad_input;
mod command_line;
mod exit_codes;
mod formats;
mod freeze_bad_input;
mod freeze_command;
mod freeze_schema;
mod freeze_words;
mod garden;
mod hindcast_command;
mod hostile_names;
mod hostile_size;
mod hostile_text;
mod kept_forecasts;
mod schema;
mod season_command;
mod season_schema;
