//! A file that only grows, a line for each piece of work that is done: what an interrupted run left.
//!
//! The last line may be torn when the power fails or the disk is full. Whoever reads leaves out a
//! last line without its end; whoever goes on cuts it off first.

use std::fs::{File, OpenOptions};
use std::io::{Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

use super::error::FileError;

/// A journal that lines are added to.
#[derive(Debug)]
pub struct Journal {
    path: PathBuf,
    file: File,
    length: u64,
}

impl Journal {
    /// Opens a journal and gives the lines that are in it whole; begins one where there is none.
    ///
    /// # Errors
    /// When it can neither be read nor begun, or is longer than `most` bytes.
    pub fn open(path: &Path, most: u64) -> Result<(Self, Vec<String>), FileError> {
        let trouble = |error| FileError::writing(path, error);
        let mut file = OpenOptions::new()
            .create(true)
            .truncate(false)
            .read(true)
            .write(true)
            .open(path)
            .map_err(trouble)?;
        let mut bytes = Vec::new();
        (&mut file)
            .take(most.saturating_add(1))
            .read_to_end(&mut bytes)
            .map_err(trouble)?;
        if bytes.len() as u64 > most {
            return Err(FileError::TooLong {
                path: path.to_owned(),
                most,
            });
        }
        let whole = bytes.iter().rposition(|&b| b == b'\n').map_or(0, |i| i + 1);
        let lines = String::from_utf8_lossy(&bytes[..whole])
            .lines()
            .map(str::to_owned)
            .collect();
        let mut journal = Self {
            path: path.to_owned(),
            file,
            length: whole as u64,
        };
        journal.cut().map_err(trouble)?;
        Ok((journal, lines))
    }

    /// Adds a line.
    ///
    /// # Errors
    /// When the disk is full or gone. The lines before it stay whole.
    pub fn add(&mut self, line: &str) -> Result<(), FileError> {
        let text = format!("{line}\n");
        match self.file.write_all(text.as_bytes()) {
            Ok(()) => {
                self.length += text.len() as u64;
                Ok(())
            }
            Err(error) => {
                // When not even this works, the next run cuts the torn line off.
                let _ = self.cut();
                Err(FileError::writing(&self.path, error))
            }
        }
    }

    /// Makes what was added safe against a power cut, where the system can.
    pub fn settle(&self) {
        let _ = self.file.sync_data();
    }

    /// Leaves the whole lines alone in the file.
    fn cut(&mut self) -> std::io::Result<()> {
        self.file.set_len(self.length)?;
        self.file.seek(SeekFrom::Start(self.length)).map(|_| ())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn lines_come_back_and_a_torn_one_does_not() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("j");
        let (mut journal, lines) = Journal::open(&path, 1000).unwrap();
        assert!(lines.is_empty());
        journal.add("one").unwrap();
        journal.add("two").unwrap();
        drop(journal);
        fs::write(&path, "one\ntwo\nthr").unwrap();
        let (mut journal, lines) = Journal::open(&path, 1000).unwrap();
        assert_eq!(lines, ["one", "two"]);
        journal.add("three").unwrap();
        journal.settle();
        assert_eq!(fs::read_to_string(&path).unwrap(), "one\ntwo\nthree\n");
        assert!(matches!(
            Journal::open(&path, 5),
            Err(FileError::TooLong { .. })
        ));
    }
}
