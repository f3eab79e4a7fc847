//! Writes the guide's generated pages anew: `cargo run -p platewright-tests --example write-guide`.

#[path = "../guide/mod.rs"]
mod guide;

fn main() -> std::io::Result<()> {
    for (name, text) in guide::pages() {
        std::fs::write(guide::folder().join(name), text)?;
    }
    Ok(())
}
