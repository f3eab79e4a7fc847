//! Material layers of walls and where they lie beside the axis.

use crate::file::File;
use crate::step::Record;

/// One layer of a wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// Material name; empty for an air gap or where none is given.
    pub material: String,
    /// Categories and other words of layer and material that help to tell what it is.
    pub hint: String,
    /// Thickness in the file's unit.
    pub thickness: f64,
}

/// How a layer set lies beside a wall's axis: along the wall's own y.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    /// Where the stack starts: `OffsetFromReferenceLine`, in the file's unit.
    pub offset: f64,
    /// +1 when layers follow towards +y (`POSITIVE`), else -1.
    pub sense: f64,
}

/// What a material definition says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Layers {
    /// Name of the layer set; empty where it has none.
    pub set_name: String,
    /// Layers in stacking order; none where the material is no layer set.
    pub layers: Vec<Layer>,
    /// Names of materials given without thickness or place (a plain material, a list, constituents); a constituent
    /// with a name of its own has both, `Softwood, Stud 2x6`.
    pub loose: Vec<String>,
}

impl Layers {
    /// Sum of the thicknesses.
    pub fn total(&self) -> f64 {
        self.layers.iter().map(|l| l.thickness).sum()
    }
    /// The same so many times as thick.
    pub fn times(&self, k: f64) -> Layers {
        let mut thicker = self.clone();
        thicker.layers.iter_mut().for_each(|l| l.thickness *= k);
        thicker
    }
    /// Where layer `n` lies in the stack: from the first face.
    pub fn span(&self, n: usize) -> (f64, f64) {
        let before: f64 = self.layers.iter().take(n).map(|l| l.thickness).sum();
        (before, before + self.layers.get(n).map_or(0.0, |l| l.thickness))
    }
    /// Whether the stack reads the same from both faces, as far as layer `n` goes.
    pub fn is_central(&self, n: usize) -> bool {
        let (from, to) = self.span(n);
        ((from + to) - self.total()).abs() < 1e-6 * self.total()
    }
}

/// What a wall's material association comes to: the definition behind a usage (or the material
/// itself) and where the usage puts its layers.
pub fn usage(file: &File<'_>, material: u64) -> (u64, Option<Side>) {
    let Some(m) = file.find(material).filter(|m| m.is("IFCMATERIALLAYERSETUSAGE")) else {
        return (material, None);
    };
    let [set, direction, sense, offset] = m.take();
    let sense = match sense.name() {
        Some(b"POSITIVE") => Some(1.0),
        Some(b"NEGATIVE") => Some(-1.0),
        _ => None,
    };
    // A wall's layers go along AXIS2; anything else is an exporter's slip and says nothing.
    let across = direction.name().is_none_or(|d| d == b"AXIS2");
    let side = sense.zip(offset.number()).filter(|_| across);
    (set.reference().unwrap_or(material), side.map(|(sense, offset)| Side { offset, sense }))
}

/// Reads a material definition of any kind but a usage.
pub fn read(file: &File<'_>, definition: u64) -> Layers {
    let mut out = Layers::default();
    if let Some(m) = file.find(definition) {
        read_into(file, &m, &mut out, 0);
    }
    out
}

fn read_into(file: &File<'_>, m: &Record<'_>, out: &mut Layers, depth: usize) {
    if depth > 4 {
        return;
    }
    match &*m.upper() {
        b"IFCMATERIALLAYERSET" => {
            out.set_name = m.param(1).text().unwrap_or_default().trim().to_owned();
            let layers = m.references(0).filter_map(|id| file.find(id));
            out.layers = layers.filter_map(|l| layer(file, &l)).collect();
        }
        b"IFCMATERIALLAYER" | b"IFCMATERIALLAYERWITHOFFSETS" => {
            out.layers = layer(file, m).into_iter().collect();
        }
        b"IFCMATERIAL" => out.loose.push(m.param(0).text().unwrap_or_default()),
        b"IFCMATERIALLIST" => {
            for one in m.references(0).filter_map(|id| file.find(id)) {
                read_into(file, &one, out, depth + 1);
            }
        }
        b"IFCMATERIALCONSTITUENTSET" => {
            for c in m.references(2).filter_map(|id| file.find(id)) {
                let before = out.loose.len();
                if let Ok(one) = file.follow(&c, 2) {
                    read_into(file, &one, out, depth + 1);
                }
                let own = c.param(0).text().unwrap_or_default().trim().to_owned();
                for name in out.loose.iter_mut().skip(before) {
                    let (a, b) = (name.to_lowercase(), own.to_lowercase());
                    if b.contains(&a) {
                        name.clone_from(&own);
                    } else if !a.contains(&b) {
                        *name = format!("{name}, {own}");
                    }
                }
            }
        }
        _ => {}
    }
}

/// A layer that has a thickness above zero; membranes drawn with none are no layers here.
fn layer(file: &File<'_>, l: &Record<'_>) -> Option<Layer> {
    if !l.is("IFCMATERIALLAYER") && !l.is("IFCMATERIALLAYERWITHOFFSETS") {
        file.note(l.id, || format!("#{} is an {}, no material layer", l.id, l.class_name()));
        return None;
    }
    let [material, thickness, _, name, _, category] = l.take();
    let thickness = thickness.number().filter(|t| *t > 0.0)?;
    let m = material.reference().and_then(|id| file.find(id));
    let text = |p: crate::step::Param<'_>| p.text().unwrap_or_default();
    let material = m.map(|m| text(m.param(0))).unwrap_or_default().trim().to_owned();
    let material_category = m.map(|m| text(m.param(2))).unwrap_or_default();
    let hint = [text(name), text(category), material_category].join(" ");
    Some(Layer { material, hint: hint.trim().to_owned(), thickness })
}

#[cfg(test)]
mod tests {
    use super::*;

    const SET: &str = "DATA;#1=IFCMATERIAL('Gyp');#2=IFCMATERIAL('Stud',$,'wood');#3=IFCMATERIALLAYER(#1,0.5,$);#4=IFCMATERIALLAYER(#2,3.5,$,'Frame',$,'LoadBearing',50);#5=IFCMATERIALLAYER($,0.,$);#6=IFCMATERIALLAYERSET((#3,#4,#5,#3),'W4');";

    #[test]
    fn usage_and_layers() {
        let t = format!("{SET}#7=IFCMATERIALLAYERSETUSAGE(#6,.AXIS2.,.NEGATIVE.,2.25);");
        let file = File::open(t.as_bytes());
        let (set, side) = usage(&file, 7);
        let l = read(&file, set);
        assert_eq!((l.set_name.as_str(), l.layers.len(), l.total()), ("W4", 3, 4.5));
        assert_eq!((set, side), (6, Some(Side { offset: 2.25, sense: -1.0 })));
        assert_eq!(l.layers[1].hint, "Frame LoadBearing wood");
        assert_eq!(l.span(1), (0.5, 4.0));
        assert!(l.is_central(1) && !l.is_central(0));
    }

    #[test]
    fn wrong_axis_says_nothing_about_the_side() {
        let t = format!("{SET}#7=IFCMATERIALLAYERSETUSAGE(#6,.AXIS3.,.POSITIVE.,0.);");
        assert_eq!(usage(&File::open(t.as_bytes()), 7), (6, None));
        assert_eq!(usage(&File::open(t.as_bytes()), 6), (6, None));
    }

    #[test]
    fn loose_materials_and_loops() {
        let t = "DATA;#1=IFCMATERIAL('A');#2=IFCMATERIALLIST((#1,#2,#1));#3=IFCMATERIALCONSTITUENT($,$,#1,$,$);#4=IFCMATERIALCONSTITUENTSET($,$,(#3));#5=IFCMATERIAL('Softwood');#6=IFCMATERIALCONSTITUENT('Stud 2x6',$,#5,$,$);#7=IFCMATERIALCONSTITUENT('softwood 2x4',$,#5,$,$);#8=IFCMATERIALCONSTITUENTSET($,$,(#6,#7));";
        let file = File::open(t.as_bytes());
        assert!(read(&file, 2).loose.len() >= 2);
        assert_eq!(read(&file, 4).loose, ["A"]);
        assert_eq!(read(&file, 8).loose, ["Softwood, Stud 2x6", "softwood 2x4"]);
    }
}
