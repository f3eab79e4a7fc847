//! Cuttings of runs that have been worked out: corners, tees, crossings and the drawing of the pieces ask for
//! the same ones again.

use crate::cut::Cutting;
use crate::meet::RunShape;
use std::cell::RefCell;
use std::collections::{BTreeMap, VecDeque};
use std::rc::Rc;
use wall_model::floor::RunId;

/// Shapes of one run that are kept, the latest ones.
const KEPT: usize = 4;

/// Shapes of one run and how each is cut.
type OfRun = VecDeque<(RunShape, Rc<Cutting>)>;

/// The cuttings of one floor under one set of terms.
#[derive(Default)]
pub(crate) struct Known(RefCell<BTreeMap<RunId, OfRun>>);

impl Known {
    /// The cutting of a run of this shape, worked out where it is not known.
    pub(crate) fn or_new(
        &self,
        run: RunId,
        shape: &RunShape,
        new: impl FnOnce() -> Cutting,
    ) -> Rc<Cutting> {
        let same = |of_run: &OfRun| {
            let found = of_run.iter().find(|(s, _)| s == shape);
            found.map(|(_, cutting)| Rc::clone(cutting))
        };
        if let Some(cutting) = self.0.borrow().get(&run).and_then(same) {
            return cutting;
        }
        let cutting = Rc::new(new());
        // A run in whole pieces is quickly looked at again.
        if cutting.has_joints() {
            let mut all = self.0.borrow_mut();
            let of_run = all.entry(run).or_default();
            if of_run.len() == KEPT {
                of_run.pop_front();
            }
            of_run.push_back((shape.clone(), Rc::clone(&cutting)));
        }
        cutting
    }
}
