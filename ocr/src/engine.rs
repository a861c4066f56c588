//! The inference engine. No other file names it: its internals are not a stable
//! surface.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tract_onnx::prelude::*;
use tract_onnx::tract_core::ops::konst::Const;

use crate::error::OcrError;
use crate::model::{Model, Output, Planes};
use crate::packed::Packed;

/// Pixels that the networks for views make one of, so that their sides are multiples of it.
const STRIDE: usize = 32;
/// Plans kept of a network for lines: as many as there are line widths, so that none is
/// made twice. Making one costs tens of milliseconds.
const LINE_PLANS: usize = 10;
/// Plans kept of a network for whole views, whose sides are multiples of 160: each holds about 3 MB
/// beside the weights, and making one costs less than looking.
const VIEW_PLANS: usize = 4;

type Plan = Arc<TypedRunnableModel>;

/// What a network takes.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Input {
    /// Views in three planes, their sides multiples of [`STRIDE`].
    Views,
    /// Lines of one height, in so many planes, and of any width.
    Lines {
        /// Rows of each.
        height: usize,
        /// Planes of each.
        planes: usize,
    },
}

/// An ONNX network that is read when it is first needed, and optimised once for each input size
/// it meets.
pub(crate) struct OnnxModel {
    file: Packed,
    input: Input,
    made: Mutex<Made>,
}

/// What was made of a network so far.
#[derive(Default)]
struct Made {
    graph: Option<Graph>,
    /// By input size, the most recently used last.
    plans: Vec<((usize, usize), Plan)>,
    /// The weights of all plans, each once.
    weights: Vec<Const>,
}

/// A network analysed and decluttered once, before its input size is known.
struct Graph {
    network: TypedModel,
    /// Sides of the input that are still symbols, each with the pixels that it counts in.
    height: Option<(Symbol, usize)>,
    width: (Symbol, usize),
}

impl Input {
    /// Plans that are kept.
    fn kept(self) -> usize {
        match self {
            Self::Views => VIEW_PLANS,
            Self::Lines { .. } => LINE_PLANS,
        }
    }
}

impl OnnxModel {
    /// The network in `file`, unread as yet.
    pub(crate) fn new(file: Packed, input: Input) -> Self {
        Self {
            file,
            input,
            made: Mutex::default(),
        }
    }

    fn lock(&self) -> MutexGuard<'_, Made> {
        self.made.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn graph(&self) -> Result<Graph, OcrError> {
        let bytes = self.file.unpacked()?;
        Graph::parse(&bytes, self.input).map_err(|e| OcrError::model(self.file.name, &e))
    }

    fn plan(&self, height: usize, width: usize) -> Result<Plan, OcrError> {
        let key = (height, width);
        let mut made = self.lock();
        let Made {
            graph,
            plans,
            weights,
        } = &mut *made;
        if let Some(place) = plans.iter().position(|(k, _)| *k == key) {
            let found = plans.remove(place);
            let plan = Arc::clone(&found.1);
            plans.push(found);
            return Ok(plan);
        }
        let graph = match graph {
            Some(graph) => graph,
            none => none.insert(self.graph()?),
        };
        let plan = graph
            .plan(height, width, weights)
            .map_err(|e| OcrError::model(self.file.name, &e))?;
        if plans.len() == self.input.kept() {
            plans.remove(0);
            // What no plan uses any more: some of it depends on the input size, and there are as
            // many sizes as photos.
            weights.retain(|own| Arc::strong_count(own.val()) > 1);
        }
        plans.push((key, Arc::clone(&plan)));
        Ok(plan)
    }
}

impl Graph {
    fn parse(bytes: &[u8], input: Input) -> TractResult<Self> {
        let network = parsed(bytes)?;
        let side = |name: &str, pixels: usize| (network.symbols.sym(name), pixels);
        let (planes, rows, height, width) = match input {
            Input::Lines { height, planes } => (planes, height.to_dim(), None, side("width", 1)),
            // In steps of its strides: the engine halves 32 n, but not what may be odd.
            Input::Views => {
                let height = side("height", STRIDE);
                let rows = height.0.to_dim() * STRIDE;
                (3, rows, Some(height), side("width", STRIDE))
            }
        };
        let columns = width.0.to_dim() * width.1;
        let shape = [1.to_dim(), planes.to_dim(), rows, columns];
        let network = network
            .with_input_fact(0, f32::fact(shape).into())?
            .into_typed()?
            .into_decluttered()?;
        Ok(Self {
            network,
            height,
            width,
        })
    }

    fn plan(&self, height: usize, width: usize, weights: &mut Vec<Const>) -> TractResult<Plan> {
        let sides = self.height.iter().map(|side| (side, height));
        let known = sides
            .chain([(&self.width, width)])
            .map(|((symbol, pixels), length)| (symbol.clone(), (length / pixels).to_dim()))
            .collect();
        let mut model = self.network.set_symbols(&known)?.into_optimized()?;
        share(&mut model, weights);
        model.into_runnable()
    }
}

/// Puts what is among `weights` in the place of its equal in `model`, and adds what is not: each
/// input size has its plan, and the weights, rearranged for the processor, are the same in all.
fn share(model: &mut TypedModel, weights: &mut Vec<Const>) {
    for node in &mut model.nodes {
        let Some(own) = node.op_as::<Const>() else {
            continue;
        };
        let Some(known) = weights.iter().find(|known| *known == own).cloned() else {
            weights.push(own.clone());
            continue;
        };
        node.outputs[0].fact.konst = Some(Arc::clone(known.val()));
        node.op = Box::new(known);
    }
}

fn parsed(mut bytes: &[u8]) -> TractResult<InferenceModel> {
    // The shapes written by the exporter name symbols that contradict fixed sizes.
    tract_onnx::onnx()
        .with_ignore_output_shapes(true)
        .with_ignore_value_info(true)
        .model_for_read(&mut bytes)
}

impl Model for OnnxModel {
    fn prepare(&self) -> Result<(), OcrError> {
        let mut made = self.lock();
        if made.graph.is_none() {
            made.graph = Some(self.graph()?);
        }
        Ok(())
    }

    fn rest(&self) {
        *self.lock() = Made::default();
    }

    fn run(&self, input: Planes) -> Result<Output, OcrError> {
        let plan = self.plan(input.height, input.width)?;
        let fault = |e: TractError| OcrError::model(self.file.name, &e);
        let planes = input.data.len() / (input.height * input.width).max(1);
        let shape = [1, planes, input.height, input.width];
        let tensor = Tensor::from_shape(&shape, &input.data).map_err(fault)?;
        let outputs = plan.run(tvec!(tensor.into())).map_err(fault)?;
        let output = outputs[0].try_as_plain_ram().map_err(fault)?;
        Ok(Output {
            shape: outputs[0].shape().to_vec(),
            data: output.as_slice::<f32>().map_err(fault)?.to_vec(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bundle::Bundle;

    #[test]
    fn what_plans_leave_behind_does_not_grow() {
        let model = Bundle::open().unwrap().model("detector").unwrap();
        for side in (2..=VIEW_PLANS + 4).map(|k| 32 * k) {
            model.plan(side, side).unwrap();
            let made = model.lock();
            assert!(made.plans.len() <= VIEW_PLANS);
            let used = |own: &Const| Arc::strong_count(own.val()) > 1;
            assert!(made.weights.iter().all(used), "{side}");
        }
    }

    #[test]
    fn what_rests_is_made_again() {
        let (height, width) = (48, 96);
        let lines = Input::Lines { height, planes: 3 };
        let file = Bundle::open().unwrap().file("recogniser-tiny").unwrap();
        let model = OnnxModel::new(file, lines);
        let picture = || Planes {
            height,
            width,
            data: (0..3 * height * width)
                .map(|k| (k % 7) as f32 / 7.0)
                .collect(),
        };
        let before = model.run(picture()).unwrap();
        model.rest();
        assert!(model.lock().plans.is_empty() && model.lock().weights.is_empty());
        let after = model.run(picture()).unwrap();
        assert_eq!(after.shape, before.shape);
        let pairs = before.data.iter().zip(&after.data);
        assert!(pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f32::max) < 1e-6);
    }
}
