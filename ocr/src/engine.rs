//! The inference engine. No other file names it: its internals are not a stable
//! surface.

use std::sync::{Arc, Mutex, PoisonError};

use tract_onnx::prelude::*;

use crate::error::OcrError;
use crate::model::{Model, Output, Planes};

/// Plans kept of a network for lines: as many as there are line widths, so that none is
/// made twice. Making one costs tens of milliseconds.
const LINE_PLANS: usize = 10;
/// Plans kept of a network for whole views: each holds tens of megabytes, and the photos of
/// one camera need the same two.
const VIEW_PLANS: usize = 2;

type Plan = Arc<TypedRunnableModel>;

/// An ONNX network that is optimised once for each input size it meets.
pub(crate) struct OnnxModel {
    name: &'static str,
    graph: Graph,
    kept: usize,
    /// Most recently used last.
    plans: Mutex<Vec<((usize, usize), Plan)>>,
}

/// A network before its input size is known.
enum Graph {
    /// As it came: everything is analysed anew for each size. The engine cannot
    /// unify the detector's halved sides while they are symbols.
    Raw(InferenceModel),
    /// Analysed and decluttered once, its width still a symbol.
    Wide(TypedModel, Symbol),
}

impl OnnxModel {
    /// The network in `bytes`, for inputs of any size.
    pub(crate) fn parse(name: &'static str, bytes: &[u8]) -> Result<Self, OcrError> {
        let graph = parsed(bytes).map_err(|e| OcrError::model(name, &e))?;
        Ok(Self::new(name, Graph::Raw(graph), VIEW_PLANS))
    }

    /// The network in `bytes`, for inputs of one height, `planes` planes and any width.
    pub(crate) fn parse_with_height(
        name: &'static str,
        bytes: &[u8],
        height: usize,
        planes: usize,
    ) -> Result<Self, OcrError> {
        let declutter = |graph: InferenceModel| {
            let width = graph.symbols.sym("width");
            let shape = [1.to_dim(), planes.to_dim(), height.to_dim(), width.to_dim()];
            let graph = graph
                .with_input_fact(0, f32::fact(shape).into())?
                .into_typed()?
                .into_decluttered()?;
            Ok(Graph::Wide(graph, width))
        };
        let graph = parsed(bytes)
            .and_then(declutter)
            .map_err(|e| OcrError::model(name, &e))?;
        Ok(Self::new(name, graph, LINE_PLANS))
    }

    fn new(name: &'static str, graph: Graph, kept: usize) -> Self {
        Self {
            name,
            graph,
            kept,
            plans: Mutex::new(Vec::new()),
        }
    }

    fn plan(&self, height: usize, width: usize) -> Result<Plan, OcrError> {
        let key = (height, width);
        let mut plans = self.plans.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(place) = plans.iter().position(|(k, _)| *k == key) {
            let found = plans.remove(place);
            let plan = Arc::clone(&found.1);
            plans.push(found);
            return Ok(plan);
        }
        let plan = self
            .graph
            .plan(height, width)
            .map_err(|e| OcrError::model(self.name, &e))?;
        if plans.len() == self.kept {
            plans.remove(0);
        }
        plans.push((key, Arc::clone(&plan)));
        Ok(plan)
    }
}

impl Graph {
    fn plan(&self, height: usize, width: usize) -> TractResult<Plan> {
        match self {
            Self::Raw(graph) => graph
                .clone()
                .with_input_fact(0, f32::fact([1, 3, height, width]).into())?
                .into_optimized()?
                .into_runnable(),
            Self::Wide(graph, symbol) => graph
                .set_symbols(&[(symbol.clone(), width.to_dim())].into_iter().collect())?
                .into_optimized()?
                .into_runnable(),
        }
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
    fn run(&self, input: Planes) -> Result<Output, OcrError> {
        let plan = self.plan(input.height, input.width)?;
        let fault = |e: TractError| OcrError::model(self.name, &e);
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
