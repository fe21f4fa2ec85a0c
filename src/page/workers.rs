//! The child processes that compute: one for each tab and lane, started when asked, let go when many.
//!
//! A request on the slow lane makes an older one of the same tab stale: the child at work on it is ended. A child that dies
//! takes its one request with it. A request whose asker has gone ends its child too, since its reply would be read as the next
//! one's.

use std::collections::BTreeMap;
use std::process::Stdio;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tokio::io::{AsyncBufReadExt, AsyncWriteExt, BufReader};
use tokio::process::{Child, ChildStdin, ChildStdout, Command};
use tokio::sync::{Mutex as Turn, Semaphore, watch};

use super::trouble::Trouble;

/// Longest that a look or a change is waited for: past this its child does not end any more. Engineering estimate: a system
/// of 10 000 seams takes a second.
const QUICK_PATIENCE: Duration = Duration::from_secs(180);
/// Children at work and idle together.
const MOST_CHILDREN: usize = 8;
/// Children at work on one lane, so that slow work never keeps quick work waiting.
const BUSY_ON_A_LANE: usize = MOST_CHILDREN / 2;
/// Lanes remembered; those without work are forgotten past this.
const MOST_LANES: usize = 64;

/// What kind of work it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lane {
    /// Looks and changes: each is answered, in turn.
    Quick,
    /// Answers: only the newest counts.
    Slow,
}

/// How a request ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// The child's reply.
    Reply(String),
    /// A newer request of the same tab took its place.
    Stale,
    /// There is no answer, and why.
    Failed(Trouble),
}

type Key = (String, Lane);

/// The children.
#[derive(Debug)]
pub struct Workers {
    state: Mutex<State>,
    quick: Semaphore,
    slow: Semaphore,
    /// No children: answered by this very process, which a fault then ends.
    is_alone: bool,
}

#[derive(Debug, Default)]
struct State {
    lanes: BTreeMap<Key, Arc<OneLane>>,
    /// Oldest first.
    idle: Vec<(Key, Worker)>,
    busy: usize,
}

#[derive(Debug)]
struct OneLane {
    turn: Turn<()>,
    newest: watch::Sender<u64>,
}

#[derive(Debug)]
struct Worker {
    /// Ended when let go.
    child: Child,
    input: ChildStdin,
    output: BufReader<ChildStdout>,
}

impl Workers {
    /// No children yet.
    pub fn new() -> Workers {
        Workers {
            state: Mutex::default(),
            quick: Semaphore::new(BUSY_ON_A_LANE),
            slow: Semaphore::new(BUSY_ON_A_LANE),
            is_alone: false,
        }
    }

    /// Without children, for tests that give arbitrary requests.
    pub fn alone() -> Workers {
        Workers {
            is_alone: true,
            ..Workers::new()
        }
    }

    /// Has a request of a tab answered by its child.
    pub async fn ask(&self, tab: &str, lane: Lane, request: &str) -> Answer {
        let key = (tab.to_owned(), lane);
        let at = self.lane(&key);
        if lane == Lane::Quick {
            let _turn = at.turn.lock().await;
            return self.answer(&key, request).await;
        }
        let mut newest = at.newest.subscribe();
        let mut mine = 0;
        at.newest.send_modify(|newest| {
            *newest += 1;
            mine = *newest;
        });
        let answered = async {
            let _turn = at.turn.lock().await;
            self.answer(&key, request).await
        };
        tokio::select! {
            biased;
            // The other future is dropped, and the child with it.
            _ = newest.wait_for(|newest| *newest > mine) => Answer::Stale,
            answer = answered => answer,
        }
    }

    async fn answer(&self, key: &Key, request: &str) -> Answer {
        let lane = match key.1 {
            Lane::Quick => &self.quick,
            Lane::Slow => &self.slow,
        };
        let Ok(_place) = lane.acquire().await else {
            return Answer::Failed(Trouble::bare("the page has been ended"));
        };
        if self.is_alone {
            return Answer::Reply(crate::board::call(request));
        }
        let _busy = self.begin();
        // One that has ended while idle never saw the request.
        let idle = self.idle_of(key).and_then(Worker::if_alive);
        let mut worker = match idle.map_or_else(Worker::start, Ok) {
            Ok(worker) => worker,
            Err(error) => {
                return Answer::Failed(Trouble::new(
                    format!("the computation cannot be started: {error}"),
                    "close other programs and try again",
                ));
            }
        };
        let asked = worker.ask(request);
        let reply = match key.1 {
            Lane::Slow => asked.await,
            Lane::Quick => match tokio::time::timeout(QUICK_PATIENCE, asked).await {
                Ok(reply) => reply,
                // The child is ended with its worker.
                Err(_) => {
                    return Answer::Failed(Trouble::new(
                        "the computation did not come to an end",
                        "the sketch is safe; make the change in smaller parts or in the text",
                    ));
                }
            },
        };
        match reply {
            Some(reply) => {
                self.lock().idle.push((key.clone(), worker));
                Answer::Reply(reply)
            }
            None => Answer::Failed(Trouble::new(
                "the computation ended without an answer",
                "the sketch is safe; undo the last change or make it in another way, and try again",
            )),
        }
    }

    fn lane(&self, key: &Key) -> Arc<OneLane> {
        let mut state = self.lock();
        if state.lanes.len() >= MOST_LANES && !state.lanes.contains_key(key) {
            state.lanes.retain(|_, lane| Arc::strong_count(lane) > 1);
        }
        let lane = state.lanes.entry(key.clone()).or_insert_with(|| {
            Arc::new(OneLane {
                turn: Turn::default(),
                newest: watch::Sender::new(0),
            })
        });
        Arc::clone(lane)
    }

    fn begin(&self) -> Busy<'_> {
        self.lock().busy += 1;
        Busy(self)
    }

    /// The idle child of a tab's lane. The oldest idle ones are let go until there is room for one at work.
    fn idle_of(&self, key: &Key) -> Option<Worker> {
        let mut state = self.lock();
        let found = state.idle.iter().position(|(of, _)| of == key);
        let worker = found.map(|at| state.idle.remove(at).1);
        let most = MOST_CHILDREN.saturating_sub(state.busy);
        let many = state.idle.len().saturating_sub(most);
        state.idle.drain(..many);
        worker
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Counts one at work for as long as it lives.
struct Busy<'a>(&'a Workers);

impl Drop for Busy<'_> {
    fn drop(&mut self) {
        self.0.lock().busy -= 1;
    }
}

impl Worker {
    fn start() -> std::io::Result<Worker> {
        let mut child = Command::new(std::env::current_exe()?)
            .args(["page", "--work"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .kill_on_drop(true)
            .spawn()?;
        let (Some(input), Some(output)) = (child.stdin.take(), child.stdout.take()) else {
            return Err(std::io::Error::other("it has no pipes"));
        };
        Ok(Worker {
            child,
            input,
            output: BufReader::new(output),
        })
    }

    fn if_alive(mut self) -> Option<Worker> {
        matches!(self.child.try_wait(), Ok(None)).then_some(self)
    }

    /// The reply; nothing if the child ended.
    async fn ask(&mut self, request: &str) -> Option<String> {
        // Between the tokens of JSON, where alone they may stand, line ends are blanks.
        let mut line = request.replace(['\n', '\r'], " ");
        line.push('\n');
        self.input.write_all(line.as_bytes()).await.ok()?;
        self.input.flush().await.ok()?;
        let mut reply = String::new();
        self.output.read_line(&mut reply).await.ok()?;
        if reply.pop() != Some('\n') {
            return None;
        }
        Some(reply)
    }
}
