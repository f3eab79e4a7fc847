//! Compares two plans: `cargo run -p compare --example compare-plans -- OLD.json NEW.json DIR` prints
//! the text and writes `compare.json` and `compare.svg`.

use std::path::Path;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [old, new, dir] = args.as_slice() else { return Err("OLD.json NEW.json DIR".into()) };
    let c = compare::compare(&std::fs::read(old)?, &std::fs::read(new)?)
        .map_err(|r| format!("{:?}", r.findings))?;
    print!("{}", compare::text(&c));
    std::fs::create_dir_all(dir)?;
    std::fs::write(Path::new(dir).join("compare.json"), compare::json(&c)?)?;
    std::fs::write(Path::new(dir).join("compare.svg"), compare::svg(&c))?;
    Ok(())
}
