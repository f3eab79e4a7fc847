//! The `platewright` program: hands the arguments to the library, exits with what it returns.

use std::process::ExitCode;

fn main() -> ExitCode {
    platewright::quiet_panics();
    let mut out = std::io::stdout().lock();
    let mut err = std::io::stderr().lock();
    let color = platewright::color_wanted();
    ExitCode::from(platewright::run(std::env::args_os(), &mut out, &mut err, color))
}
