//! `plates.ifc`: IFC4 (ISO 16739-1:2018) in STEP (ISO 10303-21). Every plate is an `IfcMember` of
//! predefined type `PLATE`, an extruded outline, in its storey.

use crate::scene::{Scene, real};
use geom::{Frame, Length, Point, Slope, Unit};
use plan_model::{Piece, PieceId, piece_name, run_name, storey_id_name, storey_name};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Instances in the order of their numbers.
struct Step {
    out: String,
    next: u32,
}

impl Step {
    /// Writes an instance; its number.
    fn put(&mut self, entity: &str) -> Id {
        self.next += 1;
        let _ = writeln!(self.out, "#{}={entity};", self.next);
        Id(self.next)
    }
}

#[derive(Clone, Copy)]
struct Id(u32);

impl std::fmt::Display for Id {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "#{}", self.0)
    }
}

fn list(ids: &[Id]) -> String {
    let ids: Vec<String> = ids.iter().map(Id::to_string).collect();
    format!("({})", ids.join(","))
}

/// The model.
pub(crate) fn write(scene: &Scene) -> String {
    let mut s = Step { out: String::new(), next: 0 };
    let doc = scene.doc;
    let guid = |kind: &str, name: &str| global_id(&doc.source.sha256, kind, name);
    let units = units(&mut s, scene.unit);
    let origin = s.put("IFCCARTESIANPOINT((0.,0.,0.))");
    let world = s.put(&format!("IFCAXIS2PLACEMENT3D({origin},$,$)"));
    let context = s.put(&format!("IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-5,{world},$)"));
    let body = s.put(&format!(
        "IFCGEOMETRICREPRESENTATIONSUBCONTEXT('Body','Model',*,*,*,*,{context},$,.MODEL_VIEW.,$)"
    ));
    let name = text(&format!("Wall plates of {}", doc.source.file));
    let project = s.put(&format!(
        "IFCPROJECT('{}',$,{name},$,$,$,$,({context}),{units})",
        guid("project", "")
    ));
    // The drawing's own zero, so that plates lie over the architect's model.
    let zero =
        s.put(&format!("IFCCARTESIANPOINT(({},{},0.))", real(scene.zero.0), real(scene.zero.1)));
    let zero = s.put(&format!("IFCAXIS2PLACEMENT3D({zero},$,$)"));
    let zero = s.put(&format!("IFCLOCALPLACEMENT($,{zero})"));
    let site = s.put(&format!(
        "IFCSITE('{}',$,'Site',$,$,{zero},$,$,.ELEMENT.,$,$,$,$,$)",
        guid("site", "")
    ));
    let at_site = s.put(&format!("IFCLOCALPLACEMENT({zero},{world})"));
    let building = s.put(&format!(
        "IFCBUILDING('{}',$,'Building',$,$,{at_site},$,$,.ELEMENT.,$,$,$)",
        guid("building", "")
    ));
    let mut storeys = Vec::new();
    let mut places = Vec::new();
    for (i, storey) in doc.floor.storeys.iter().enumerate() {
        let level = real(scene.value(storey.elevation));
        let point = s.put(&format!("IFCCARTESIANPOINT((0.,0.,{level}))"));
        let axis = s.put(&format!("IFCAXIS2PLACEMENT3D({point},$,$)"));
        let place = s.put(&format!("IFCLOCALPLACEMENT({at_site},{axis})"));
        let id = storey_id_name(wall_model::StoreyId(i as u32));
        storeys.push(s.put(&format!(
            "IFCBUILDINGSTOREY('{}',$,{},$,$,{place},$,$,.ELEMENT.,{level})",
            guid("storey", &id),
            text(&storey_name(i, storey))
        )));
        places.push(place);
    }
    for (whole, parts, kind) in [
        (project, vec![site], "project-site"),
        (site, vec![building], "site-building"),
        (building, storeys.clone(), "building-storeys"),
    ] {
        if !parts.is_empty() {
            s.put(&format!(
                "IFCRELAGGREGATES('{}',$,$,$,{whole},{})",
                guid("aggregates", kind),
                list(&parts)
            ));
        }
    }
    let up = s.put("IFCDIRECTION((0.,0.,1.))");
    let mut by_storey: BTreeMap<usize, Vec<Id>> = BTreeMap::new();
    let mut by_section: BTreeMap<String, Vec<Id>> = BTreeMap::new();
    for (id, p) in scene.pieces() {
        let storey = p.storey.0 as usize;
        let member = plate(&mut s, scene, id, Place { storey: places[storey], body, up });
        by_storey.entry(storey).or_default().push(member);
        let treated = doc.plan.is_treated(p);
        by_section.entry(settings::lumber_name(p.section, treated)).or_default().push(member);
    }
    for (storey, members) in &by_storey {
        s.put(&format!(
            "IFCRELCONTAINEDINSPATIALSTRUCTURE('{}',$,$,$,{},{})",
            guid("contained", &storey.to_string()),
            list(members),
            storeys[*storey]
        ));
    }
    for (section, members) in &by_section {
        let material = s.put(&format!("IFCMATERIAL({},$,'Wood')", text(section)));
        s.put(&format!(
            "IFCRELASSOCIATESMATERIAL('{}',$,$,$,{},{material})",
            guid("material", section),
            list(members)
        ));
    }
    // No clock: the same plan gives the same bytes. The date is that of no file.
    let header = "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(('ViewDefinition [ReferenceView_V1.2]'),'2;1');\n\
                  FILE_NAME('plates.ifc','1970-01-01T00:00:00',(''),(''),'platewright','platewright','');\n\
                  FILE_SCHEMA(('IFC4'));\nENDSEC;\nDATA;\n";
    format!("{header}{}ENDSEC;\nEND-ISO-10303-21;\n", s.out)
}

fn units(s: &mut Step, unit: Unit) -> Id {
    let metre = |prefix: &str| format!("IFCSIUNIT(*,.LENGTHUNIT.,{prefix},.METRE.)");
    let length = match unit {
        Unit::Millimetre => s.put(&metre(".MILLI.")),
        Unit::Centimetre => s.put(&metre(".CENTI.")),
        Unit::Metre => s.put(&metre("$")),
        Unit::Inch | Unit::Foot => {
            let base = s.put(&metre("$"));
            let exponents = s.put("IFCDIMENSIONALEXPONENTS(1,0,0,0,0,0,0)");
            // 1 in = 0.0254 m exactly (international yard and pound agreement, 1959).
            let (name, metres) =
                if unit == Unit::Inch { ("INCH", "0.0254") } else { ("FOOT", "0.3048") };
            let factor = s.put(&format!("IFCMEASUREWITHUNIT(IFCLENGTHMEASURE({metres}),{base})"));
            s.put(&format!("IFCCONVERSIONBASEDUNIT({exponents},.LENGTHUNIT.,'{name}',{factor})"))
        }
    };
    let area = s.put("IFCSIUNIT(*,.AREAUNIT.,$,.SQUARE_METRE.)");
    let volume = s.put("IFCSIUNIT(*,.VOLUMEUNIT.,$,.CUBIC_METRE.)");
    let angle = s.put("IFCSIUNIT(*,.PLANEANGLEUNIT.,$,.RADIAN.)");
    s.put(&format!("IFCUNITASSIGNMENT({})", list(&[length, area, volume, angle])))
}

struct Place {
    storey: Id,
    body: Id,
    up: Id,
}

/// How a plate lies: level in the storey's own directions, or on a slope with x along it.
struct Lie {
    first: Point,
    /// Of its start, on the run's line.
    start: Point,
    z: Length,
    /// Direction of the run and the slope along it.
    slope: Option<((f64, f64), Slope)>,
    /// Measured plumb.
    depth: Length,
}

impl Lie {
    fn of(scene: &Scene, p: &Piece) -> Lie {
        let frame = scene.doc.floor.run(p.run).frame();
        let thick = p.section.thickness();
        Lie {
            first: p.outline[0],
            start: frame.at(p.from, Length::ZERO),
            z: p.z,
            slope: p.rake.map(|r| (frame.dir(), r.slope)),
            depth: p.rake.map_or(thick, |r| r.slope.plumb(thick)),
        }
    }
    /// A corner of the outline on the plate's underside, from its first one.
    fn on_face(&self, q: Point) -> (Length, Length) {
        let d = q - self.first;
        match self.slope {
            Some((dir, slope)) => {
                let (along, left) = Frame::along(self.first, dir).locate(q);
                (slope.along(along), left)
            }
            None => (d.x, d.y),
        }
    }
    fn underside(&self, q: Point) -> Length {
        let rise = |(dir, slope): ((f64, f64), Slope)| {
            slope.rise_over(Frame::along(self.start, dir).locate(q).0)
        };
        self.z + self.slope.map_or(Length::ZERO, rise)
    }
    /// Normal of the face and direction along it.
    fn axes(&self) -> Option<[[f64; 3]; 2]> {
        let ((x, y), slope) = self.slope?;
        let (rise, level) = slope.sin_cos();
        Some([[-rise * x, -rise * y, level], [level * x, level * y, rise]])
    }
    /// Straight up, in those axes: along the face and square to it.
    fn plumb(&self) -> Option<(f64, f64)> {
        Some(self.slope?.1.sin_cos())
    }
}

fn plate(s: &mut Step, scene: &Scene, id: PieceId, place: Place) -> Id {
    let p = scene.doc.piece(id);
    let unit = |l| real(scene.value(l));
    let first = p.outline[0];
    let lie = Lie::of(scene, p);
    let mut corners = Vec::with_capacity(p.outline.len() + 1);
    for q in &p.outline {
        let (x, y) = lie.on_face(*q);
        corners.push(s.put(&format!("IFCCARTESIANPOINT(({},{}))", unit(x), unit(y))));
    }
    corners.push(corners[0]);
    let ring = s.put(&format!("IFCPOLYLINE({})", list(&corners)));
    let profile = s.put(&format!("IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,{ring})"));
    let depth = unit(lie.depth);
    let up = match lie.plumb() {
        Some((x, z)) => s.put(&format!("IFCDIRECTION(({},0.,{}))", real(x), real(z))),
        None => place.up,
    };
    let solid = s.put(&format!("IFCEXTRUDEDAREASOLID({profile},$,{up},{depth})"));
    let shape =
        s.put(&format!("IFCSHAPEREPRESENTATION({},'Body','SweptSolid',({solid}))", place.body));
    let shape = s.put(&format!("IFCPRODUCTDEFINITIONSHAPE($,$,({shape}))"));
    let z = unit(lie.underside(first));
    let at = format!("IFCCARTESIANPOINT(({},{},{z}))", unit(first.x), unit(first.y));
    let at = s.put(&at);
    let axis = match lie.axes() {
        Some([normal, along]) => {
            let [normal, along] = [normal, along].map(|d| {
                let [x, y, z] = d.map(real);
                s.put(&format!("IFCDIRECTION(({x},{y},{z}))"))
            });
            s.put(&format!("IFCAXIS2PLACEMENT3D({at},{normal},{along})"))
        }
        None => s.put(&format!("IFCAXIS2PLACEMENT3D({at},$,$)")),
    };
    let local = s.put(&format!("IFCLOCALPLACEMENT({},{axis})", place.storey));
    let name = piece_name(id);
    let sha = &scene.doc.source.sha256;
    let member = s.put(&format!(
        "IFCMEMBER('{}',$,{},$,{},{local},{shape},{},.PLATE.)",
        global_id(sha, "piece", &name),
        text(&p.mark),
        text(&format!("{} plate", p.layer.name())),
        text(&name)
    ));
    let mut values = Vec::new();
    for (key, value) in [
        ("Mark", format!("IFCLABEL({})", text(&p.mark))),
        ("Piece", format!("IFCIDENTIFIER({})", text(&name))),
        ("Layer", format!("IFCLABEL({})", text(p.layer.name()))),
        ("Run", format!("IFCIDENTIFIER({})", text(&run_name(p.run)))),
        ("Section", format!("IFCLABEL({})", text(p.section.name()))),
        ("Length", format!("IFCPOSITIVELENGTHMEASURE({})", unit(p.length))),
        (
            "Treated",
            format!("IFCBOOLEAN({})", if scene.doc.plan.is_treated(p) { ".T." } else { ".F." }),
        ),
    ] {
        values.push(s.put(&format!("IFCPROPERTYSINGLEVALUE('{key}',$,{value},$)")));
    }
    let set = s.put(&format!(
        "IFCPROPERTYSET('{}',$,'Platewright_Plate',$,{})",
        global_id(sha, "properties", &name),
        list(&values)
    ));
    s.put(&format!(
        "IFCRELDEFINESBYPROPERTIES('{}',$,$,$,({member}),{set})",
        global_id(sha, "has-properties", &name)
    ));
    member
}

/// 22 characters for the first 128 bits of a hash of what the thing is and which drawing it is from.
fn global_id(sha256: &str, kind: &str, name: &str) -> String {
    const DIGITS: &[u8; 64] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz_$";
    let hash = Sha256::digest(format!("platewright\n{sha256}\n{kind}\n{name}"));
    let mut bits = hash.iter().take(16).fold(0_u128, |bits, byte| bits << 8 | u128::from(*byte));
    let mut letters = [b'0'; 22];
    for letter in letters.iter_mut().rev() {
        *letter = DIGITS[(bits & 63) as usize];
        bits >>= 6;
    }
    letters.iter().map(|b| char::from(*b)).collect()
}

/// A string of ISO 10303-21: quotes and backslashes doubled, others than plain ones by number.
fn text(value: &str) -> String {
    let mut out = String::from("'");
    // IfcLabel holds 255 characters.
    for c in value.chars().take(255) {
        match c {
            '\'' => out.push_str("''"),
            '\\' => out.push_str("\\\\"),
            ' '..='~' => out.push(c),
            c if u32::from(c) <= 0xffff => {
                let _ = write!(out, "\\X2\\{:04X}\\X0\\", u32::from(c));
            }
            c => {
                let _ = write!(out, "\\X4\\{:08X}\\X0\\", u32::from(c));
            }
        }
    }
    out.push('\'');
    out
}

#[cfg(test)]
mod tests {
    use super::{global_id, text};

    #[test]
    fn strings_are_those_of_the_standard() {
        assert_eq!(text("it's a\\b"), "'it''s a\\\\b'");
        assert_eq!(text("\u{e9}\n"), "'\\X2\\00E9\\X0\\\\X2\\000A\\X0\\'");
        assert_eq!(text("\u{1f3e0}"), "'\\X4\\0001F3E0\\X0\\'");
    }

    #[test]
    fn ids_are_of_128_bits() {
        let id = global_id("ab", "piece", "P1");
        assert_eq!(id.len(), 22);
        // The first letter carries two bits only.
        assert!("0123".contains(&id[..1]), "{id}");
        assert_ne!(id, global_id("ab", "piece", "P2"));
        assert_ne!(id, global_id("ac", "piece", "P1"));
    }
}
