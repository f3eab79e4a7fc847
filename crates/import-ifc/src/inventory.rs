//! Every product of the file and what became of it: the account behind the ledger.

use crate::classes::{self, Kind};
use crate::file::File;
use crate::report::Report;
use crate::step::Record;
use crate::summary::WallFate;
use diag::codes::ifc;
use diag::{Ledger, SourceRef};
use rustc_hash::{FxHashMap, FxHashSet};

/// What became of a product.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fate {
    /// It is (part of) a wall, an opening or a storey of the model.
    Used,
    /// It is not, and why.
    Ignored(String),
}

/// The kinds that are products.
const PRODUCTS: [Kind; 7] =
    [Kind::Wall, Kind::Opening, Kind::Door, Kind::Window, Kind::Storey, Kind::Proxy, Kind::Product];

/// Fates by entity id. A product nobody decides about is ignored as what it is.
#[derive(Default)]
pub struct Inventory {
    fates: FxHashMap<u64, Fate>,
    twice: FxHashSet<Vec<u8>>,
}

impl Inventory {
    /// Looks for GlobalIds that several products share.
    pub fn open(file: &File<'_>, report: &mut Report) -> Inventory {
        let mut guids: Vec<(&[u8], u64)> = Vec::new();
        for kind in PRODUCTS {
            let each = file.all(kind);
            guids.extend(each.filter_map(|r| Some((r.param(0).raw_string()?, r.id))));
        }
        guids.sort_unstable();
        let mut inventory = Inventory::default();
        for pair in guids.windows(2) {
            if pair[0].0 == pair[1].0 && !pair[0].0.is_empty() {
                inventory.twice.insert(pair[0].0.to_vec());
            }
        }
        for (guid, id) in guids {
            if inventory.twice.contains(guid)
                && let Some(r) = file.find(id)
            {
                let source = inventory.source(file, &r, "");
                report.add(ifc::GUID_TWICE, "element", "GlobalId used more than once", &source);
            }
        }
        inventory
    }

    /// The source of a product; where its GlobalId is shared, the entity number tells them apart.
    pub fn source(&self, file: &File<'_>, r: &Record<'_>, type_name: &str) -> SourceRef {
        let mut source = file.source(r, type_name);
        if r.param(0).raw_string().is_some_and(|g| self.twice.contains(g)) {
            source.entity = format!("{}#{}", source.entity, r.id);
        }
        source
    }

    /// Decides about a product; the last word counts.
    pub fn decide(&mut self, id: u64, fate: Fate) {
        self.fates.insert(id, fate);
    }
    /// Short for ignoring it.
    pub fn ignore(&mut self, id: u64, why: impl Into<String>) {
        self.decide(id, Fate::Ignored(why.into()));
    }
    /// What was decided about a product.
    pub fn fate(&self, id: u64) -> Option<&Fate> {
        self.fates.get(&id)
    }

    /// What became of each wall, by source.
    pub fn wall_fates(&self, file: &File<'_>) -> Vec<WallFate> {
        let each = file.all(Kind::Wall).map(|r| WallFate {
            source: self.source(file, &r, ""),
            left_out: match self.fates.get(&r.id) {
                Some(Fate::Used) => None,
                Some(Fate::Ignored(why)) => Some(why.clone()),
                None => Some("not understood".to_owned()),
            },
        });
        let mut all: Vec<WallFate> = each.collect();
        all.sort();
        all
    }

    /// The account of all products, in an order that does not depend on the file's.
    pub fn ledger(&self, file: &File<'_>) -> Ledger {
        let mut rows: Vec<(String, u64, Kind, String)> = Vec::new();
        for kind in PRODUCTS {
            for id in file.ids(kind) {
                // An entity that cannot be read at all is still one that was there.
                match file.find(*id) {
                    Some(r) => {
                        let class = classes::spelled(r.class);
                        rows.push((self.source(file, &r, "").entity, *id, kind, class));
                    }
                    None => {
                        rows.push((format!("#{id}"), *id, kind, "unreadable entity".to_owned()))
                    }
                }
            }
        }
        rows.sort_unstable_by(|a, b| (&a.0, a.1).cmp(&(&b.0, b.1)));
        let mut ledger = Ledger::default();
        for (entity, id, kind, class) in rows {
            match self.fates.get(&id) {
                Some(Fate::Used) => ledger.use_one(),
                Some(Fate::Ignored(why)) => ledger.ignore(why, entity),
                None if kind == Kind::Storey => ledger.ignore("storey without walls", entity),
                None if matches!(kind, Kind::Product | Kind::Proxy) => {
                    ledger.ignore(format!("not a wall: {class}"), entity);
                }
                None => ledger.ignore(format!("not understood: {class}"), entity),
            }
        }
        ledger
    }
}
