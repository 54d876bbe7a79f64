//! `manual-page`: the page for `man`, from the same definitions as the help, every command in it.

use std::io;

use clap_mangen::Man;

use crate::args::command;
use crate::console::Console;
use crate::exit::Exit;

pub(crate) fn run(console: &mut Console) -> Exit {
    match page().and_then(|page| console.print(&page)) {
        Ok(()) => Exit::Done,
        Err(_) => Exit::NotWritten,
    }
}

fn page() -> io::Result<String> {
    let mut whole = command();
    whole.build();
    let mut page = Vec::new();
    let man = Man::new(whole.clone());
    man.render_title(&mut page)?;
    man.render_name_section(&mut page)?;
    man.render_synopsis_section(&mut page)?;
    man.render_description_section(&mut page)?;
    for subcommand in whole.get_subcommands() {
        // A heading for the command, then its own synopsis, text and options below it.
        let name = subcommand.get_name().to_uppercase();
        page.extend(format!(".SH \"{name}\"\n").bytes());
        let man = Man::new(subcommand.clone());
        let mut section = Vec::new();
        man.render_synopsis_section(&mut section)?;
        man.render_description_section(&mut section)?;
        man.render_options_section(&mut section)?;
        page.extend(
            String::from_utf8_lossy(&section)
                .replace(".SH ", ".SS ")
                .bytes(),
        );
    }
    man.render_extra_section(&mut page)?;
    Ok(String::from_utf8_lossy(&page).into_owned())
}
