//! Whoever acts in a request.

use crate::answer::KeyError;
use crate::problem::{Code, Problem};
use crate::register::{Holder, Role};
use axum::extract::FromRequestParts;
use axum::http::request::Parts;

/// Whoever acts; a handler that writes takes it as a parameter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Acting {
    account: Option<String>,
    role: Role,
}

impl Acting {
    /// Whoever sits at the machine, where there are no accounts.
    pub(crate) fn at_the_machine() -> Self {
        Self {
            account: None,
            role: Role::Administrator,
        }
    }

    /// The name of the account; none where there are no accounts.
    pub(crate) fn account(&self) -> Option<&str> {
        self.account.as_deref()
    }

    /// What may be done.
    pub(crate) fn role(&self) -> Role {
        self.role
    }

    /// The name that is kept with a decision: that of the account, whatever the client says;
    /// `given` by the client where there are no accounts.
    ///
    /// # Errors
    ///
    /// [`Code::InvalidRequest`] where there is no name: what nobody stands for is not kept.
    pub(crate) fn who(&self, given: Option<&str>) -> Result<String, Problem> {
        match &self.account {
            Some(name) => Ok(name.clone()),
            None => named(given.unwrap_or_default()),
        }
    }
}

impl From<Holder> for Acting {
    fn from(holder: Holder) -> Self {
        Self {
            account: Some(holder.account.name),
            role: holder.role,
        }
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Acting {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Problem> {
        // The guard puts it there for every route that asks for a role.
        parts
            .extensions
            .get::<Self>()
            .cloned()
            .ok_or_else(|| Problem::internal(&"the route asks for nobody and wants to know who"))
    }
}

fn named(who: &str) -> Result<String, Problem> {
    let who = who.trim();
    if who.is_empty() || who.chars().count() > 200 || who.chars().any(char::is_control) {
        return Err(Problem::fields(
            Code::InvalidRequest,
            vec![KeyError {
                key: "who".to_owned(),
                value: who.to_owned(),
                message: "`who` takes the name of the person who decides".to_owned(),
            }],
        ));
    }
    Ok(who.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn somebody_stands_for_every_decision() {
        let acting = Acting::at_the_machine();
        assert_eq!(acting.who(Some(" A. Inspector ")).unwrap(), "A. Inspector");
        for nobody in [None, Some(""), Some("  "), Some("a\nb")] {
            assert!(acting.who(nobody).is_err());
        }
    }

    #[test]
    fn an_account_speaks_for_itself_whatever_the_client_says() {
        let acting = Acting {
            account: Some("Ailsa".to_owned()),
            role: Role::Reviewer,
        };
        assert_eq!(acting.who(Some("B. Somebody Else")).unwrap(), "Ailsa");
        assert_eq!(acting.who(None).unwrap(), "Ailsa");
    }
}
