//! Texts of procedures with their figures placed.

use minijinja::Environment;

use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Text};
use crate::job::model::Units;
use crate::procedure::figures::Context;
use crate::procedure::text;

use super::{Texts, Words};

/// Renders texts of one document.
pub(super) struct Writer {
    environment: Environment<'static>,
    /// Whether texts are written at all; conditions are answered anyway.
    texts: Texts,
}

impl Writer {
    pub(super) fn new(units: Units, texts: Texts) -> Self {
        Self { environment: text::environment_in(units), texts }
    }

    /// A text with its figures placed, plain.
    pub(super) fn plain(&self, template: &Located<Text>, context: &Context, report: &mut Report) -> String {
        let marked = self.marked(template, context, report);
        marked.chars().filter(|c| *c != text::STRONG && *c != text::PLAIN).collect()
    }

    /// A text with its figures placed and strong.
    pub(super) fn words(&self, template: &Located<Text>, context: &Context, report: &mut Report) -> Words {
        Words::between(&self.marked(template, context, report), text::STRONG, text::PLAIN)
    }

    fn marked(&self, template: &Located<Text>, context: &Context, report: &mut Report) -> String {
        if self.texts == Texts::LeftOut {
            return String::new();
        }
        match self.environment.render_str(&template.value, context) {
            Ok(text) => tidy(&text),
            Err(error) => {
                report.push(
                    Diagnostic::error("T001", format!("this text can't be written: {error}"))
                        .at(Some(template.span.clone()))
                        .key(template.key.clone())
                        .expected("names the figure catalogue and the context know"),
                );
                template.0.clone()
            }
        }
    }

    /// Whether a condition holds; one that can't be answered is a problem.
    pub(super) fn holds(&self, when: Option<&Located<Text>>, context: &Context, report: &mut Report) -> bool {
        let Some(when) = when else { return true };
        let answer = self.environment.compile_expression(&when.value).and_then(|e| e.eval(context));
        match answer {
            Ok(value) => value.is_true(),
            Err(error) => {
                report.push(
                    Diagnostic::error("T002", format!("this condition can't be answered: {error}"))
                        .at(Some(when.span.clone()))
                        .key(when.key.clone())
                        .expected("names the figure catalogue and the context know"),
                );
                false
            }
        }
    }
}

/// Folds the line breaks and runs of blanks a TOML text may hold.
fn tidy(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
