//! Writes every generated fixture anew: `cargo run -p platewright-tests --example write-fixtures`.

use platewright_tests::fixtures;

fn main() -> std::io::Result<()> {
    for (path, bytes) in fixtures::all() {
        let path = fixtures::folder().join(path);
        if let Some(parent) = path.parent() {
            std::fs::create_dir_all(parent)?;
        }
        std::fs::write(&path, bytes)?;
    }
    Ok(())
}
