//! What readers make of files: every format, real records, columns, what stands around a file.

mod around_the_file;
mod daily_records;
mod freeze_columns;
mod fuzz;
mod ghcn_hourly;
mod open_data;
mod open_files;
