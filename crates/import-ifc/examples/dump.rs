//! dev
use settings::*;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let bytes = std::fs::read(&a[1]).unwrap();
    let mut s = Settings::default();
    if a.get(2).is_some_and(|x| x == "all") {
        s.layers.push(LayerRule {
            pattern: "*".into(),
            usage: LayerUse::Wall,
            exterior: None,
            bearing: None,
            section: lumber::Section::from_name("2x6"),
            top: None,
        });
    }
    let csv = a.iter().any(|x| x == "csv");
    if !csv {
        match import_ifc::inspect(&bytes, &s) {
            Ok(i) => {
                println!("{} | {} | {:?}", i.version, i.written_by, i.units);
                for x in &i.storeys {
                    println!("{x:?}");
                }
                for t in &i.types {
                    println!(
                        "{} x {} [{}]\n     {:?}\n     {} -> {:?} by {} ext {:?} bear {:?}",
                        t.count,
                        t.name,
                        t.class,
                        t.layers
                            .iter()
                            .map(|l| format!(
                                "{}{} {}",
                                if l.framing { "*" } else { "" },
                                l.thickness
                                    .map(|t| format!("{:.1}", t.to_mm()))
                                    .unwrap_or_default(),
                                l.material
                            ))
                            .collect::<Vec<_>>(),
                        t.framing,
                        t.section,
                        t.section_by,
                        t.exterior,
                        t.bearing
                    );
                }
                for (r, i) in i.ledger.ignored() {
                    println!("  ignored {} {r} {:?}", i.count, i.sample);
                }
                println!("  used {} of {}", i.ledger.used(), i.ledger.read());
                for l in &i.proposal {
                    println!("   {l}");
                }
            }
            Err(e) => println!("{e}"),
        }
    }
    match import_ifc::read(&bytes, &s) {
        Ok(o) => {
            if csv {
                let m = &o.value;
                for w in &m.walls {
                    println!(
                        "{},{},{},{},{},{},{},{},{},{}",
                        w.source[0].entity,
                        m.origin_inches.0 + w.start.x.to_inches(),
                        m.origin_inches.1 + w.start.y.to_inches(),
                        m.origin_inches.0 + w.end.x.to_inches(),
                        m.origin_inches.1 + w.end.y.to_inches(),
                        w.base.to_inches(),
                        w.top.to_inches(),
                        w.drawn_thickness.to_inches(),
                        m.storeys[w.storey.0 as usize].elevation.to_inches(),
                        w.openings
                            .iter()
                            .map(|o| format!(
                                "{}:{}:{}:{}",
                                o.source[0].entity,
                                o.kind.name(),
                                o.from.to_inches(),
                                o.to.to_inches()
                            ))
                            .collect::<Vec<_>>()
                            .join(";")
                    );
                }
                return;
            }
            for f in &o.findings {
                println!("{f}");
            }
        }
        Err(e) => println!("{e}"),
    }
}
