//! With what every change of a plate begins.

use super::plates::id;
use crate::access::Acting;
use crate::problem::Problem;
use crate::register::PlateId;
use crate::state::AppState;
use crate::versioned::seen;
use axum::extract::{FromRequestParts, Path};
use axum::http::HeaderMap;
use axum::http::request::Parts;

/// A plate that somebody is about to change.
pub(crate) struct Change {
    pub(crate) plate: PlateId,
    acting: Acting,
    headers: HeaderMap,
}

impl Change {
    /// Who changes it, and which version they saw; both as the body gives them where neither
    /// account nor header does.
    ///
    /// # Errors
    ///
    /// [`Problem`] where nobody stands for it, or where the version is missing.
    pub(crate) fn by(
        &self,
        who: Option<&str>,
        version: Option<i64>,
    ) -> Result<(String, i64), Problem> {
        Ok((self.who(who)?, seen(&self.headers, version)?))
    }

    /// Who changes it, where no version counts.
    ///
    /// # Errors
    ///
    /// [`Problem`] where nobody stands for it.
    pub(crate) fn who(&self, who: Option<&str>) -> Result<String, Problem> {
        self.acting.who(who)
    }
}

impl FromRequestParts<AppState> for Change {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &AppState) -> Result<Self, Problem> {
        state.desk()?;
        Ok(Self {
            plate: id(Path::from_request_parts(parts, state).await)?,
            acting: Acting::from_request_parts(parts, state).await?,
            headers: parts.headers.clone(),
        })
    }
}
