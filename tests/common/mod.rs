//! A bench for the program: files and arguments in, output, errors and exit code out.

#![allow(dead_code, reason = "each test file takes what it needs of it")]

pub(crate) mod bars;
pub(crate) mod kept;
pub(crate) mod tiles;
pub(crate) mod wood;

use std::cell::RefCell;
use std::collections::VecDeque;
use std::fs;
use std::io::{BufRead as _, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

/// Longer than any machine needs; reached only when something never comes.
pub(crate) const LIMIT: Duration = Duration::from_secs(90);

/// A folder of its own with some files, in which the program is run.
pub(crate) struct Bench {
    folder: tempfile::TempDir,
}

/// What one run left behind.
#[derive(Debug)]
pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Bench {
    pub(crate) fn new() -> Self {
        Self {
            folder: tempfile::tempdir().expect("a folder for the test"),
        }
    }

    /// Adds a file, and the folders on the way to it.
    pub(crate) fn file(self, name: &str, content: impl AsRef<[u8]>) -> Self {
        self.write(name, content);
        self
    }

    pub(crate) fn write(&self, name: &str, content: impl AsRef<[u8]>) {
        let path = self.path(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("folders");
        fs::write(path, content).expect("a file");
    }

    /// Saves as many editors do: writes a neighbour and renames it.
    pub(crate) fn save_by_rename(&self, name: &str, content: impl AsRef<[u8]>) {
        let neighbour = format!("{name}~");
        self.write(&neighbour, content);
        fs::rename(self.path(&neighbour), self.path(name)).expect("a rename");
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    /// Names of the files in a folder, sorted.
    pub(crate) fn names(&self, folder: &str) -> Vec<String> {
        names(&self.path(folder))
    }

    pub(crate) fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_plyloom"));
        command
            .args(arguments)
            .current_dir(self.folder.path())
            .env_remove("NO_COLOR")
            .env_remove("COLUMNS")
            .stdin(Stdio::null());
        command
    }

    pub(crate) fn run(&self, arguments: &[&str]) -> Ran {
        Ran::of(&self.command(arguments).output().expect("the program runs"))
    }

    /// Starts the program and reads its lines as they come.
    pub(crate) fn start(&self, arguments: &[&str]) -> Running {
        let mut child = self
            .command(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program runs");
        let out = child.stdout.take().expect("its output");
        let err = child.stderr.take().expect("its errors");
        let (sender, lines) = channel();
        for stream in [Box::new(out) as Box<dyn Read + Send>, Box::new(err)] {
            let sender = sender.clone();
            thread::spawn(move || {
                for line in BufReader::new(stream).lines().map_while(Result::ok) {
                    if sender.send(line).is_err() {
                        break;
                    }
                }
            });
        }
        Running {
            child,
            lines,
            early: RefCell::default(),
        }
    }
}

impl Ran {
    pub(crate) fn of(output: &Output) -> Self {
        Self {
            code: output.status.code().unwrap_or(-1),
            out: String::from_utf8_lossy(&output.stdout).into_owned(),
            err: String::from_utf8_lossy(&output.stderr).into_owned(),
        }
    }

    /// Holds that the run ended so, and shows it whole if not.
    #[track_caller]
    pub(crate) fn ended(&self, code: i32) -> &Self {
        assert_eq!(self.code, code, "{self:#?}");
        self
    }

    #[track_caller]
    pub(crate) fn out_has(&self, text: &str) -> &Self {
        assert!(
            self.out.contains(text),
            "no `{text}` in the output of {self:#?}"
        );
        self
    }

    #[track_caller]
    pub(crate) fn err_has(&self, text: &str) -> &Self {
        assert!(
            self.err.contains(text),
            "no `{text}` in the errors of {self:#?}"
        );
        self
    }
}

/// A program that goes on.
pub(crate) struct Running {
    child: Child,
    lines: Receiver<String>,
    /// Lines that came before one that was waited for, and may still be waited for.
    early: RefCell<VecDeque<String>>,
}

impl Running {
    /// Waits for a line that holds `text`, and gives all the lines up to it.
    #[track_caller]
    pub(crate) fn until(&self, text: &str) -> Vec<String> {
        let mut seen = Vec::new();
        loop {
            let early = self.early.borrow_mut().pop_front();
            match early.map_or_else(|| self.lines.recv_timeout(LIMIT), Ok) {
                Ok(line) => {
                    let found = line.contains(text);
                    seen.push(line);
                    if found {
                        return seen;
                    }
                }
                Err(why) => panic!("`{text}` never came ({why}); there was {seen:#?}"),
            }
        }
    }

    /// Waits for a line that holds `text`, and gives it. The lines before it can still be waited for:
    /// what is printed and what is told come by two ways, and either can be first.
    #[track_caller]
    pub(crate) fn first(&self, text: &str) -> String {
        let mut lines = self.until(text);
        let line = lines.pop().expect("the line itself");
        self.early.borrow_mut().extend(lines);
        line
    }

    /// Presses Ctrl-C, and gives the exit code.
    #[cfg(unix)]
    pub(crate) fn interrupt(mut self) -> i32 {
        let id = self.child.id().to_string();
        let sent = Command::new("kill").args(["-INT", &id]).status();
        assert!(sent.expect("kill").success());
        self.child
            .wait()
            .expect("the program ends")
            .code()
            .unwrap_or(-1)
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub(crate) fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    let mut names: Vec<String> = entries
        .map(|e| {
            e.expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}
