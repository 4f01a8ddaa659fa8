//! Writes the man pages of the program, and its completions for bash, zsh and fish:
//!
//! ```sh
//! cargo run --release --locked -p fairspell-cli --example pages -- FOLDER
//! ```
//!
//! Below FOLDER they lie as below `share` of a prefix: `man/man1`, `bash-completion/completions`, `zsh/site-functions`,
//! `fish/vendor_completions.d`. All of them come from the arguments that the program itself reads.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Arg, Command};
use clap_complete::{Generator, Shell, generate};
use clap_mangen::Man;

fn main() -> ExitCode {
    let mut arguments = std::env::args_os().skip(1);
    let (Some(folder), None) = (arguments.next(), arguments.next()) else {
        return failed("expected one folder to write into");
    };
    let folder = PathBuf::from(folder);
    match write_all(&folder) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => failed(&format!("{}: {error}", folder.display())),
    }
}

fn failed(why: &str) -> ExitCode {
    let _ = writeln!(io::stderr(), "pages: {why}"); // nobody is left to tell
    ExitCode::from(2)
}

fn write_all(folder: &Path) -> io::Result<()> {
    let program = fairspell_cli::command_line()
        .disable_help_subcommand(true)
        .subcommand_value_name("COMMAND")
        .subcommand_help_heading("Commands");
    write_pages(&program, &folder.join("man/man1"))?;
    for (shell, place) in [
        (Shell::Bash, "bash-completion/completions/fairspell"),
        (Shell::Zsh, "zsh/site-functions/_fairspell"),
        (Shell::Fish, "fish/vendor_completions.d/fairspell.fish"),
    ] {
        write_completions(shell, program.clone(), &folder.join(place))?;
    }
    Ok(())
}

fn write_completions(shell: impl Generator, mut program: Command, file: &Path) -> io::Result<()> {
    let mut script = Vec::new();
    generate(shell, &mut program, "fairspell", &mut script);
    fs::create_dir_all(file.parent().unwrap_or(file))?;
    fs::write(file, script)
}

/// A page for the program, and one for each command.
fn write_pages(program: &Command, folder: &Path) -> io::Result<()> {
    fs::create_dir_all(folder)?;
    let mut program = program
        .clone()
        .mut_subcommands(|command| command.mut_args(with_aliases));
    program.build();
    let names = program.get_subcommands().map(full_name);
    let names: Vec<String> = [full_name(&program)].into_iter().chain(names).collect();
    for command in [&program].into_iter().chain(program.get_subcommands()) {
        let page = page(command, &names)?;
        fs::write(folder.join(format!("{}.1", full_name(command))), page)?;
    }
    Ok(())
}

/// The other names of an option at the end of its help, as the program shows them.
fn with_aliases(option: Arg) -> Arg {
    let aliases = option.get_visible_aliases().unwrap_or_default();
    let Some(alias) = aliases.first().map(ToString::to_string) else {
        return option;
    };
    let help = option
        .get_help()
        .map(ToString::to_string)
        .unwrap_or_default();
    option.help(format!("{help} [alias: --{alias}]"))
}

/// The name of a page: `fairspell`, `fairspell-decide`.
fn full_name(command: &Command) -> String {
    let name = command.get_display_name();
    name.unwrap_or_else(|| command.get_name()).to_owned()
}

/// A page as roff. Without a date, so that the same arguments give the same bytes.
fn page(command: &Command, names: &[String]) -> io::Result<Vec<u8>> {
    let own = full_name(command);
    let man = Man::new(command.clone());
    let mut page = Vec::new();
    let title = own.to_uppercase().replace('-', "\\-");
    let version = env!("CARGO_PKG_VERSION");
    writeln!(
        page,
        ".TH {title} 1 \"\" \"fairspell {version}\" \"Fairspell\""
    )?;
    man.render_name_section(&mut page)?;
    write_synopsis(command, &mut page)?;
    man.render_description_section(&mut page)?;
    man.render_options_section(&mut page)?;
    if command.has_subcommands() {
        man.render_subcommands_section(&mut page)?;
    }
    let after = command.get_after_long_help().or(command.get_after_help());
    let after = after.map(ToString::to_string).unwrap_or_default();
    write_after(&after, &mut page)?;
    let others = names.iter().filter(|name| **name != own);
    let others: Vec<String> = others
        .map(|name| format!("\\fB{}\\fR(1)", name.replace('-', "\\-")))
        .collect();
    writeln!(page, ".SH \"SEE ALSO\"\n{}", others.join(",\n"))?;
    Ok(page)
}

/// Every option with what it takes, and the operands.
fn write_synopsis(command: &Command, page: &mut Vec<u8>) -> io::Result<()> {
    writeln!(
        page,
        ".SH SYNOPSIS\n\\fB{}\\fR",
        full_name(command).replace('-', " ")
    )?;
    let own = command.get_arguments().filter(|of| !of.is_hide_set());
    let (operands, options): (Vec<&Arg>, Vec<&Arg>) = own.partition(|of| of.is_positional());
    for option in options {
        let Some(name) = option.get_long() else {
            continue;
        };
        let value = option.get_value_names().unwrap_or_default().first();
        let takes = option.get_action().takes_values();
        let value = value
            .filter(|_| takes)
            .map(|value| format!("\\fI{value}\\fR"));
        let value = match value {
            None => String::new(),
            Some(value) if option.is_require_equals_set() => format!("[={value}]"),
            Some(value) => format!(" {value}"),
        };
        let text = format!("[\\fB\\-\\-{}\\fR{value}]", name.replace('-', "\\-"));
        writeln!(page, "{text}")?;
    }
    for operand in operands {
        let name = operand.get_id().as_str().to_uppercase();
        let is_many = operand
            .get_num_args()
            .is_some_and(|count| count.max_values() > 1);
        writeln!(page, "\\fI{name}\\fR{}", if is_many { " ..." } else { "" })?;
    }
    if command.has_subcommands() {
        writeln!(page, "\\fICOMMAND\\fR ...")?;
    }
    Ok(())
}

const EXITS: &str = "\
.SH \"EXIT STATUS\"
.TP
0
Go, or the command did its work.
.TP
1
No\\-go.
.TP
2
Error in usage or input.
.TP
3
Cannot tell: missing or stale data.
";

/// What stands after the help, paragraph by paragraph: lines that are set in are shown as they stand, those before them are
/// their heading. The exit status is written out.
fn write_after(after: &str, page: &mut Vec<u8>) -> io::Result<()> {
    let mut section = "";
    let told = |paragraph: &&str| !paragraph.is_empty() && !paragraph.starts_with("Exit:");
    for paragraph in after.split("\n\n").filter(told) {
        let of = if paragraph.starts_with("Examples:") {
            "EXAMPLES"
        } else if paragraph.starts_with("Where defaults come from:") {
            "DEFAULTS"
        } else if paragraph.contains("\n  ") {
            "FILES"
        } else {
            "CAUTIONS"
        };
        let is_first = of != section;
        if is_first {
            section = of;
            writeln!(page, ".SH {of}")?;
        }
        write_paragraph(paragraph, is_first, page)?;
    }
    page.write_all(EXITS.as_bytes())
}

/// Blocks of lines: those that are set in as they stand, others filled. Space above each but what stands below a heading.
fn write_paragraph(paragraph: &str, is_first: bool, page: &mut Vec<u8>) -> io::Result<()> {
    let lines: Vec<&str> = paragraph
        .lines()
        .filter(|line| *line != "Examples:")
        .collect();
    let blocks = lines.chunk_by(|above, below| is_set_in(above) == is_set_in(below));
    for (number, block) in blocks.enumerate() {
        if number > 0 || !is_first {
            writeln!(page, ".PP")?;
        }
        let is_literal = block.iter().any(|line| is_set_in(line));
        let text: Vec<String> = block.iter().map(|line| as_text(line)).collect();
        let text = text.join("\n");
        if is_literal {
            writeln!(page, ".nf\n{text}\n.fi")?;
        } else {
            writeln!(page, "{text}")?;
        }
    }
    Ok(())
}

fn is_set_in(line: &str) -> bool {
    line.starts_with("  ")
}

/// A line that roff takes for nothing but text.
fn as_text(line: &str) -> String {
    let text = line.replace('\\', "\\e").replace('-', "\\-");
    let text = text.replace('\'', "\\(aq").replace('"', "\\(dq");
    if text.starts_with('.') {
        format!("\\&{text}")
    } else {
        text
    }
}
