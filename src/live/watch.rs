//! Runs a job again whenever a file that its last run read has changed.
//!
//! The system's notices about folders only say when to look: what counts is whether a file differs
//! from the one that the run saw. So a needless notice costs one look, and a notice that never
//! comes (a network drive, a full table of watches) costs half a second. Folders are watched, not
//! files, as an editor that saves by renaming replaces the file that would be watched.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::{Duration, Instant};

use notify::event::{AccessKind, AccessMode, ModifyKind, RenameMode};
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher as _};

use crate::files::{FileStamp, Identity, folders_to_watch};

/// One save is over when nothing has happened for this long.
const QUIET: Duration = Duration::from_millis(20);
/// A folder in which something happens all the time is looked at after this long.
const PATIENCE: Duration = Duration::from_millis(200);
/// How long a file may be gone or empty in the middle of a save.
const SAVE: Duration = Duration::from_millis(500);
/// How often to look without having been told.
const ROUND: Duration = Duration::from_millis(500);

/// Why the job runs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cause {
    /// The first run.
    Start,
    /// These files look different from what the last run saw.
    Changed(Vec<PathBuf>),
    /// Somebody asked for a run; no file has changed.
    Asked,
}

impl Cause {
    /// The two changes together, where the run for the first was recalled.
    fn and(self, later: Self) -> Self {
        match (self, later) {
            (Self::Changed(mut paths), Self::Changed(later)) => {
                paths.extend(later);
                paths.sort();
                paths.dedup();
                Self::Changed(paths)
            }
            (Self::Asked | Self::Start, Self::Changed(paths))
            | (Self::Changed(paths), Self::Asked | Self::Start) => Self::Changed(paths),
            (Self::Start, _) | (_, Self::Start) => Self::Start,
            (Self::Asked, Self::Asked) => Self::Asked,
        }
    }
}

/// What came of one run of the job.
#[derive(Debug)]
pub struct Ran {
    /// What it read, and what it saw there.
    pub witnesses: Vec<FileStamp>,
    /// Whether it was ended before its time, because something newer was wanted: it runs again.
    pub recalled: bool,
}

impl From<Vec<FileStamp>> for Ran {
    /// A run that came to its own end.
    fn from(witnesses: Vec<FileStamp>) -> Self {
        Self {
            witnesses,
            recalled: false,
        }
    }
}

/// Watches the files of one job.
#[derive(Debug)]
pub struct FileWatch {
    signals: Receiver<Signal>,
    stopped: Arc<AtomicBool>,
    bell: Result<RecommendedWatcher, notify::Error>,
    watched: BTreeMap<PathBuf, Identity>,
    asked: bool,
    save: Duration,
}

/// Ends a [`FileWatch`] from anywhere.
#[derive(Debug, Clone)]
pub struct Stop {
    stopped: Arc<AtomicBool>,
    signals: Sender<Signal>,
}

#[derive(Debug)]
enum Signal {
    /// Something happened in a watched folder.
    Bell,
    /// This path is gone: if it was watched, it no longer is.
    Gone(PathBuf),
    /// Run the job.
    Ask,
    /// Look whether to stop.
    Stop,
}

impl Stop {
    /// Asks for a run though no file has changed. Of several that come while the job is at work, one
    /// more run is made.
    pub fn ask(&self) {
        // As below.
        let _ = self.signals.send(Signal::Ask);
    }

    /// Whether the watch is to end.
    pub fn is_stopped(&self) -> bool {
        self.stopped.load(Ordering::SeqCst)
    }

    /// Ends the watch as soon as a run in progress is over.
    pub fn stop(&self) {
        self.stopped.store(true, Ordering::SeqCst);
        // A send fails when the watch is already over, which does no harm.
        let _ = self.signals.send(Signal::Stop);
    }
}

impl FileWatch {
    /// A watch, and what ends it.
    pub fn new() -> (Self, Stop) {
        let (sender, signals) = channel();
        let stopped = Arc::new(AtomicBool::new(false));
        let stop = Stop {
            stopped: Arc::clone(&stopped),
            signals: sender.clone(),
        };
        let bell = notify::recommended_watcher(move |event| {
            for signal in heard(event) {
                // As above.
                let _ = sender.send(signal);
            }
        });
        let watch = Self {
            signals,
            stopped,
            bell,
            watched: BTreeMap::new(),
            asked: false,
            save: SAVE,
        };
        (watch, stop)
    }

    /// Why the system gives no notices, when it does not: changes are then seen with a delay.
    pub fn slow_because(&self) -> Option<String> {
        self.bell.as_ref().err().map(ToString::to_string)
    }

    /// Runs `job` now and after every change of the files that it says it read, until stopped.
    pub fn run(mut self, mut job: impl FnMut(&Cause) -> Ran) {
        let mut cause = Cause::Start;
        loop {
            let Ran {
                witnesses,
                recalled,
            } = job(&cause);
            // Watch first, then look: nothing can change unseen between the two.
            self.watch_folders(&witnesses);
            let at_once = recalled || witnesses.iter().any(FileStamp::differs);
            let mut changed = if at_once {
                self.changed(&witnesses)
            } else {
                Vec::new()
            };
            while changed.is_empty() && !self.asked && !recalled {
                if self.is_stopped() {
                    return;
                }
                changed = self.next_change(&witnesses);
                self.watch_folders(&witnesses);
            }
            if self.is_stopped() {
                return;
            }
            self.asked = false;
            let next = if changed.is_empty() {
                Cause::Asked
            } else {
                Cause::Changed(changed)
            };
            cause = if recalled { cause.and(next) } else { next };
        }
    }

    fn is_stopped(&self) -> bool {
        self.stopped.load(Ordering::SeqCst)
    }

    /// Waits for a notice or for the next round, and tells what changed.
    fn next_change(&mut self, witnesses: &[FileStamp]) -> Vec<PathBuf> {
        let heard = self.hear(ROUND);
        // A run that was asked for need not wait until the folder is quiet.
        if !self.asked && (heard || witnesses.iter().any(FileStamp::marks_differ)) {
            self.changed(witnesses)
        } else {
            Vec::new()
        }
    }

    /// What has changed, once a save that may be in progress is over.
    fn changed(&mut self, witnesses: &[FileStamp]) -> Vec<PathBuf> {
        self.settle(QUIET);
        let end = Instant::now() + self.save;
        while !self.is_stopped()
            && Instant::now() < end
            && witnesses.iter().any(FileStamp::half_saved)
        {
            self.hear(QUIET);
        }
        let changed = witnesses.iter().filter(|witness| witness.differs());
        changed.map(|witness| witness.path.clone()).collect()
    }

    /// Hears signals until none has come for `quiet`.
    fn settle(&mut self, quiet: Duration) {
        let end = Instant::now() + PATIENCE;
        while !self.is_stopped() && Instant::now() < end && self.hear(quiet) {}
    }

    /// Whether a signal came within `limit`.
    fn hear(&mut self, limit: Duration) -> bool {
        match self.signals.recv_timeout(limit) {
            Ok(Signal::Gone(path)) => {
                self.watched.remove(&path);
                true
            }
            Ok(Signal::Ask) => {
                self.asked = true;
                true
            }
            Ok(Signal::Bell | Signal::Stop) => true,
            Err(RecvTimeoutError::Timeout) => false,
            // No watcher and no stop is left that could send: the regular looks go on.
            Err(RecvTimeoutError::Disconnected) => {
                std::thread::sleep(limit);
                false
            }
        }
    }

    /// Watches the folders of `witnesses` and no others.
    fn watch_folders(&mut self, witnesses: &[FileStamp]) {
        let Ok(bell) = &mut self.bell else {
            return;
        };
        let wanted = folders_to_watch(witnesses);
        self.watched.retain(|folder, identity| {
            let keep = wanted.get(folder) == Some(identity);
            if !keep {
                // It may be gone already, and its watch with it.
                let _ = bell.unwatch(folder);
            }
            keep
        });
        for (folder, identity) in wanted {
            // Where a watch is refused, the regular looks see the change.
            if !self.watched.contains_key(&folder)
                && bell.watch(&folder, RecursiveMode::NonRecursive).is_ok()
            {
                self.watched.insert(folder, identity);
            }
        }
    }
}

/// The signals for a notice. Reading a file gives none, or each look would lead to another.
fn heard(event: notify::Result<Event>) -> Vec<Signal> {
    let Ok(event) = event else {
        return vec![Signal::Bell];
    };
    match event.kind {
        EventKind::Access(AccessKind::Close(AccessMode::Write)) => vec![Signal::Bell],
        EventKind::Access(_) => Vec::new(),
        EventKind::Remove(_) | EventKind::Modify(ModifyKind::Name(RenameMode::From)) => {
            event.paths.into_iter().map(Signal::Gone).collect()
        }
        _ => vec![Signal::Bell],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::read_recipe;
    use std::fs;
    use std::thread;

    /// Longer than any machine needs; reached only when a change goes unseen.
    const LIMIT: Duration = Duration::from_mins(1);

    /// A watch on `main.rhai` in a folder of its own; what each run read comes out of `seen`.
    struct Scene {
        folder: tempfile::TempDir,
        seen: Receiver<Option<String>>,
        stop: Stop,
        thread: Option<thread::JoinHandle<()>>,
    }

    impl Scene {
        fn new(text: &str) -> Self {
            let folder = tempfile::tempdir().unwrap();
            let path = folder.path().join("main.rhai");
            fs::write(&path, text).unwrap();
            let (tell, seen) = channel();
            let (watch, stop) = FileWatch::new();
            let thread = thread::spawn(move || {
                watch.run(|_| {
                    let (source, witness) = read_recipe(&path);
                    let _ = tell.send(source.ok().map(|s| s.text.clone()));
                    vec![witness].into()
                });
            });
            let scene = Self {
                folder,
                seen,
                stop,
                thread: Some(thread),
            };
            scene.until(Some(text));
            scene
        }

        fn path(&self, name: &str) -> PathBuf {
            self.folder.path().join(name)
        }

        /// Waits until a run has read `text`; runs in between may have seen anything.
        fn until(&self, text: Option<&str>) {
            while self
                .seen
                .recv_timeout(LIMIT)
                .expect("a run after a change")
                .as_deref()
                != text
            {}
        }
    }

    impl Drop for Scene {
        fn drop(&mut self) {
            self.stop.stop();
            if let Some(thread) = self.thread.take() {
                thread.join().unwrap();
            }
        }
    }

    #[test]
    fn a_write_in_place_is_seen() {
        let scene = Scene::new("one");
        fs::write(scene.path("main.rhai"), "two").unwrap();
        scene.until(Some("two"));
    }

    #[test]
    fn a_save_in_place_that_is_seen_half_done_is_waited_for() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("main.rhai");
        fs::write(&path, "one").unwrap();
        let (tell, seen) = channel();
        let (mut watch, stop) = FileWatch::new();
        watch.save = LIMIT;
        let of_run = path.clone();
        let thread = thread::spawn(move || {
            watch.run(|cause| {
                let (source, witness) = read_recipe(&of_run);
                if *cause == Cause::Start {
                    // An editor begins to save just before the watch looks.
                    fs::write(&of_run, "").unwrap();
                }
                tell.send(source.unwrap().text.clone()).unwrap();
                vec![witness].into()
            });
        });
        assert_eq!(seen.recv_timeout(LIMIT).unwrap(), "one");
        assert_eq!(seen.recv_timeout(ROUND).ok(), None, "a run of half a save");
        fs::write(&path, "two").unwrap();
        assert_eq!(seen.recv_timeout(LIMIT).unwrap(), "two");
        stop.stop();
        thread.join().unwrap();
    }

    #[test]
    fn a_file_that_stays_empty_is_told() {
        let scene = Scene::new("one");
        fs::write(scene.path("main.rhai"), "").unwrap();
        scene.until(Some(""));
    }

    #[test]
    fn a_save_by_rename_is_seen_time_and_again() {
        let scene = Scene::new("one");
        for text in ["two", "three", "four", "five"] {
            fs::write(scene.path("new~"), text).unwrap();
            fs::rename(scene.path("new~"), scene.path("main.rhai")).unwrap();
            scene.until(Some(text));
        }
    }

    #[test]
    fn deletion_and_return_are_seen() {
        let scene = Scene::new("one");
        fs::remove_file(scene.path("main.rhai")).unwrap();
        scene.until(None);
        fs::write(scene.path("main.rhai"), "one").unwrap();
        scene.until(Some("one"));
    }

    #[test]
    fn the_whole_folder_may_go_and_come_back() {
        let scene = Scene::new("one");
        fs::remove_dir_all(scene.folder.path()).unwrap();
        scene.until(None);
        fs::create_dir(scene.folder.path()).unwrap();
        fs::write(scene.path("main.rhai"), "two").unwrap();
        scene.until(Some("two"));
        fs::write(scene.path("main.rhai"), "three").unwrap();
        scene.until(Some("three"));
    }

    #[cfg(unix)]
    #[test]
    fn the_file_behind_a_link_is_seen() {
        let scene = Scene::new("one");
        let elsewhere = tempfile::tempdir().unwrap();
        let real = elsewhere.path().join("real.rhai");
        fs::write(&real, "two").unwrap();
        fs::remove_file(scene.path("main.rhai")).unwrap();
        std::os::unix::fs::symlink(&real, scene.path("main.rhai")).unwrap();
        scene.until(Some("two"));
        fs::write(&real, "three").unwrap();
        scene.until(Some("three"));
    }

    #[test]
    fn who_asks_gets_a_run_without_a_change() {
        let scene = Scene::new("one");
        for _ in 0..3 {
            scene.stop.ask();
            assert_eq!(
                scene.seen.recv_timeout(LIMIT).unwrap().as_deref(),
                Some("one")
            );
        }
    }

    #[test]
    fn a_recalled_run_is_made_again_for_the_same_cause() {
        let (watch, stop) = FileWatch::new();
        let mut causes = Vec::new();
        watch.run(|cause| {
            causes.push(cause.clone());
            let recalled = causes.len() < 3;
            if !recalled {
                stop.stop();
            }
            Ran {
                witnesses: Vec::new(),
                recalled,
            }
        });
        assert_eq!(causes, [Cause::Start, Cause::Start, Cause::Start]);
    }

    #[test]
    fn causes_of_recalled_runs_add_up() {
        let changed = |names: &[&str]| Cause::Changed(names.iter().map(PathBuf::from).collect());
        assert_eq!(changed(&["a"]).and(Cause::Asked), changed(&["a"]));
        assert_eq!(Cause::Start.and(changed(&["a"])), changed(&["a"]));
        assert_eq!(
            changed(&["b", "a"]).and(changed(&["a"])),
            changed(&["a", "b"])
        );
        assert_eq!(Cause::Asked.and(Cause::Asked), Cause::Asked);
    }

    #[test]
    fn a_neighbour_is_no_change() {
        let scene = Scene::new("one");
        fs::write(scene.path("other.txt"), "x").unwrap();
        fs::write(scene.path("new~"), "two").unwrap();
        fs::rename(scene.path("new~"), scene.path("main.rhai")).unwrap();
        assert_eq!(
            scene.seen.recv_timeout(LIMIT).unwrap().as_deref(),
            Some("two")
        );
    }
}
