//! What is answered where.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, Request, State};
use axum::http::StatusCode;
use axum::middleware::from_fn_with_state;
use axum::response::Response;
use axum::routing::{get, post};
use serde_json::{Value, json};
use tokio::task::spawn_blocking;

use super::ask::{self, AskWords, ChangesWords, Early, SaveWords};
use super::assets;
use super::guard::{Guard, guard};
use super::photo::{self, Place};
use super::reply::{self, refuse};
use super::server::Shared;
use super::store::{Save, Saved, Store};
use super::trouble::Trouble;
use super::workers::{Answer, Lane};

/// How long a request for changes waits.
const LONG_POLL: Duration = Duration::from_secs(25);

/// The whole service.
pub fn routes(shared: Arc<Shared>, keeper: Arc<Guard>) -> Router {
    Router::new()
        .route("/", get(page))
        .route("/front.js", get(script))
        .route("/front.css", get(style))
        .route("/api/open", post(open))
        .route("/api/save", post(save))
        .route("/api/changes", get(changes))
        .route("/api/ask", post(asked))
        .route("/api/photo", get(photo).put(put_photo).delete(remove_photo))
        .route("/api/photo/place", get(place).put(put_place))
        .fallback(nothing)
        .method_not_allowed_fallback(not_so)
        .with_state(shared)
        .layer(from_fn_with_state(keeper, guard))
}

type Shares = State<Arc<Shared>>;

async fn page() -> Response {
    reply::text(StatusCode::OK, "text/html; charset=utf-8", assets::page())
}

async fn script() -> Response {
    reply::text(
        StatusCode::OK,
        "text/javascript; charset=utf-8",
        assets::script(),
    )
}

async fn style() -> Response {
    reply::text(StatusCode::OK, "text/css; charset=utf-8", assets::style())
}

async fn nothing() -> Response {
    refuse(
        StatusCode::NOT_FOUND,
        &Trouble::bare("there is no such page"),
    )
}

async fn not_so() -> Response {
    refuse(
        StatusCode::METHOD_NOT_ALLOWED,
        &Trouble::bare("this is not how that is asked"),
    )
}

async fn open(State(shared): Shares) -> Response {
    on_disk(shared, |store| {
        // What cannot be read any more does not hide what is known.
        let seen = store.refresh();
        if let (Err(trouble), false) = (seen, store.exists()) {
            return Err(trouble);
        }
        let recovered = store.recovered().map(|entry| {
            json!({
                "text": entry.text,
                "when_ms": entry.when_ms,
                "changed_since": store.is_changed_since(entry),
            })
        });
        Ok(json!({
            "name": store.name(),
            "folder": store.folder(),
            "text": store.text(),
            "revision": store.revision(),
            "exists": store.exists(),
            "recovered": recovered,
            "photo": photo::picture(store.path()).is_file(),
            "version": env!("CARGO_PKG_VERSION"),
        }))
    })
    .await
}

async fn save(State(shared): Shares, request: Request) -> Response {
    let words = match save_words(request).await {
        Ok(words) => words,
        Err(early) => return *early,
    };
    let saved = blocking(move || {
        shared.with_store(|store| {
            store.save(Save {
                text: words.text,
                base: words.base,
                tab: words.tab,
                force: words.force,
            })
        })
    });
    match saved.await {
        Err(trouble) => refuse(StatusCode::INTERNAL_SERVER_ERROR, &trouble),
        Ok(Saved::Outside { text, revision }) => reply::json(
            StatusCode::CONFLICT,
            &json!({"outside": {"text": text, "revision": revision}}),
        ),
        Ok(Saved::Done { revision, words }) => {
            let mut told = json!({"revision": revision});
            if let Some(words) = words {
                told["words"] = words.into();
            }
            reply::json(StatusCode::OK, &told)
        }
    }
}

async fn save_words(request: Request) -> Result<SaveWords, Early> {
    let text = ask::text(request).await?;
    let words: SaveWords =
        serde_json::from_str(&text).map_err(|error| ask::bad(&format!("no save: {error}")))?;
    ask::tab(&words.tab)?;
    if words.text.contains('\0') {
        // It would be written, and the file then be no text.
        return Err(ask::bad(
            "no save: the text holds a NUL, which no sketch has",
        ));
    }
    Ok(words)
}

async fn changes(
    State(shared): Shares,
    words: Result<Query<ChangesWords>, QueryRejection>,
) -> Response {
    let words = match ask::words(words) {
        Ok(words) => words,
        Err(early) => return *early,
    };
    if let Err(early) = ask::tab(&words.tab) {
        return *early;
    }
    let mut revision = shared.revision.subscribe();
    // Ended by the clock or by a change: either way what is known now is told.
    let _ = tokio::time::timeout(
        LONG_POLL,
        revision.wait_for(|revision| *revision != words.revision),
    )
    .await;
    drop(revision);
    // Beside the thread that serves: a save at work holds the store until it is on disk.
    on_disk(shared, move |store| {
        let is_news = store.revision() != words.revision && store.written_by() != Some(&*words.tab);
        Ok(json!({
            "revision": store.revision(),
            "text": is_news.then(|| store.text()),
        }))
    })
    .await
}

async fn asked(
    State(shared): Shares,
    words: Result<Query<AskWords>, QueryRejection>,
    request: Request,
) -> Response {
    let (tab, lane, request) = match question(words, request).await {
        Ok(question) => question,
        Err(early) => return *early,
    };
    match shared.workers.ask(&tab, lane, &request).await {
        Answer::Reply(answer) => reply::text(StatusCode::OK, "application/json", answer),
        Answer::Stale => reply::json(StatusCode::CONFLICT, &json!({"stale": true})),
        Answer::Failed(trouble) => refuse(StatusCode::OK, &trouble),
    }
}

async fn question(
    words: Result<Query<AskWords>, QueryRejection>,
    request: Request,
) -> Result<(String, Lane, String), Early> {
    let words = ask::words(words)?;
    let lane = ask::lane(&words.lane)?;
    ask::tab(&words.tab)?;
    Ok((words.tab, lane, ask::text(request).await?))
}

async fn photo(State(shared): Shares) -> Response {
    let found =
        blocking(move || with_sketch(&shared, |sketch| photo::read(&photo::picture(sketch)))).await;
    match found {
        Err(trouble) => refuse(StatusCode::INTERNAL_SERVER_ERROR, &trouble),
        Ok(None) => nothing().await,
        Ok(Some(bytes)) => match photo::kind(&bytes) {
            Some(kind) => reply::text(StatusCode::OK, kind, bytes),
            None => refuse(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                &Trouble::bare("the guide picture is no JPEG, PNG or WebP"),
            ),
        },
    }
}

async fn put_photo(State(shared): Shares, request: Request) -> Response {
    let bytes = match ask::body(request, ask::PHOTO_BYTES).await {
        Ok(bytes) => bytes,
        Err(early) => return *early,
    };
    if photo::kind(&bytes).is_none() {
        return refuse(
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            &Trouble::new(
                "the guide picture is no JPEG, PNG or WebP",
                "save it as one of these",
            ),
        );
    }
    done(shared, move |sketch| {
        photo::write(&photo::picture(sketch), &bytes)
    })
    .await
}

async fn remove_photo(State(shared): Shares) -> Response {
    done(shared, photo::remove).await
}

async fn place(State(shared): Shares) -> Response {
    let found =
        blocking(move || with_sketch(&shared, |sketch| photo::read(&photo::place(sketch)))).await;
    match found.map(|bytes| bytes.and_then(|bytes| Place::read(&bytes))) {
        Err(trouble) => refuse(StatusCode::INTERNAL_SERVER_ERROR, &trouble),
        Ok(None) => nothing().await,
        Ok(Some(place)) => reply::json(StatusCode::OK, &json!(place)),
    }
}

async fn put_place(State(shared): Shares, request: Request) -> Response {
    let read = ask::body(request, ask::SMALL_BYTES).await.and_then(|bytes| {
        Place::read(&bytes).ok_or_else(|| {
            ask::bad("a placement is `x_m`, `y_m`, `scale_m_per_px` above 0, `angle`, `opacity` from 0 to 1")
        })
    });
    let text = match read {
        Ok(place) => json!(place).to_string(),
        Err(early) => return *early,
    };
    done(shared, move |sketch| {
        photo::write(&photo::place(sketch), text.as_bytes())
    })
    .await
}

/// Work with the files beside the sketch, one after another.
fn with_sketch<T>(shared: &Shared, work: impl FnOnce(&Path) -> T) -> T {
    shared.with_store(|store| work(store.path()))
}

async fn done(
    shared: Arc<Shared>,
    work: impl FnOnce(&Path) -> Result<(), Trouble> + Send + 'static,
) -> Response {
    match blocking(move || with_sketch(&shared, work)).await {
        Ok(()) => reply::json(StatusCode::OK, &json!({"ok": true})),
        Err(trouble) => refuse(StatusCode::INTERNAL_SERVER_ERROR, &trouble),
    }
}

async fn on_disk(
    shared: Arc<Shared>,
    work: impl FnOnce(&mut Store) -> Result<Value, Trouble> + Send + 'static,
) -> Response {
    match blocking(move || shared.with_store(work)).await {
        Ok(told) => reply::json(StatusCode::OK, &told),
        Err(trouble) => refuse(StatusCode::INTERNAL_SERVER_ERROR, &trouble),
    }
}

/// Work with files, beside the thread that serves.
async fn blocking<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Trouble> + Send + 'static,
) -> Result<T, Trouble> {
    spawn_blocking(work).await.unwrap_or_else(|_| {
        Err(Trouble::new(
            "the page failed at this",
            "the fault is the program's; your file is as it was",
        ))
    })
}
