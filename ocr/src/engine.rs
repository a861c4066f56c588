//! The inference engine. No other file names it: its internals are not a stable
//! surface.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tract_onnx::prelude::*;
use tract_onnx::tract_core::ops::konst::Const;
use tract_onnx::tract_core::ops::matmul::optimized::{MatMulOperand, OptMatMul, ProtoFusedSpec};
use tract_onnx::tract_core::tract_linalg::mmm::EagerPackedInput;

use crate::error::OcrError;
use crate::model::{Model, Output, Planes};
use crate::packed::Packed;

/// Pixels that the networks for views make one of, so that their sides are multiples of it.
const STRIDE: usize = 32;
/// Plans kept of a network for lines: as many as there are line widths, so that none is
/// made twice. Making one costs tens of milliseconds.
const LINE_PLANS: usize = 10;
/// Plans kept of a network for whole views, whose sides are multiples of 160: each holds 1 to 3 MB
/// beside the weights, and there are more sizes than could be kept.
const VIEW_PLANS: usize = 6;

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
    weights: Weights,
}

/// The weights of all plans, each once.
#[derive(Default)]
struct Weights {
    constants: Vec<Const>,
    /// Rearranged for the processor and part of the products that use them.
    factors: Vec<EagerPackedInput>,
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

    /// Whether no other plan than those `made` is likely to be needed: the network itself then only
    /// holds its weights a second time, as they were before they were rearranged.
    fn all_planned(self, made: usize) -> bool {
        matches!(self, Self::Lines { .. }) && made == self.kept()
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
            weights.let_go();
        }
        plans.push((key, Arc::clone(&plan)));
        if self.input.all_planned(plans.len()) {
            made.graph = None;
        }
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

    fn plan(&self, height: usize, width: usize, weights: &mut Weights) -> TractResult<Plan> {
        let sides = self.height.iter().map(|side| (side, height));
        let known = sides
            .chain([(&self.width, width)])
            .map(|((symbol, pixels), length)| (symbol.clone(), (length / pixels).to_dim()))
            .collect();
        let mut model = self.network.set_symbols(&known)?;
        // Decluttered it is already, and known sides leave nothing more to take out.
        model.optimize()?;
        weights.share(&mut model);
        model.into_runnable()
    }
}

impl Weights {
    /// Puts what is known in the place of its equal in `model`, and adds what is not: each input size has
    /// its plan, and the weights, rearranged for the processor, are the same in all.
    fn share(&mut self, model: &mut TypedModel) {
        for node in &mut model.nodes {
            if let Some(product) = node.op_as_mut::<OptMatMul>() {
                for factor in factors(product) {
                    self.share_factor(factor);
                }
            }
            let Some(own) = node.op_as::<Const>() else {
                continue;
            };
            let Some(known) = self.constants.iter().find(|known| *known == own).cloned() else {
                self.constants.push(own.clone());
                continue;
            };
            node.outputs[0].fact.konst = Some(Arc::clone(known.val()));
            node.op = Box::new(known);
        }
    }

    fn share_factor(&mut self, factor: &mut MatMulOperand) {
        let MatMulOperand::Const(value) = factor else {
            return;
        };
        let Some(own) = value.downcast_ref::<EagerPackedInput>() else {
            return;
        };
        match self.factors.iter().find(|known| *known == own) {
            Some(known) => *value = Box::new(known.clone()),
            None => self.factors.push(own.clone()),
        }
    }

    /// Lets go of what no plan uses any more: some of it depends on the input size, and there are as many
    /// sizes as photos.
    fn let_go(&mut self) {
        self.constants
            .retain(|own| Arc::strong_count(own.val()) > 1);
        self.factors
            .retain(|own| Arc::strong_count(&own.packed) > 1);
    }
}

/// The factors of a matrix product and of those that are added to it.
fn factors(product: &mut OptMatMul) -> impl Iterator<Item = &mut MatMulOperand> {
    product.micro_ops.iter_mut().flat_map(|step| match step {
        ProtoFusedSpec::AddMatMul { a, b, .. } => vec![a, b],
        _ => Vec::new(),
    })
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

    fn expect(&self, height: usize, width: usize) -> Result<(), OcrError> {
        self.plan(height, width).map(drop)
    }

    fn rest(&self) {
        *self.lock() = Made::default();
    }

    fn run(&self, input: Planes) -> Result<Output, OcrError> {
        let Planes {
            height,
            width,
            data,
        } = input;
        let plan = self.plan(height, width)?;
        let fault = |e: TractError| OcrError::model(self.file.name, &e);
        let planes = data.len() / (height * width).max(1);
        let tensor = Tensor::from_shape(&[1, planes, height, width], &data).map_err(fault)?;
        // A view is 15 MB, and now there are two of it.
        drop(data);
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
            assert!(made.weights.constants.iter().all(used), "{side}");
            let used = |own: &EagerPackedInput| Arc::strong_count(&own.packed) > 1;
            assert!(made.weights.factors.iter().all(used), "{side}");
        }
    }

    fn lines(height: usize) -> OnnxModel {
        let file = Bundle::open().unwrap().file("recogniser-plate").unwrap();
        OnnxModel::new(file, Input::Lines { height, planes: 1 })
    }

    #[test]
    fn a_network_is_let_go_once_every_width_has_its_plan() {
        let model = lines(48);
        for count in 1..=LINE_PLANS {
            model.expect(48, 32 * count).unwrap();
            assert_eq!(model.lock().graph.is_none(), count == LINE_PLANS);
        }
        // A width more is planned all the same.
        model.expect(48, 32 * (LINE_PLANS + 1)).unwrap();
        assert_eq!(model.lock().plans.len(), LINE_PLANS);
    }

    #[test]
    fn plans_share_their_weights() {
        let model = lines(48);
        let held = |width| {
            model.expect(48, width).unwrap();
            let made = model.lock();
            let bytes = |own: &EagerPackedInput| own.packed.len();
            made.weights.factors.iter().map(bytes).sum::<usize>()
        };
        // Two that are multiplied by the same kernel.
        let first = held(768);
        // The recogniser has 1.2 million weights of four bytes.
        assert!(first > 3_000_000, "{first}");
        assert_eq!(held(1024), first);
        let made = model.lock();
        for factor in &made.weights.factors {
            let plans = made.plans.iter().filter(|(_, plan)| {
                let mut own = plan.model().clone();
                own.nodes.iter_mut().any(|node| {
                    node.op_as_mut::<OptMatMul>().is_some_and(|product| {
                        factors(product).any(|other| match other {
                            MatMulOperand::Const(value) => value
                                .downcast_ref::<EagerPackedInput>()
                                .is_some_and(|other| Arc::ptr_eq(&other.packed, &factor.packed)),
                            MatMulOperand::Input(_) => false,
                        })
                    })
                })
            });
            assert_eq!(plans.count(), 2);
        }
    }

    #[test]
    fn what_rests_is_made_again() {
        let (height, width) = (48, 96);
        let model = lines(height);
        let picture = || Planes {
            height,
            width,
            data: (0..height * width).map(|k| (k % 7) as f32 / 7.0).collect(),
        };
        let before = model.run(picture()).unwrap();
        model.rest();
        assert!(model.lock().plans.is_empty() && model.lock().weights.constants.is_empty());
        let after = model.run(picture()).unwrap();
        assert_eq!(after.shape, before.shape);
        let pairs = before.data.iter().zip(&after.data);
        assert!(pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f32::max) < 1e-6);
    }
}
