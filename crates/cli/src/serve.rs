//! `serve`: the office page on this machine.

use crate::files::{self, why};
use crate::flags::{ServeArgs, limited};
use crate::say::{Say, plain};
use crate::{DONE, NOT_PLANNED};
use diag::codes::{input, output};
use diag::{Finding, Refusal};
use settings::parse;
use std::net::SocketAddr;

/// Runs the command until it is stopped: 0 when it was, 2 when it could not begin.
pub fn run(say: &mut Say, args: &ServeArgs) -> u8 {
    match served(say, args) {
        Ok(()) => DONE,
        Err(refusal) => {
            say.findings(&refusal.findings);
            NOT_PLANNED
        }
    }
}

fn served(say: &mut Say, args: &ServeArgs) -> Result<(), Refusal> {
    let mut config = office::Config::new(&args.folder);
    if let Some(path) = &args.settings {
        config.settings_toml = files::text(path, input::SETTINGS_BAD)?;
        // Jobs keep the text; a mistake in it is told now, not with the first drawing.
        parse::from_toml(&config.settings_toml, &files::name(path))?;
    }
    config.limits = limited(config.limits, &args.limits);
    config.port = args.port;
    config.address = args.address.unwrap_or(config.address);
    config.upload_bytes = u64::from(args.upload_limit) << 20;
    let folder = args.folder.display().to_string();
    let refuse = |what: &str, e: &std::io::Error| {
        let message = format!("The office could not {what}: {}.", why(e));
        Refusal::because(Finding::new(output::SERVE_FAILED, message).about(folder.clone()))
    };
    let server = office::start(config).map_err(|e| refuse("be opened", &e))?;
    let address = server.address().map_err(|e| refuse("listen", &e))?;
    for line in &server.told {
        say.err(&plain(line));
    }
    say.err(&format!("Jobs are kept in {}.", plain(&folder)));
    if !address.ip().is_loopback() {
        say.err("Caution: other machines can reach this address. Whoever does can read and change every drawing");
        say.err("here; nothing is encrypted and nobody is asked for a password. Without --address, only this");
        say.err("machine can.");
    }
    let stop = server.stopper();
    if ctrlc::set_handler(move || stop.stop()).is_ok() {
        say.err("Ctrl-C ends it; jobs and edits are kept.");
    }
    let page = page(address);
    say.out(&page);
    if !args.no_open && open::that_detached(&page).is_err() {
        say.err("No browser could be opened; open the address above in one.");
    }
    server.run().map_err(|e| refuse("go on", &e))
}

/// What to open in a browser; an address that means every one of this machine's is no place to go to.
fn page(address: SocketAddr) -> String {
    let port = address.port();
    if address.ip().is_unspecified() {
        format!("http://localhost:{port}/")
    } else {
        format!("http://{address}/")
    }
}
