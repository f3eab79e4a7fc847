//! Whatever the bytes, there is a model or a refusal, and nothing else.

mod common;

use common::Model;
use proptest::prelude::*;
use settings::Settings;

fn feed(bytes: &[u8]) {
    let settings = Settings::default();
    import_ifc::sniff(bytes);
    if let Ok(out) = import_ifc::read(bytes, &settings) {
        let l = &out.value.ledger;
        assert_eq!(l.used() + l.ignored_total(), l.read());
    }
    let _ = import_ifc::inspect(bytes, &settings);
}

fn small() -> String {
    let mut m = Model::inches();
    let w = m.wall("w1", [0.0; 3], [1.0, 0.0, 0.0], 144.0, 4.5);
    let set = m.layers("W \\X2\\00D8\\X0\\", &[("Gyp", 0.5), ("Stud", 3.5), ("Gyp", 0.5)]);
    let usage = m.usage(set, "NEGATIVE", 2.25);
    m.made_of(w, usage);
    let o = m.opening("o1", w, [20.0, -5.0, 0.0], [56.0, 5.0, 80.0]);
    m.fill("IFCDOOR", "d1", o);
    m.text()
}

#[test]
fn every_truncation() {
    let text = small();
    for n in 0..=text.len() {
        feed(&text.as_bytes()[..n]);
    }
}

#[test]
fn every_byte_gone_or_changed() {
    let text = small().into_bytes();
    for n in 0..text.len() {
        let mut less = text.clone();
        less.remove(n);
        feed(&less);
        for b in [b'\'', b';', b'(', b'#'] {
            let mut other = text.clone();
            other[n] = b;
            feed(&other);
        }
    }
}

#[test]
fn every_reference_to_every_entity() {
    // Any parameter may point at an entity of the wrong class, itself included.
    let text = small();
    let ids: Vec<&str> =
        text.lines().filter_map(|l| l.strip_prefix('#')?.split('=').next()).collect();
    for line in text.lines().filter(|l| l.starts_with('#')) {
        for id in &ids {
            let bent: Vec<String> = line
                .match_indices('#')
                .skip(1)
                .map(|(at, _)| {
                    let end = line[at + 1..]
                        .find(|c: char| !c.is_ascii_digit())
                        .map_or(line.len(), |n| at + 1 + n);
                    format!("{}#{id}{}", &line[..at], &line[end..])
                })
                .collect();
            for b in bent {
                feed(text.replacen(line, &b, 1).as_bytes());
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        feed(&bytes);
        let mut headed = b"ISO-10303-21;HEADER;FILE_SCHEMA(('IFC4'));ENDSEC;DATA;".to_vec();
        headed.extend(&bytes);
        feed(&headed);
        let mut zip = b"PK\x03\x04".to_vec();
        zip.extend(&bytes);
        feed(&zip);
    }

    #[test]
    fn token_soup(tokens in proptest::collection::vec(prop_oneof![
        Just("#"), Just("#1"), Just("#2="), Just("\n#3="), Just("("), Just(")"), Just(","), Just(";"), Just("'"), Just("''"),
        Just("$"), Just("*"), Just(".T."), Just("/*"), Just("*/"), Just("1.5"), Just("-1E400"), Just("IFCWALL("),
        Just("IFCLOCALPLACEMENT("), Just("IFCOPENINGELEMENT("), Just("IFCRELVOIDSELEMENT("), Just("IFCBOOLEANRESULT("),
        Just("IFCMAPPEDITEM("), Just("IFCPOLYLINE("), Just("\\X2\\"), Just("\\S\\"), Just("ENDSEC;"), Just("DATA;"),
        Just("END-ISO-10303-21;"), Just("99999999999999999999"), Just("\r\n"), Just("=")], 0..120))
    {
        let unit = "#12=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.);#13=IFCUNITASSIGNMENT((#12));";
        let text = format!("ISO-10303-21;HEADER;FILE_SCHEMA(('IFC4'));ENDSEC;DATA;{unit}\n{}", tokens.concat());
        feed(text.as_bytes());
    }
}
