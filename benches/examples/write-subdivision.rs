//! Writes the drawings and the manifest of a subdivision: `write-subdivision FOLDER PLANS LOTS BAD`.

use platewright_tests::tract;
use std::path::Path;

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let number = |i: usize| args.get(i).and_then(|a| a.parse::<usize>().ok());
    let (Some(folder), Some(plans), Some(lots), Some(bad)) =
        (args.first(), number(1), number(2), number(3))
    else {
        eprintln!("usage: write-subdivision FOLDER PLANS LOTS BAD");
        std::process::exit(2);
    };
    let folder = Path::new(folder);
    let write = |name: &str, bytes: &[u8]| {
        let written =
            std::fs::create_dir_all(folder).and_then(|()| std::fs::write(folder.join(name), bytes));
        written.unwrap_or_else(|e| panic!("{name}: {e}"));
    };
    for (name, bytes) in tract::drawings(plans).into_iter().chain(tract::bad_drawings(bad)) {
        write(&name, &bytes);
    }
    write("lots.csv", tract::manifest(&tract::lots(plans, lots, bad)).as_bytes());
}
