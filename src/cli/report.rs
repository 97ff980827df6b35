//! The message of a failure for the maker: what is wrong, where, what to try.
//!
//! On a terminal with colours and lines; elsewhere in plain ASCII frames without wrapping, so that
//! a message stays on one line and can be searched for. Every place is given as file, line and
//! column, both counted from 1, columns in characters.

use std::fmt::{self, Write as _};

use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError,
    MietteSpanContents, Severity, SourceCode, SourceSpan, SpanContents,
};

use super::cli_error::{CliError, recipe_help};
use super::stream::Stream;
use crate::recipe::failure::Failure;
use crate::recipe::source::Location;
use crate::recipe::words;
use crate::session::excerpt::{Spot, lines};
use crate::session::visible::{on_one_line, visible};

/// How many calls of a trace are shown.
const MOST_CALLS: usize = 8;
/// An error as text of several lines, each ended.
pub(super) fn render(trouble: &CliError, look: Stream) -> String {
    match trouble {
        CliError::Recipe(failure) => render_failure(failure, look),
        other => render_finding(
            &CodedMessage {
                code: other.code(),
                message: visible(&other.to_string()),
                help: other.help().as_deref().map(visible),
                excerpt: None,
            },
            look,
        ),
    }
}

/// A recipe's failure as text of several lines, each ended.
pub(super) fn render_failure(failure: &Failure, look: Stream) -> String {
    let label = failure.label.as_deref().map(on_one_line);
    let finding = CodedMessage {
        code: failure.code,
        message: visible(&failure.message),
        help: recipe_help(failure).as_deref().map(visible),
        excerpt: failure.place.as_ref().map(|p| Excerpt::of(p, label)),
    };
    let mut text = render_finding(&finding, look);
    if let Some(word) = words::in_question(failure) {
        let _ = writeln!(text, "  see: plyloom words {word}");
    }
    for place in failure.inside.iter().take(MOST_CALLS) {
        text.push_str(&line_of(place, "inside it at", "", look));
    }
    for (place, called) in failure.trace.iter().take(MOST_CALLS) {
        let called = format!(" ({})", on_one_line(called));
        text.push_str(&line_of(place, "called from", &called, look));
    }
    let more = failure.trace.len().saturating_sub(MOST_CALLS);
    if more > 0 {
        let _ = writeln!(text, "  and {more} more calls");
    }
    text
}

fn render_finding(finding: &CodedMessage, look: Stream) -> String {
    let theme = match look {
        Stream { colour: true, .. } => GraphicalTheme::unicode(),
        Stream { terminal: true, .. } => GraphicalTheme::unicode_nocolor(),
        Stream { .. } => GraphicalTheme::none(),
    };
    let handler = GraphicalReportHandler::new_themed(theme)
        .with_width(look.width)
        .with_wrap_lines(look.terminal)
        .with_links(false)
        .with_context_lines(1);
    let mut text = String::new();
    handler
        .render_report(&mut text, finding)
        .expect("invariant: an excerpt's span lies inside it");
    text
}

/// A place beside the one to blame, and its line.
fn line_of(place: &Location, lead: &str, called: &str, look: Stream) -> String {
    let excerpt = Excerpt::of(place, None);
    let Spot { name, line, column } = &excerpt.spot;
    let bar = if look.terminal { '│' } else { '|' };
    format!(
        "  {lead} {name}:{line}:{column}{called}\n    {line} {bar} {}\n",
        excerpt.line().trim_end(),
    )
}

/// What miette is given.
#[derive(Debug)]
struct CodedMessage {
    code: &'static str,
    message: String,
    help: Option<String>,
    excerpt: Option<Excerpt>,
}

impl fmt::Display for CodedMessage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for CodedMessage {}

impl Diagnostic for CodedMessage {
    fn code<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        Some(Box::new(self.code))
    }

    fn severity(&self) -> Option<Severity> {
        Some(Severity::Error)
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.help
            .as_ref()
            .map(|help| Box::new(help) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.excerpt.as_ref().map(|e| e as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let excerpt = self.excerpt.as_ref()?;
        let label = LabeledSpan::new_primary_with_span(excerpt.label.clone(), excerpt.span);
        Some(Box::new(std::iter::once(label)))
    }
}

/// The lines around a place. Lines farther off are there, and empty: line numbers stay right.
#[derive(Debug)]
struct Excerpt {
    spot: Spot,
    text: String,
    span: SourceSpan,
    label: Option<String>,
}

impl Excerpt {
    fn of(place: &Location, label: Option<String>) -> Self {
        let spot = Spot::of(place);
        let lines = lines(place, 1);
        let first = lines.first().map_or(1, |line| line.number);
        let mut text = "\n".repeat(first - 1);
        let mut span = 0..0;
        for line in &lines {
            if line.number > first {
                text.push('\n');
            }
            text.push_str(&line.before);
            if line.number == spot.line {
                span = text.len()..text.len() + line.at.len();
            }
            text.push_str(&line.at);
            text.push_str(&line.after);
        }
        // Nothing follows the last line.
        while text.ends_with('\n') && text.len() > span.end {
            text.pop();
        }
        Self {
            spot,
            text,
            span: (span.start, span.end - span.start).into(),
            label,
        }
    }

    /// The line of the place.
    fn line(&self) -> &str {
        self.text.split('\n').nth(self.spot.line - 1).unwrap_or("")
    }
}

impl SourceCode for Excerpt {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let found = self.text.read_span(span, before, after)?;
        // The library counts columns in bytes.
        let column = if before == 0 {
            self.spot.column - 1
        } else {
            found.column()
        };
        Ok(Box::new(MietteSpanContents::new_named(
            self.spot.name.clone(),
            found.data(),
            *found.span(),
            found.line(),
            column,
            found.line_count(),
        )))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::kind::Kind;
    use crate::recipe::source::Source;
    use std::sync::Arc;

    const PLAIN: Stream = Stream {
        colour: false,
        terminal: false,
        width: 80,
    };

    fn failure(text: &str, at: &str) -> Failure {
        let source = Arc::new(Source::new("demo.rhai", text));
        let start = text.find(at).unwrap();
        Failure {
            code: "recipe::unknown_word",
            kind: Kind::WrongKind,
            message: "there is no word `shet`".to_owned(),
            place: Some(Location {
                source: Arc::clone(&source),
                span: start..start + at.len(),
            }),
            label: Some("not known".to_owned()),
            help: Some("did you mean `sheet`?".to_owned()),
            inside: vec![],
            trace: vec![],
            sources: vec![source],
        }
    }

    #[test]
    fn the_place_its_line_and_the_help_are_there() {
        let text = "let a = 1;\nlet é = shet(3);\nlet b = 2;\nlet c = 3;\n";
        let report = render_failure(&failure(text, "shet"), PLAIN);
        assert!(report.contains("demo.rhai:2:9"), "{report}");
        assert!(report.contains("2 | let é = shet(3);"), "{report}");
        assert!(report.contains("not known"), "{report}");
        assert!(report.contains("help: did you mean `sheet`?"), "{report}");
        assert!(report.contains("recipe::unknown_word"), "{report}");
        assert!(!report.contains("let c"), "{report}");
        assert!(
            report.is_ascii() || report.replace('é', "e").is_ascii(),
            "{report}"
        );
    }

    #[test]
    fn the_end_of_the_text_is_a_place_too() {
        for text in ["let a = (", "let a = (\n", ""] {
            let mut failure = failure(text, "");
            if let Some(place) = &mut failure.place {
                place.span = text.len()..text.len();
            }
            let report = render_failure(&failure, PLAIN);
            assert!(report.contains("demo.rhai:"), "{report}");
        }
    }

    #[test]
    fn a_very_long_line_is_cut_around_the_place() {
        let text = format!("{}shet{}", "a".repeat(5000), "b".repeat(5000));
        let report = render_failure(&failure(&text, "shet"), PLAIN);
        assert!(report.contains("demo.rhai:1:5001"), "{report}");
        assert!(
            report.contains("…aaa") && report.contains("bbb…"),
            "{report}"
        );
        assert!(report.len() < 1500, "{}", report.len());
    }

    #[test]
    fn a_place_over_several_lines_is_marked_on_its_first() {
        let report = render_failure(
            &failure("let a = shet(\n 1,\n 2);", "shet(\n 1,\n 2)"),
            PLAIN,
        );
        assert!(report.contains("demo.rhai:1:9"), "{report}");
    }

    #[test]
    fn no_control_code_gets_through() {
        let mut failure = failure("let a = \"\u{1b}[2J\u{9b}\"; shet\r\n", "shet");
        failure.message = "odd \u{1b}]0;title\u{7}".to_owned();
        failure.label = Some("\u{1b}[0m".to_owned());
        failure.help = Some("\u{8}\u{8}".to_owned());
        let place = failure.place.clone().unwrap();
        failure.trace = vec![(place, "f\u{1b}".to_owned())];
        let report = render_failure(&failure, PLAIN);
        let bad: Vec<char> = report
            .chars()
            .filter(|c| c.is_control() && *c != '\n')
            .collect();
        assert!(bad.is_empty(), "{bad:?} in {report}");
    }

    #[test]
    fn calls_are_listed_with_place_and_line() {
        let text = "fn ring(n) { shet(n) }\nring(3);\n";
        let mut failure = failure(text, "shet");
        let source = Arc::clone(&failure.sources[0]);
        let start = text.find("ring(3)").unwrap();
        let place = Location {
            source,
            span: start..start + 7,
        };
        failure.trace = vec![(place, "ring".to_owned()); 10];
        let report = render_failure(&failure, PLAIN);
        assert!(
            report.contains("called from demo.rhai:2:1 (ring)\n    2 | ring(3);"),
            "{report}"
        );
        assert!(report.contains("and 2 more calls"), "{report}");
    }

    #[test]
    fn colours_come_only_when_asked_for() {
        let failure = failure("shet", "shet");
        let coloured = Stream {
            colour: true,
            terminal: true,
            width: 80,
        };
        assert!(render_failure(&failure, coloured).contains("\u{1b}["));
        let plain = Stream {
            colour: false,
            ..coloured
        };
        assert!(!render_failure(&failure, plain).contains('\u{1b}'));
    }
}
