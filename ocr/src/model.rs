//! What the stages need of a neural network, so that tests can stand in for one.

use crate::error::OcrError;

/// A network's input.
///
/// **Shape** `[1, planes, height, width]`: three planes in the order blue, green, red, or
/// one of brightness.
#[derive(Debug, Clone)]
pub struct Planes {
    /// Rows of each plane.
    pub height: usize,
    /// Columns of each plane.
    pub width: usize,
    /// `planes * height * width` normalised values.
    pub data: Vec<f32>,
}

/// A network's only output, dense and in row-major order.
#[derive(Debug, Clone)]
pub struct Output {
    /// Extent of each axis, outermost first.
    pub shape: Vec<usize>,
    /// As many values as the product of `shape`.
    pub data: Vec<f32>,
}

/// A neural network with one picture in and one tensor out.
pub trait Model: Send + Sync {
    /// Runs the network once.
    ///
    /// # Errors
    ///
    /// [`OcrError::Model`] when the network does not accept the shape or fails.
    fn run(&self, input: Planes) -> Result<Output, OcrError>;

    /// Does beforehand what the first run would otherwise wait for.
    ///
    /// # Errors
    ///
    /// [`OcrError::Model`] where it fails.
    fn prepare(&self) -> Result<(), OcrError> {
        Ok(())
    }

    /// Does beforehand what the first run at one size, in pixels, would otherwise wait for.
    ///
    /// # Errors
    ///
    /// [`OcrError::Model`] where it fails.
    fn expect(&self, _height: usize, _width: usize) -> Result<(), OcrError> {
        Ok(())
    }

    /// Lets go of what the next run can make again.
    fn rest(&self) {}
}
