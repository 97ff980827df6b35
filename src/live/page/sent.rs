//! The body of a page's request: JSON of a stated form. One that is not, or that breaks off, is answered
//! with what is wrong with it.

use std::time::Duration;

use axum::Json;
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::response::Response;
use serde::de::DeserializeOwned;

use super::answers::problem;

/// How long a body may take.
const LONGEST: Duration = Duration::from_secs(10);

/// The body of a request.
pub(super) struct Sent<T>(pub(super) T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Sent<T> {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        match tokio::time::timeout(LONGEST, Json::from_request(request, state)).await {
            Ok(Ok(Json(sent))) => Ok(Self(sent)),
            Ok(Err(rejection)) => Err(problem(rejection.status(), &rejection.body_text())),
            Err(_) => Err(problem(
                StatusCode::REQUEST_TIMEOUT,
                "the rest of the request did not come",
            )),
        }
    }
}
