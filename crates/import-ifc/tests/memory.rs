//! Reading takes memory by the size of the file: at most six times the STEP text and 64 MiB; opening and
//! every wall's axis take far less. And every product read is accounted for.

use diag::Ledger;
use peak_alloc::PeakAlloc;
use settings::Settings;
use std::path::Path;

#[global_allocator]
static ALLOCATOR: PeakAlloc = PeakAlloc;

mod common;

/// Bytes taken beyond what was there before.
fn taken(work: impl FnOnce()) -> usize {
    let before = ALLOCATOR.current_usage();
    ALLOCATOR.reset_peak_usage();
    work();
    ALLOCATOR.peak_usage().saturating_sub(before)
}

fn all_accounted_for(ledger: &Ledger) {
    assert_eq!(ledger.used() + ledger.ignored_total(), ledger.read());
}

fn check(name: &str, bytes: &[u8], text_len: usize) {
    let settings = Settings::default();
    let read = taken(|| {
        if let Ok(out) = import_ifc::read(bytes, &settings) {
            all_accounted_for(&out.value.ledger);
        }
    });
    let inspect = taken(|| {
        if let Ok(i) = import_ifc::inspect(bytes, &settings) {
            all_accounted_for(&i.ledger);
        }
    });
    let limit = 6 * text_len + (64 << 20);
    println!("{name}: {text_len} bytes of text, read {read}, inspect {inspect}");
    assert!(read.max(inspect) <= limit, "{name}: {read} and {inspect} of {limit}");
    if import_ifc::sniff(bytes) && !bytes.starts_with(b"PK") {
        let axes = taken(|| drop(import_ifc::raw::open(bytes).axes()));
        let limit = text_len + (8 << 20);
        println!("{name}: axes {axes}");
        assert!(axes <= limit, "{name}: axes {axes} of {limit}");
    }
}

/// One test, so that nothing else allocates meanwhile.
#[test]
fn by_the_size_of_the_file() {
    let mut m = common::Model::inches();
    for n in 0..2000 {
        m.wall(&format!("w{n}"), [0.0, 60.0 * f64::from(n), 0.0], [1.0, 0.0, 0.0], 144.0, 4.5);
    }
    let text = m.text();
    check("two thousand walls", text.as_bytes(), text.len());
    // The shortest entities there can be.
    let tiny: String = (0..400_000).map(|n| format!("#{n}=A();\n")).collect();
    let tiny = format!(
        "ISO-10303-21;HEADER;FILE_SCHEMA(('IFC4'));ENDSEC;DATA;\n{tiny}ENDSEC;\nEND-ISO-10303-21;\n"
    );
    check("tiny entities", tiny.as_bytes(), tiny.len());

    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/corpus/ifc");
    let Ok(files) = std::fs::read_dir(corpus) else {
        println!("skipped: no corpus beside the workspace");
        return;
    };
    for file in files {
        let path = file.unwrap().path();
        let bytes = std::fs::read(&path).unwrap();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        // Models pack five to thirty times; the limit goes by the text that is read.
        let text_len = if name.ends_with(".ifczip") { bytes.len() * 5 } else { bytes.len() };
        check(&name, &bytes, text_len);
    }
}
