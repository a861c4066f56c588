//! The inference engine. No other file names it: its internals are not a stable
//! surface.

use std::sync::{Arc, Mutex, PoisonError};

use tract_onnx::prelude::*;

use crate::error::OcrError;
use crate::model::{Model, Output, Planes};

/// Plans kept per network. Each holds packed copies of the weights (12 MB for the
/// larger recogniser), while making one anew costs tens of milliseconds.
const PLANS_KEPT: usize = 8;

type Plan = Arc<TypedRunnableModel>;

/// An ONNX network that is optimised once for each input size it meets.
pub(crate) struct OnnxModel {
    name: &'static str,
    graph: InferenceModel,
    /// Most recently used last.
    plans: Mutex<Vec<((usize, usize), Plan)>>,
}

impl OnnxModel {
    /// The network in `bytes`.
    pub(crate) fn parse(name: &'static str, mut bytes: &[u8]) -> Result<Self, OcrError> {
        let graph = tract_onnx::onnx()
            .with_ignore_output_shapes(true)
            .with_ignore_value_info(true)
            .model_for_read(&mut bytes)
            .map_err(|e| OcrError::model(name, &e))?;
        Ok(Self {
            name,
            graph,
            plans: Mutex::new(Vec::new()),
        })
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
            .clone()
            .with_input_fact(0, f32::fact([1, 3, height, width]).into())
            .and_then(InferenceModelExt::into_optimized)
            .and_then(IntoRunnable::into_runnable)
            .map_err(|e| OcrError::model(self.name, &e))?;
        if plans.len() == PLANS_KEPT {
            plans.remove(0);
        }
        plans.push((key, Arc::clone(&plan)));
        Ok(plan)
    }
}

impl Model for OnnxModel {
    fn run(&self, input: Planes) -> Result<Output, OcrError> {
        let plan = self.plan(input.height, input.width)?;
        let fault = |e: TractError| OcrError::model(self.name, &e);
        let tensor =
            Tensor::from_shape(&[1, 3, input.height, input.width], &input.data).map_err(fault)?;
        let outputs = plan.run(tvec!(tensor.into())).map_err(fault)?;
        let output = &outputs[0];
        Ok(Output {
            shape: output.shape().to_vec(),
            data: output
                .try_as_plain_ram()
                .and_then(|plain| plain.as_slice::<f32>().map(<[f32]>::to_vec))
                .map_err(fault)?,
        })
    }
}
