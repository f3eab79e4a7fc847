//! Whether an entity holds what its class holds: kinds of values, in their places.
//!
//! Readers take a value that is no number, or of another kind, for one that was left out. That must not
//! pass in silence, so every entity that is followed is looked at here.

use crate::step::{Param, Record};

/// What may stand in one place.
#[derive(Clone, Copy)]
enum Want {
    Reference,
    Number,
    Name,
    Text,
    References,
    Numbers,
    Anything,
}

/// A place, and whether it may be left out.
type Place = (Want, bool);

/// No length in any unit is greater.
const GREATEST: f64 = 1e15;

const fn must(want: Want) -> Place {
    (want, false)
}
const fn may(want: Want) -> Place {
    (want, true)
}

const ROOT: [Place; 4] = [must(Want::Text), may(Want::Reference), may(Want::Text), may(Want::Text)];
const PRODUCT: [Place; 3] = [may(Want::Text), may(Want::Reference), may(Want::Reference)];

/// Values of the classes that walls are read from (IFC2x3 and IFC4, where they agree), as far as they are
/// read. A product's, a relation's and a project's begin with those of a root.
fn places(class: &[u8]) -> Option<(bool, &'static [Place])> {
    use Want::{Anything, Name, Number, Numbers, Reference, References, Text};
    const SIZED: [Place; 6] =
        [PRODUCT[0], PRODUCT[1], PRODUCT[2], may(Text), may(Number), may(Number)];
    const STOREY: [Place; 6] =
        [PRODUCT[0], PRODUCT[1], PRODUCT[2], may(Text), may(Name), may(Number)];
    Some(match class {
        b"IFCCARTESIANPOINT" | b"IFCDIRECTION" => (false, &const { [must(Numbers)] }),
        b"IFCAXIS2PLACEMENT3D" => {
            (false, &const { [must(Reference), may(Reference), may(Reference)] })
        }
        b"IFCAXIS2PLACEMENT2D" => (false, &const { [must(Reference), may(Reference)] }),
        b"IFCLOCALPLACEMENT" => (false, &const { [may(Reference), must(Reference)] }),
        b"IFCPOLYLINE" | b"IFCUNITASSIGNMENT" | b"IFCMATERIALLAYERSET" => {
            (false, &const { [must(References)] })
        }
        b"IFCEXTRUDEDAREASOLID" => {
            (false, &const { [must(Reference), may(Reference), must(Reference), must(Number)] })
        }
        b"IFCRECTANGLEPROFILEDEF" => {
            (false, &const { [must(Name), may(Text), may(Reference), must(Number), must(Number)] })
        }
        b"IFCARBITRARYCLOSEDPROFILEDEF" => {
            (false, &const { [must(Name), may(Text), must(Reference)] })
        }
        b"IFCBOOLEANCLIPPINGRESULT" | b"IFCBOOLEANRESULT" => {
            (false, &const { [must(Name), must(Reference), must(Reference)] })
        }
        b"IFCMAPPEDITEM" | b"IFCREPRESENTATIONMAP" => {
            (false, &const { [must(Reference), must(Reference)] })
        }
        b"IFCSHAPEREPRESENTATION" => {
            (false, &const { [may(Anything), may(Text), may(Text), must(References)] })
        }
        b"IFCPRODUCTDEFINITIONSHAPE" => {
            (false, &const { [may(Text), may(Text), must(References)] })
        }
        b"IFCMATERIALLAYER" => (false, &const { [may(Reference), must(Number)] }),
        b"IFCMATERIALLAYERSETUSAGE" => {
            (false, &const { [must(Reference), must(Name), must(Name), must(Number)] })
        }
        b"IFCSIUNIT" => (false, &const { [may(Anything), must(Name), may(Name), must(Name)] }),
        b"IFCCONVERSIONBASEDUNIT" => {
            (false, &const { [may(Anything), must(Name), must(Text), must(Reference)] })
        }
        b"IFCPROJECT" => {
            (true, &const { [may(Text), may(Text), may(Text), may(Anything), may(Reference)] })
        }
        b"IFCWALL" | b"IFCWALLSTANDARDCASE" | b"IFCOPENINGELEMENT" => (true, &PRODUCT),
        b"IFCDOOR" | b"IFCWINDOW" => (true, &SIZED),
        b"IFCBUILDINGSTOREY" => (true, &STOREY),
        b"IFCRELCONTAINEDINSPATIALSTRUCTURE"
        | b"IFCRELASSOCIATESMATERIAL"
        | b"IFCRELDEFINESBYTYPE" => (true, &const { [must(References), must(Reference)] }),
        b"IFCRELAGGREGATES" => (true, &const { [must(Reference), must(References)] }),
        b"IFCRELVOIDSELEMENT" | b"IFCRELFILLSELEMENT" => {
            (true, &const { [must(Reference), must(Reference)] })
        }
        _ => return None,
    })
}

/// What is wrong with an entity's values, if anything: the first value that is not what it must be. Of classes
/// that are not listed here, the first that is nothing a file can hold. `text` is told of the first text that
/// is not written as it must be.
pub fn trouble(r: &Record<'_>, text: &mut Option<String>) -> Option<String> {
    let mut look = |v: Param<'_>, number: usize| {
        if text.is_none()
            && let Some(flaw) = v.text_flaw()
        {
            *text = Some(text_said(r, number, v, flaw));
        }
    };
    let mut values = r.values();
    let mut number = 0;
    if let Some((root, own)) = places(&r.upper()) {
        let root: &[Place] = if root { &ROOT } else { &[] };
        for (want, left_out) in root.iter().chain(own) {
            number += 1;
            let value = values.next();
            let fits = match value {
                None => *left_out,
                Some(v) if v.is_empty() => *left_out && !v.bytes().is_empty(),
                Some(v) => {
                    look(v, number);
                    is(v, *want)
                }
            };
            if !fits {
                return Some(said(r, number, value, words(*want)));
            }
        }
    }
    for value in values.by_ref() {
        number += 1;
        look(value, number);
        if !is(value, Want::Anything) {
            return Some(said(r, number, Some(value), "nothing an IFC file can hold"));
        }
    }
    let told = || format!("#{} {}: its brackets are out of balance", r.id, r.class_name());
    (!values.end_well()).then(told)
}

fn words(want: Want) -> &'static str {
    match want {
        Want::Reference => "no reference",
        Want::Number => "no number",
        Want::Name => "no name between dots",
        Want::Text => "no text",
        Want::References => "no list of references",
        Want::Numbers => "no list of numbers",
        Want::Anything => "nothing an IFC file can hold",
    }
}

fn said(r: &Record<'_>, number: usize, value: Option<Param<'_>>, what: &str) -> String {
    let place = format!("#{} {}, value {number}", r.id, r.class_name());
    match value {
        None => format!("{place} is missing"),
        Some(v) if v.bytes().is_empty() => format!("{place} is empty"),
        Some(v) => {
            let text = String::from_utf8_lossy(v.bytes().get(..40).unwrap_or(v.bytes()));
            let text: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
            format!("{place} is `{text}`, {what}")
        }
    }
}

/// The text as it is read, cut where it is long, and what is wrong with it.
#[cold]
fn text_said(r: &Record<'_>, number: usize, v: Param<'_>, flaw: &str) -> String {
    let read = v.text().unwrap_or_default();
    let short = read.chars().take(40).map(|c| if c.is_control() { ' ' } else { c });
    let short: String = short.collect();
    let dots = if short.len() < read.len() { "..." } else { "" };
    format!("#{} {}, value {number}, read as `{short}{dots}`: {flaw}", r.id, r.class_name())
}

fn is(v: Param<'_>, want: Want) -> bool {
    match want {
        Want::Reference => v.reference().is_some(),
        Want::Number => v.number().is_some_and(|n| n.abs() < GREATEST),
        Want::Name => v.name().is_some(),
        Want::Text => v.bytes().first() == Some(&b'\'') || v.typed().is_some(),
        Want::References => {
            // A list of plain references is told by its bytes alone: as many signs as places.
            let inner = v.bytes().strip_prefix(b"(").and_then(|t| t.strip_suffix(b")"));
            let plain = |b: &u8| b.is_ascii_digit() || b"#,".contains(b);
            let places = |t: &[u8]| 1 + t.iter().filter(|b| **b == b',').count();
            let signs = |t: &[u8]| t.iter().filter(|b| **b == b'#').count();
            inner.is_some_and(|t| t.iter().all(plain) && signs(t) == places(t))
                || (v.list().next().is_some() && v.list().all(|m| m.reference().is_some()))
        }
        Want::Numbers => {
            let mut list = v.list();
            let mut count = 0;
            std::iter::from_fn(|| list.next_number()).all(|n| {
                count += 1;
                n.is_some()
            }) && (1..=3).contains(&count)
        }
        Want::Anything => is_a_value(v),
    }
}

/// Whether a value begins as values of its kind do and, where it is short to tell, ends so.
fn is_a_value(v: Param<'_>) -> bool {
    match v.bytes() {
        [] => false,
        b"$" | b"*" => true,
        [b'#', ..] => v.reference().is_some(),
        [b'\'', .., b'\''] | [b'"', .., b'"'] | [b'(', .., b')'] => true,
        [b'.', .., b'.'] => {
            v.name().is_some_and(|n| n.iter().all(|b| b.is_ascii_alphanumeric() || *b == b'_'))
        }
        [b'0'..=b'9' | b'-' | b'+' | b'.', ..] => v.number().is_some(),
        [b'a'..=b'z' | b'A'..=b'Z', ..] => v.typed().is_some(),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> Option<String> {
        trouble(&Record::read(text.as_bytes(), 0).unwrap(), &mut None)
    }

    #[test]
    fn sound_entities_pass() {
        for text in [
            "#1=IFCCARTESIANPOINT((0.,1,-2.5E-3));",
            "#1=IFCCARTESIANPOINT( ( 0. , /* x */ 1. ) );",
            "#1=IFCMATERIALLAYER(#2,0.2,.U.,'Studs',$,$,3);",
            "#1=IFCMATERIALLAYER($,140.,$);",
            "#1=IFCPOLYLINE((#2,\n #3,/* c */#4));",
            "#1=IFCWALL('a',$,$,*,'x',#5,#6,'tag',.STANDARD.);",
            "#1=IFCPROPERTYSINGLEVALUE('a',$,IFCLABEL('x'),$);",
            "#1=IFCX(\"0F\",(.T.,1.),.ELEMENT.,+1.);",
            "#1=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);",
        ] {
            assert_eq!(of(text), None, "{text}");
        }
    }

    #[test]
    fn text_that_is_not_as_it_must_be_is_told() {
        for (text, want) in [
            (
                br"#7=IFCX(#1,'S\X2\00E\X0\');".as_slice(),
                r"#7 IFCX, value 2, read as `S\X2\00E\X0\`: an escape",
            ),
            (
                b"#7=IFCWALL('a',$,'S\xff',$,$,#1,#2,$,$);",
                "value 3, read as `S\u{ff}`: bytes that are no UTF-8",
            ),
            (br"#7=IFCPROPERTYSINGLEVALUE('a',$,IFCLABEL('C:\x'),$);", "value 3"),
        ] {
            let mut told = None;
            assert_eq!(trouble(&Record::read(text, 0).unwrap(), &mut told), None);
            assert!(told.as_ref().is_some_and(|t| t.contains(want)), "{told:?}");
        }
    }

    #[test]
    fn what_is_wrong_is_named_with_its_place() {
        for (text, want) in [
            ("#7=IFCMATERIALLAYER(#2,nan,$);", "#7 IFCMATERIALLAYER, value 2 is `nan`, no number"),
            ("#7=IFCMATERIALLAYER(#2,'0.2',$);", "value 2 is `'0.2'`, no number"),
            ("#7=IFCMATERIALLAYER(#2,#3,$);", "value 2 is `#3`, no number"),
            ("#7=IFCMATERIALLAYER(#2,$,$);", "value 2 is `$`, no number"),
            ("#7=IFCMATERIALLAYER(#2,,$);", "value 2 is empty"),
            ("#7=IFCMATERIALLAYER(#2);", "value 2 is missing"),
            ("#7=IFCCARTESIANPOINT((1.,2.D+1));", "no list of numbers"),
            ("#7=IFCCARTESIANPOINT(());", "no list of numbers"),
            ("#7=IFCPOLYLINE((#1,2));", "no list of references"),
            ("#7=IFCLOCALPLACEMENT(5,#3);", "value 1 is `5`, no reference"),
            ("#7=IFCPROPERTYSINGLEVALUE('a',$,12abc,$);", "value 3 is `12abc`, nothing"),
            ("#7=IFCCARTESIANPOINT((1.,5,2.,0.));", "no list of numbers"),
            ("#7=IFCMATERIALLAYER(#2,1.E308,$);", "no number"),
            ("#7=IFCPOLYLINE((#1,#2);", "brackets are out of balance"),
            ("#7=IFCPOLYLINE((#1,#2)));", "brackets are out of balance"),
            ("#7=IFCX('a,#2);", "value 1 is `'`, nothing"),
        ] {
            let got = of(text).unwrap_or_default();
            assert!(got.contains(want), "{text}: {got}");
        }
    }
}
