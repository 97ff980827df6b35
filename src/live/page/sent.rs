//! What a page sends: JSON of a stated form. What is none is answered with what is wrong with it.

use axum::Json;
use axum::extract::{FromRequest, Request};
use axum::response::Response;
use serde::de::DeserializeOwned;

use super::answers::problem;

/// The body of a request.
pub(super) struct Sent<T>(pub(super) T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Sent<T> {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        match Json::from_request(request, state).await {
            Ok(Json(sent)) => Ok(Self(sent)),
            Err(rejection) => Err(problem(rejection.status(), &rejection.body_text())),
        }
    }
}
