//! `plyloom unpack`: the recipe back from a picture or a pack.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::ValueHint;

use super::cli_error::CliError;
use super::terminal::{print, tell};
use crate::appearance::Look;
use crate::bundle::{Bundle, Read, Verdict, from_picture, is_pack};
use crate::explore::link::{Link, LinkRead, is_link};
use crate::files::{FileError, exists, make_folder, read_bytes_up_to, write_inside};
use crate::session::OpenError;
use crate::session::unpacked::files;
use crate::session::visible::{on_one_line, shown_path};

/// The largest picture that is read, in bytes.
const MOST_BYTES: u64 = 512 * 1024 * 1024;

/// Get the recipe back from a picture, a packed recipe or a link
#[derive(Debug, Args)]
#[command(
    long_about = "Get the recipe and its rule modules out of an svg drawing, a png picture, a \
                  packed recipe or a link. The values that were set come as a pinned choice, \
                  NAME.pick. It checks the hash, writes nothing outside the folder, and replaces no \
                  file without --overwrite.",
    after_help = "Examples:\n  plyloom unpack tray.svg --out theirs\n  \
                  plyloom unpack tray.png --list\n  plyloom unpack tray.packed.rhai --overwrite\n  \
                  plyloom unpack \"plyloom.html#p1.eNp...\" --out theirs"
)]
pub(super) struct UnpackArgs {
    /// An svg drawing, a png picture, a packed recipe, or a link in quotation marks
    #[arg(value_name = "FILE", value_hint = ValueHint::FilePath)]
    file: PathBuf,

    /// Write to this folder instead of the current one; it is made if it does not exist
    #[arg(long, short, value_name = "DIR", value_hint = ValueHint::DirPath)]
    out: Option<PathBuf>,

    /// Replace existing files
    #[arg(long)]
    overwrite: bool,

    /// Unpack it even if it was changed after it was packed
    #[arg(long)]
    changed: bool,

    /// List what is in it, and write nothing
    #[arg(long)]
    list: bool,
}

pub(super) fn run(args: &UnpackArgs) -> Result<(), CliError> {
    let (Read { bundle, verdict }, look) = read(&args.file)?;
    let files = files(&bundle, look);
    if args.list {
        return print(&listed(&bundle, verdict, &files));
    }
    match verdict {
        Verdict::Exact => {}
        Verdict::Respaced => tell("only its line ends were changed on the way\n"),
        Verdict::Changed if args.changed => {
            tell("it was changed after it was packed\n");
        }
        Verdict::Changed => {
            return Err(CliError::Data {
                code: "bundle::changed",
                message: format!(
                    "the recipe in {} was changed after it was packed: its hash does not agree",
                    shown(&args.file)
                ),
                help: "ask for it again, or unpack it anyway with `--changed`".to_owned(),
            });
        }
    }
    let folder = args.out.clone().unwrap_or_else(|| PathBuf::from("."));
    if let Some(there) = files
        .iter()
        .map(|(name, _)| folder.join(name))
        .find(|path| exists(path) && !args.overwrite)
    {
        return Err(FileError::Exists { path: there }.into())
            .map_err(|trouble: CliError| told_how(&trouble));
    }
    make_folder(&folder)?;
    for (name, text) in &files {
        write_inside(&folder, Path::new(name), text.as_bytes(), args.overwrite)?;
    }
    print(&told(&bundle, &folder, &files))
}

/// What a file or a link holds, and how it is looked at.
fn read(file: &Path) -> Result<(Read, Look), CliError> {
    if let Some(link) = file.to_str().filter(|text| is_link(text) && !exists(file)) {
        let LinkRead { link, verdict } = Link::read(link).map_err(|error| CliError::Data {
            code: error.code(),
            message: error.to_string(),
            help: error.help().to_owned(),
        })?;
        let bundle = link.bundle;
        return Ok((Read { bundle, verdict }, link.look));
    }
    let bytes = read_bytes_up_to(file, MOST_BYTES)?;
    let read = match std::str::from_utf8(&bytes) {
        Ok(text) if is_pack(text) && !text.trim_start().starts_with('<') => {
            Bundle::read(text.strip_prefix('\u{feff}').unwrap_or(text))
        }
        _ if file.extension().is_some_and(|e| e == "rhai") => {
            Err(crate::bundle::BundleError::NoPack)
        }
        _ => from_picture(&bytes),
    };
    let read = read.map_err(|error| OpenError::Pack {
        path: file.to_owned(),
        error,
    })?;
    Ok((read, Look::default()))
}

/// What was read, in a message: a link is too long to be repeated.
fn shown(file: &Path) -> String {
    if file.to_str().is_some_and(is_link) {
        "the link".to_owned()
    } else {
        format!("`{}`", file.display())
    }
}

/// A file in the way, with the ways out that this command has.
fn told_how(trouble: &CliError) -> CliError {
    CliError::Data {
        code: "file::exists",
        message: trouble.to_string(),
        help: "choose another folder with `--out`, or replace it with `--overwrite`".to_owned(),
    }
}

fn told(bundle: &Bundle, folder: &Path, files: &[(String, String)]) -> String {
    let shown = |name: &str| shown_path(&folder.join(name));
    let mut text = String::new();
    for (name, _) in files {
        let _ = writeln!(text, "written   {}", shown(name));
    }
    let _ = writeln!(text, "sha256    {}", bundle.sha256());
    let last = files.last().map_or("", |(name, _)| name);
    let start = if Path::new(last).extension().is_some_and(|e| e == "pick") {
        last
    } else {
        files.first().map_or("", |(name, _)| name)
    };
    let _ = writeln!(text, "see it with  plyloom preview {}", shown(start));
    text
}

fn listed(bundle: &Bundle, verdict: Verdict, files: &[(String, String)]) -> String {
    let mut text = String::new();
    for (name, content) in files {
        let lines = content.lines().count();
        let _ = writeln!(text, "holds     {} ({lines} lines)", on_one_line(name));
    }
    if let Some(seed) = bundle.seed {
        let _ = writeln!(text, "seed      {seed}");
    }
    for (name, value) in &bundle.values {
        let value = serde_json::to_string(value).unwrap_or_default();
        let _ = writeln!(
            text,
            "set       {} = {}",
            on_one_line(name),
            on_one_line(&value)
        );
    }
    let _ = writeln!(text, "made by   Plyloom {}", on_one_line(&bundle.program));
    let agrees = match verdict {
        Verdict::Exact => "as it was packed",
        Verdict::Respaced => "as it was packed, except for line ends",
        Verdict::Changed => "changed since it was packed",
    };
    let _ = writeln!(text, "sha256    {} ({agrees})", bundle.sha256());
    text
}
