//! Writes the manual pages and the shell completions of the command line into a folder:
//! `cargo run -p platewright --example write-manual -- FOLDER`.
//!
//! `man1/` gets a page for the program and one for each command, `completions/` one file a shell.

use clap_complete::{Shell, generate_to};
use clap_mangen::Man;
use std::io;
use std::path::{Path, PathBuf};

fn main() -> io::Result<()> {
    let Some(folder) = std::env::args_os().nth(1).map(PathBuf::from) else {
        return Err(io::Error::other("usage: write-manual FOLDER"));
    };
    let (pages, completions) = (folder.join("man1"), folder.join("completions"));
    std::fs::create_dir_all(&pages)?;
    std::fs::create_dir_all(&completions)?;

    let mut program = platewright::command();
    program.build();
    page(&program, "platewright", &pages)?;
    for command in program.get_subcommands().filter(|c| c.get_name() != "help") {
        page(command, &format!("platewright-{}", command.get_name()), &pages)?;
    }
    for shell in [Shell::Bash, Shell::Zsh, Shell::Fish] {
        generate_to(shell, &mut platewright::command(), "platewright", &completions)?;
    }
    Ok(())
}

/// One manual page. No date: the same program gives the same page.
fn page(command: &clap::Command, name: &str, folder: &Path) -> io::Result<()> {
    let command = command.clone().name(name.to_owned()).display_name(name.to_owned());
    let man = Man::new(command)
        .date("")
        .manual("platewright")
        .source(concat!("platewright ", env!("CARGO_PKG_VERSION")));
    let mut text = Vec::new();
    man.render(&mut text)?;
    std::fs::write(folder.join(format!("{name}.1")), text)
}
