//! What belongs to what: the relations of the file, followed once.

use crate::classes::Kind;
use crate::file::File;
use crate::step::Record;
use rustc_hash::{FxHashMap, FxHashSet};
use std::rc::Rc;

/// Longest way up through parts and places.
const CLIMB: usize = 32;

/// Most parts followed of one whole.
const PARTS: usize = 20_000;

/// Who relates to whom, by entity id. Where two relations disagree the one with the smaller id
/// counts, whatever their order in the file.
#[derive(Debug, Default)]
pub struct Relations {
    /// Element to the place it is contained in.
    container: FxHashMap<u64, u64>,
    /// Part to whole.
    whole: FxHashMap<u64, u64>,
    /// Whole to its parts, by ascending id.
    parts: FxHashMap<u64, Vec<u64>>,
    /// Opening to the element it is cut from.
    pub host: FxHashMap<u64, u64>,
    /// Opening to what fills it, by ascending id of the relations; two windows may share an opening.
    pub fillers: FxHashMap<u64, Vec<u64>>,
    /// Object to its type.
    pub type_of: FxHashMap<u64, u64>,
    /// Object or type to its material definition; a layer set usage outranks the rest.
    pub material: FxHashMap<u64, u64>,
    /// Wall to `IsExternal` and `LoadBearing` of its own Pset_WallCommon.
    pub flags: FxHashMap<u64, WallFlags>,
    /// Representation or item to the name of its presentation layer.
    pub presentation: FxHashMap<u64, Rc<str>>,
    /// Relations that refer to an entity that is not there: `#id CLASS`.
    pub broken: Vec<String>,
}

/// The properties of Pset_WallCommon that matter.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WallFlags {
    /// `IsExternal`.
    pub external: Option<bool>,
    /// `LoadBearing`.
    pub bearing: Option<bool>,
    /// `Status`.
    pub status: Option<Status>,
}

/// What PEnum_ElementStatus (IFC4, Pset_WallCommon) comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// To be built: `NEW`, and what says nothing else (`OTHER`, `NOTKNOWN`, `UNSET`).
    New,
    /// There already, and stays.
    Existing,
    /// For the time of building.
    Temporary,
    /// To be taken down.
    Demolish,
}

impl Status {
    /// One value of the property; words of exporters' own come close to the standard's.
    fn of(value: &str) -> Status {
        let v = value.trim().to_lowercase();
        if v.starts_with("demoli") {
            Status::Demolish
        } else if v == "existing" {
            Status::Existing
        } else if v.starts_with("tempor") {
            Status::Temporary
        } else {
            Status::New
        }
    }
    /// How a wall of it is said to be; `None` for one to be built.
    pub const fn words(self) -> Option<&'static str> {
        match self {
            Status::New => None,
            Status::Existing => Some("existing"),
            Status::Temporary => Some("temporary"),
            Status::Demolish => Some("to be demolished"),
        }
    }
}

impl Relations {
    /// Follows every relation of the file.
    pub fn read(file: &File<'_>) -> Relations {
        let mut r = Relations::default();
        let walls: FxHashSet<u64> = file.ids(Kind::Wall).iter().copied().collect();
        r.one_to_many(file, Kind::RelContained, 5, 4, |r| &mut r.container);
        r.one_to_many(file, Kind::RelAggregates, 4, 5, |r| &mut r.whole);
        let mut both: Vec<(u64, u64)> =
            r.whole.iter().map(|(part, whole)| (*whole, *part)).collect();
        both.sort_unstable();
        for (whole, part) in both {
            r.parts.entry(whole).or_default().push(part);
        }
        r.one_to_many(file, Kind::RelType, 5, 4, |r| &mut r.type_of);
        for rel in file.all(Kind::RelVoids) {
            if let Some((opening, host)) = r.pair(file, &rel, 5, 4) {
                r.host.entry(opening).or_insert(host);
            }
        }
        for rel in file.all(Kind::RelFills) {
            if let Some((opening, filler)) = r.pair(file, &rel, 4, 5) {
                let all = r.fillers.entry(opening).or_default();
                if !all.contains(&filler) {
                    all.push(filler);
                }
            }
        }
        for rel in file.all(Kind::RelMaterial) {
            r.material(file, &rel);
        }
        for rel in file.all(Kind::RelProperties) {
            let mut ours = rel.references(4).filter(|id| walls.contains(id)).peekable();
            if ours.peek().is_none() {
                continue;
            }
            let flags =
                property_sets(&rel).fold(WallFlags::default(), |f, set| f.or(flags_of(file, set)));
            if flags != WallFlags::default() {
                for wall in ours {
                    let slot = r.flags.entry(wall).or_default();
                    *slot = slot.or(flags);
                }
            }
        }
        for layer in file.all(Kind::PresentationLayer) {
            let name: Rc<str> = layer.param(0).text().unwrap_or_default().into();
            for item in layer.references(2) {
                r.presentation.entry(item).or_insert_with(|| name.clone());
            }
        }
        r
    }

    fn one_to_many(
        &mut self,
        file: &File<'_>,
        kind: Kind,
        one: usize,
        many: usize,
        map: impl Fn(&mut Relations) -> &mut FxHashMap<u64, u64>,
    ) {
        for rel in file.all(kind) {
            let Some(target) = rel.param(one).reference().filter(|id| file.find(*id).is_some())
            else {
                self.break_off(&rel);
                continue;
            };
            for id in rel.param(many).references() {
                map(self).entry(id).or_insert(target);
            }
        }
    }

    /// What a relation of one to one relates; what dangles is noted.
    fn pair(
        &mut self,
        file: &File<'_>,
        rel: &Record<'_>,
        from: usize,
        to: usize,
    ) -> Option<(u64, u64)> {
        let there = |n: usize| rel.param(n).reference().filter(|id| file.find(*id).is_some());
        let pair = there(from).zip(there(to));
        if pair.is_none() {
            self.break_off(rel);
        }
        pair
    }

    fn material(&mut self, file: &File<'_>, rel: &Record<'_>) {
        let material = rel.param(5).reference().and_then(|id| file.find(id));
        let Some(material) = material else {
            self.break_off(rel);
            return;
        };
        let usage = material.is("IFCMATERIALLAYERSETUSAGE");
        for id in rel.references(4) {
            if usage {
                let known = self.material.get(&id).and_then(|m| file.find(*m));
                if known.is_none_or(|m| !m.is("IFCMATERIALLAYERSETUSAGE")) {
                    self.material.insert(id, material.id);
                }
            } else {
                self.material.entry(id).or_insert(material.id);
            }
        }
    }

    fn break_off(&mut self, rel: &Record<'_>) {
        self.broken.push(format!("#{} {}", rel.id, rel.class_name()));
    }

    /// The element this one is a part of.
    pub fn whole_of(&self, id: u64) -> Option<u64> {
        self.whole.get(&id).copied()
    }

    /// Everything it is made of, parts of parts too; each once.
    pub fn parts_of(&self, id: u64) -> Vec<u64> {
        let (mut out, mut seen) = (Vec::new(), FxHashSet::default());
        let mut open = vec![id];
        while let Some(at) = open.pop() {
            for part in self.parts.get(&at).into_iter().flatten() {
                if *part != id && seen.insert(*part) && out.len() < PARTS {
                    out.push(*part);
                    open.push(*part);
                }
            }
        }
        out.sort_unstable();
        out
    }

    /// The first place upwards for which `is_storey` holds: container, then the wholes and their
    /// containers.
    pub fn storey_of(&self, id: u64, is_storey: impl Fn(u64) -> bool) -> Option<u64> {
        let mut at = id;
        for _ in 0..CLIMB {
            let up = self.container.get(&at).or_else(|| self.whole.get(&at))?;
            if is_storey(*up) {
                return Some(*up);
            }
            at = *up;
        }
        None
    }

    /// Flags of a wall: its own, then its type's.
    pub fn wall_flags(&self, file: &File<'_>, wall: u64) -> WallFlags {
        let own = self.flags.get(&wall).copied().unwrap_or_default();
        let of_type = self.type_of.get(&wall).and_then(|id| file.find(*id)).map(|t| {
            let sets = t.references(5);
            sets.fold(WallFlags::default(), |f, set| f.or(flags_of(file, set)))
        });
        own.or(of_type.unwrap_or_default())
    }
}

impl WallFlags {
    fn or(self, other: WallFlags) -> WallFlags {
        WallFlags {
            external: self.external.or(other.external),
            bearing: self.bearing.or(other.bearing),
            status: self.status.or(other.status),
        }
    }
}

/// The property sets of a relation: one, or an IFC4 set of them.
fn property_sets<'a>(rel: &Record<'a>) -> impl Iterator<Item = u64> + use<'a> {
    let p = rel.param(5);
    let several = p.typed().map(|(_, inner)| inner).unwrap_or(p);
    p.reference().into_iter().chain(several.references())
}

fn flags_of(file: &File<'_>, set: u64) -> WallFlags {
    let mut flags = WallFlags::default();
    let Some(set) = file.find(set) else { return flags };
    let is_common = |n: &[u8]| n.eq_ignore_ascii_case(b"Pset_WallCommon");
    if !set.is("IFCPROPERTYSET") || !set.param(2).raw_string().is_some_and(is_common) {
        return flags;
    }
    for p in set.references(4) {
        let Some(p) = file.find(p) else { continue };
        let [name, _, value] = p.take();
        match name.raw_string() {
            Some(b"IsExternal") => flags.external = flags.external.or(value.truth()),
            Some(b"LoadBearing") => flags.bearing = flags.bearing.or(value.truth()),
            // An enumerated value holds a list, a single one a label. Of several the one that is least new counts.
            Some(b"Status") => {
                let all = value.list().filter_map(|v| v.text()).chain(value.text());
                flags.status = flags.status.or(all.map(|v| Status::of(&v)).max());
            }
            _ => {}
        }
    }
    flags
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everything_is_followed_and_what_dangles_is_told() {
        let t = b"DATA;#1=IFCWALL('w',$,$,$,$,$,$,$);#2=IFCBUILDINGSTOREY('s',$,$,$,$,$,$,$,$,0.);#3=IFCSPACE('p',$,$,$,$,$,$,$);
#4=IFCRELAGGREGATES('a',$,$,$,#2,(#3));#5=IFCRELCONTAINEDINSPATIALSTRUCTURE('c',$,$,$,(#1),#3);
#6=IFCWALLTYPE('t',$,'T',$,$,(#20),$,$,$,.STANDARD.);#7=IFCRELDEFINESBYTYPE('d',$,$,$,(#1),#6);
#8=IFCPROPERTYSINGLEVALUE('IsExternal',$,IFCBOOLEAN(.T.),$);#9=IFCPROPERTYSET('x',$,'Pset_WallCommon',$,(#8));
#10=IFCRELDEFINESBYPROPERTIES('r',$,$,$,(#1),#9);
#19=IFCPROPERTYSINGLEVALUE('LoadBearing',$,.F.,$);#21=IFCPROPERTYSINGLEVALUE('IsExternal',$,IFCBOOLEAN(.F.),$);#20=IFCPROPERTYSET('y',$,'Pset_WallCommon',$,(#19,#21));
#11=IFCRELVOIDSELEMENT('v',$,$,$,#1,#99);#12=IFCOPENINGELEMENT('o',$,$,$,$,$,$,$);#13=IFCRELVOIDSELEMENT('v',$,$,$,#1,#12);";
        let file = File::open(t);
        let r = Relations::read(&file);
        assert_eq!(r.storey_of(1, |id| id == 2), Some(2));
        assert_eq!(r.host.get(&12), Some(&1));
        assert_eq!(r.broken, ["#11 IFCRELVOIDSELEMENT"]);
        let want = WallFlags { external: Some(true), bearing: Some(false), status: None };
        assert_eq!(r.wall_flags(&file, 1), want);
    }

    #[test]
    fn circles_of_parts_end() {
        let t = b"DATA;#1=IFCWALL('w');#2=IFCWALL('x');#3=IFCRELAGGREGATES('a',$,$,$,#1,(#2));#4=IFCRELAGGREGATES('a',$,$,$,#2,(#1));";
        assert_eq!(Relations::read(&File::open(t)).storey_of(1, |_| false), None);
    }

    #[test]
    fn usage_outranks_a_plain_material() {
        let t = b"DATA;#1=IFCWALL('w');#2=IFCMATERIAL('m');#3=IFCMATERIALLAYERSETUSAGE($,.AXIS2.,.POSITIVE.,0.);#4=IFCRELASSOCIATESMATERIAL('a',$,$,$,(#1),#2);#5=IFCRELASSOCIATESMATERIAL('a',$,$,$,(#1),#3);";
        assert_eq!(Relations::read(&File::open(t)).material.get(&1), Some(&3));
    }
}
