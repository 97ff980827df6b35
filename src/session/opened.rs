//! A recipe that was opened: read straight, out of a pack, or through a pinned choice.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::notice::Notice;
use super::open_error::OpenError;
use super::typed::Typed;
use crate::bundle::{Bundle, PackedHost, Verdict, is_pack};
use crate::explore::pinned::{ENDING, Pinned, digest};
use crate::recipe::failure::Failure;
use crate::recipe::host::Host;
use crate::recipe::outcome::Outcome;
use crate::recipe::settings::Settings;
use crate::recipe::source::Source;
use crate::recipe::store::{Print, Reach, ReadError, Store};

/// A recipe, read.
#[derive(Debug, Clone)]
pub struct Opened {
    /// The recipe's own path.
    pub path: PathBuf,
    /// Its text.
    pub source: Arc<Source>,
    /// The choice that named it, where one did.
    pub pinned: Option<Pinned>,
    /// What the file holds, where it is a pack.
    pub bundle: Option<Arc<Bundle>>,
    /// Whether the pack is still what was packed; true for any other recipe.
    intact: bool,
}

/// Whether a path is that of a pinned choice.
pub fn is_choice(path: &Path) -> bool {
    path.extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case(ENDING))
}

impl Opened {
    /// Reads the recipe, the pack or the choice at `path`. A choice reaches for its recipe as far as
    /// `reach` says.
    ///
    /// # Errors
    /// When a text cannot be had, is damaged, or is out of reach.
    pub fn read(path: &Path, reach: Reach, store: &dyn Store) -> Result<Self, OpenError> {
        if !is_choice(path) {
            return Self::of_text(path, store.read(path)?);
        }
        let pinned = Pinned::read(&store.read(path)?).map_err(|error| OpenError::Choice {
            path: path.to_owned(),
            error,
        })?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let recipe = folder.join(&pinned.recipe);
        // What is wrong with a recipe is told with its lines. Of a file that is none, nobody who can
        // write a choice is to see any.
        if recipe.extension().is_none_or(|ending| ending != "rhai") {
            return Err(OpenError::NoRecipe {
                choice: path.to_owned(),
                recipe: pinned.recipe,
            });
        }
        let text = match reach {
            Reach::Anywhere => store.read(&recipe),
            Reach::OwnFolder => store.read_inside(folder, &pinned.recipe),
        };
        let text = text.map_err(|error| match error {
            ReadError::Outside { .. } => OpenError::Beyond {
                choice: path.to_owned(),
                recipe: pinned.recipe.clone(),
            },
            other => other.into(),
        })?;
        Ok(Self {
            pinned: Some(pinned),
            ..Self::of_text(&recipe, text)?
        })
    }

    /// A recipe of this text, packed or not.
    fn of_text(path: &Path, text: String) -> Result<Self, OpenError> {
        let name = path.display().to_string();
        let mut opened = Self {
            path: path.to_owned(),
            source: Arc::new(Source::new(name.as_str(), "")),
            pinned: None,
            bundle: None,
            intact: true,
        };
        if is_pack(&text) {
            let read = Bundle::read(&text).map_err(|error| OpenError::Pack {
                path: path.to_owned(),
                error,
            })?;
            opened.intact = read.verdict != Verdict::Changed;
            opened.source = Arc::new(Source::new(name, read.bundle.recipe.as_str()));
            opened.bundle = Some(Arc::new(read.bundle));
        } else {
            opened.source = Arc::new(Source::new(name, text));
        }
        Ok(opened)
    }

    /// The recipe's name: that of its file without folder and ending, or the one it was packed with.
    pub fn name(&self) -> String {
        match &self.bundle {
            Some(bundle) => bundle.name.clone(),
            None => self
                .path
                .file_stem()
                .map(|stem| stem.to_string_lossy().into_owned())
                .unwrap_or_default(),
        }
    }

    /// Whether the recipe stands in its file as it is, so that its text can be changed there.
    pub fn is_plain(&self) -> bool {
        self.pinned.is_none() && self.bundle.is_none()
    }

    /// Where its modules come from: the pack that it is in, or its own folder.
    pub fn host(&self, store: &dyn Store, print: Print) -> Arc<dyn Host> {
        match &self.bundle {
            Some(bundle) => Arc::new(PackedHost::new(
                Arc::clone(bundle),
                &self.source.name,
                print,
            )),
            None => store.host(&self.path, print),
        }
    }

    /// The same recipe with another text.
    #[must_use]
    pub fn with_text(&self, text: &str) -> Self {
        Self {
            source: Arc::new(Source::new(self.source.name.clone(), text)),
            ..self.clone()
        }
    }

    /// The settings of a run: typed values go before pinned ones, and these before packed ones.
    pub fn settings(&self, typed: Typed) -> Settings {
        let (packed, pinned) = (self.bundle.as_ref(), self.pinned.as_ref());
        let packed_values = packed.iter().flat_map(|p| p.values.iter().cloned());
        let pinned_values = pinned.iter().flat_map(|p| &p.parameters);
        Settings {
            seed: typed
                .seed
                .or(pinned.map(|p| p.seed))
                .or(packed.and_then(|p| p.seed)),
            values: packed_values
                .chain(pinned_values.map(|p| (p.name.clone(), p.value.clone())))
                .collect(),
            set: typed.set,
            budget: typed.budget,
            watch: typed.watch,
            threads: typed.threads,
        }
    }

    /// The notice about the text as it was read, where there is one.
    pub fn notice(&self) -> Option<Notice> {
        (!self.intact).then(|| Notice::PackChanged {
            path: self.path.clone(),
        })
    }

    /// What a maker is to know once it was carried out: whether recipe and modules are those that a
    /// choice was pinned of.
    pub fn notice_of(&self, result: &Result<Outcome, Failure>) -> Option<Notice> {
        let sources = match result {
            Ok(outcome) => &outcome.sources,
            Err(failure) => &failure.sources,
        };
        let pinned = self.pinned.as_ref()?;
        (pinned.recipe_sha256 != digest(sources.iter().map(AsRef::as_ref))).then(|| {
            Notice::ChoiceChanged {
                path: self.path.clone(),
                certain: result.is_ok(),
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::appearance::Look;
    use crate::explore::index::ParameterValue;
    use crate::recipe::evaluate;
    use crate::recipe::memory_store::MemoryStore;
    use crate::recipe::parameter::Value;

    const RECIPE: &str = "let n = param(\"n\", 3, #{ from: 1, to: 9 });\nlet m = param(\"m\", 3, #{ from: 1, to: 9 });\n";

    fn pick(recipe: &str, n: i64) -> String {
        Pinned {
            recipe: recipe.to_owned(),
            recipe_sha256: digest([&Source::new("", RECIPE)]),
            seed: 7,
            parameters: vec![ParameterValue {
                name: "n".to_owned(),
                value: Value::Whole(n),
            }],
            look: Look::default(),
        }
        .text()
    }

    fn pack(n: i64, m: i64) -> String {
        Bundle {
            name: "tray".to_owned(),
            recipe: RECIPE.to_owned(),
            modules: Vec::new(),
            seed: Some(5),
            values: vec![
                ("n".to_owned(), Value::Whole(n)),
                ("m".to_owned(), Value::Whole(m)),
            ],
            program: "0.1.0".to_owned(),
        }
        .text()
        .unwrap()
    }

    fn open(store: &MemoryStore, path: &str) -> Result<Opened, OpenError> {
        Opened::read(Path::new(path), Reach::OwnFolder, store)
    }

    fn run(store: &MemoryStore, opened: &Opened, typed: Typed) -> Result<Outcome, Failure> {
        let host = opened.host(store, Box::new(|_| ()));
        evaluate(&opened.source, &opened.settings(typed), host)
    }

    #[test]
    fn what_is_typed_goes_before_what_is_pinned_and_that_before_what_is_packed() {
        let store = MemoryStore::new()
            .with("a/tray.rhai", pack(4, 5))
            .with("a/tray.pick", pick("tray.rhai", 6));
        let opened = open(&store, "a/tray.pick").unwrap();
        assert_eq!(opened.name(), "tray");
        let values = |typed: Typed| {
            let outcome = run(&store, &opened, typed).unwrap();
            let values = outcome.parameters.iter().map(|p| p.value.to_string());
            (outcome.seed, values.collect::<Vec<_>>())
        };
        let pair = |n: &str, m: &str| vec![n.to_owned(), m.to_owned()];
        assert_eq!(values(Typed::default()), (7, pair("6", "5")));
        let typed = Typed {
            set: vec![("n".to_owned(), "8".to_owned())],
            seed: Some(9),
            ..Typed::default()
        };
        assert_eq!(values(typed), (9, pair("8", "5")));
        let packed = open(&store, "a/tray.rhai").unwrap();
        assert_eq!(packed.settings(Typed::default()).seed, Some(5));
    }

    #[test]
    fn a_change_since_packing_and_pinning_is_noticed() {
        let store = MemoryStore::new()
            .with("tray.rhai", pack(4, 5))
            .with("bad.rhai", pack(4, 5).replace("to: 9", "to: 8"))
            .with("same.rhai", RECIPE)
            .with("new.rhai", format!("{RECIPE}\n"))
            .with("torn.rhai", "let = ;")
            .with("same.pick", pick("same.rhai", 6))
            .with("new.pick", pick("new.rhai", 6))
            .with("torn.pick", pick("torn.rhai", 6));
        assert_eq!(open(&store, "tray.rhai").unwrap().notice(), None);
        let bad = open(&store, "bad.rhai").unwrap();
        assert!(matches!(bad.notice(), Some(Notice::PackChanged { .. })));
        for (path, expected) in [
            ("same.pick", None),
            ("new.pick", Some(true)),
            ("torn.pick", Some(false)),
        ] {
            let opened = open(&store, path).unwrap();
            let result = run(&store, &opened, Typed::default());
            let expected = expected.map(|certain| Notice::ChoiceChanged {
                path: opened.path.clone(),
                certain,
            });
            assert_eq!(opened.notice_of(&result), expected, "{path}");
        }
    }

    #[test]
    fn a_choice_reaches_its_own_folder_and_recipes_only() {
        let store = MemoryStore::new()
            .with("private.rhai", RECIPE)
            .with("etc/passwd", "root:x:0:0")
            .with("a/deep/in.rhai", RECIPE)
            .with("a/up.pick", pick("../private.rhai", 6))
            .with("a/root.pick", pick("/etc/passwd", 6))
            .with("a/notes.txt", "root:x:0:0")
            .with("a/notes.pick", pick("notes.txt", 6))
            .with("a/deep.pick", pick("deep/in.rhai", 6));
        assert!(open(&store, "a/deep.pick").is_ok());
        for (path, code) in [
            ("a/up.pick", "pick::beyond"),
            ("a/root.pick", "pick::no_recipe"),
            ("a/notes.pick", "pick::no_recipe"),
        ] {
            let error = open(&store, path).unwrap_err();
            assert_eq!(error.code(), code, "{error}");
            assert!(!error.to_string().contains("root:"), "{error}");
        }
        let told = Opened::read(Path::new("a/root.pick"), Reach::Anywhere, &store);
        assert_eq!(told.unwrap_err().code(), "pick::no_recipe");
    }
}
