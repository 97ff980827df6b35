//! What a test needs beside the program. Where the machine lacks that, the test is ignored and the
//! summary says why; with `PLYLOOM_PAGE_TESTS=required` it fails, but for Firefox, the second of the browsers.

use std::env;

use libtest_mimic::{Completion, Failed, Trial};

use crate::{alone, browser, checker, firefox, module};

/// What a test cannot do without.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Need {
    /// It asks the server itself.
    Nothing,
    /// Chromium with its driver.
    Browser,
    /// The same with axe-core.
    Axe,
    /// Chromium, and `plyloom.html`.
    File,
    /// Firefox, and `plyloom.html`.
    Firefox,
    /// Node.js, and the core as WebAssembly.
    Module,
}

impl Need {
    /// What the machine lacks, where it lacks something.
    fn lacking(self) -> Option<&'static str> {
        match self {
            Self::Browser | Self::Axe | Self::File if !browser::there_is_one() => {
                Some("no browser")
            }
            Self::Axe if !checker::there_is_one() => Some("no axe-core"),
            Self::Firefox if !firefox::there_is_one() => Some("no Firefox"),
            Self::File | Self::Firefox if !alone::is_there() => Some("no target/web/plyloom.html"),
            Self::Module if !module::is_there() => Some("no module of web/build, or no node"),
            _ => None,
        }
    }

    /// Whether a test fails where this is lacking.
    fn is_required(self) -> bool {
        let required = env::var("PLYLOOM_PAGE_TESTS").is_ok_and(|v| v == "required");
        required && (!matches!(self, Self::Firefox) || firefox::there_is_one())
    }
}

/// One test, under the name that it has in its file.
pub(crate) fn trial(module: &str, name: &str, need: Need, test: fn()) -> Trial {
    let (_, module) = module.split_once("::").expect("a file of this program");
    Trial::ignorable_test(format!("{module}::{name}"), move || match need.lacking() {
        None => {
            test();
            Ok(Completion::Completed)
        }
        Some(what) if need.is_required() => Err(Failed::from(format!(
            "{what}, and PLYLOOM_PAGE_TESTS=required"
        ))),
        Some(what) => Ok(Completion::ignored_with(what)),
    })
}

/// The tests of a file, by what they need. One that is forgotten is code that nothing uses.
macro_rules! trials {
    ($($need:ident: [$($test:ident),+ $(,)?]),+ $(,)?) => {
        pub(crate) fn trials() -> Vec<libtest_mimic::Trial> {
            vec![$($($crate::needs::trial(
                module_path!(),
                stringify!($test),
                $crate::needs::Need::$need,
                $test,
            )),+),+]
        }
    };
}
