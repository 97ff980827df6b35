//! Doubts about the statements of a text: values that nothing uses, names that stand for nothing, rules
//! that never ask their cell.

use std::sync::{Arc, OnceLock};

use rhai::{AST, ASTNode, Dynamic, Expr, FlowControl, FnCallExpr, FnPtr, Position, Stmt};

use super::{Doubt, Doubtful};
use crate::recipe::call::alone;
use crate::recipe::diagnostics::{NAMELESS, places};
use crate::recipe::reading::names_in;
use crate::recipe::source::{Location, Source};
use crate::recipe::words::words;
use crate::recipe::{comparing, engine, pure};

/// Words of the language that return a value and change nothing.
const GIVE: [&str; 20] = [
    "map",
    "filter",
    "reduce",
    "some",
    "all",
    "contains",
    "index_of",
    "len",
    "abs",
    "min",
    "max",
    "keys",
    "values",
    "to_upper",
    "to_lower",
    "sub_string",
    "split",
    "trim",
    "extract",
    "is_empty",
];
/// Words of the language that change something and return nothing.
const CHANGE: [&str; 9] = [
    "push", "append", "insert", "reverse", "truncate", "clear", "pad", "chop", "dedup",
];
/// Words of the vocabulary that have an effect besides the value that they return.
const ACT: [&str; 3] = ["param", "seed", "print"];

/// Functions of a module are for others to call, so only those of the recipe itself must be used.
pub(super) fn doubts(source: &Arc<Source>, is_recipe: bool) -> Vec<Doubtful> {
    let engine = engine::for_reading();
    let Ok(ast) = comparing::compile(&engine, &source.text) else {
        return Vec::new();
    };
    let mut reader = Reader {
        source,
        ast: &ast,
        found: Vec::new(),
        scopes: Vec::new(),
    };
    reader.block(ast.statements(), false);
    let mut functions: Vec<_> = ast.iter_functions().collect();
    functions.sort_by_key(|function| function.name.to_owned());
    for function in &functions {
        let body = body(&ast, function.name);
        let params = function.params.iter().map(|name| (*name).to_owned());
        reader.scopes = vec![params.collect()];
        reader.block(&body, true);
    }
    if is_recipe {
        reader.never_called();
    }
    reader.found
}

/// The statements of a function.
fn body(ast: &AST, name: &str) -> Vec<Stmt> {
    let mut statements = Vec::new();
    alone(ast, name).walk(&mut |path: &[ASTNode<'_>]| {
        if let [ASTNode::Stmt(statement)] = path {
            statements.push((*statement).clone());
        }
        true
    });
    statements
}

struct Reader<'a> {
    source: &'a Arc<Source>,
    ast: &'a AST,
    found: Vec<Doubtful>,
    /// The names made so far, block by block.
    scopes: Vec<Vec<String>>,
}

impl Reader<'_> {
    fn doubt(&mut self, doubt: Doubt, position: Position) {
        if !position.is_none() {
            let place = places::place(Arc::clone(self.source), position);
            self.found.push(Doubtful { doubt, place });
        }
    }

    /// A block; whether its last value is used.
    fn block(&mut self, statements: &[Stmt], gives: bool) {
        self.scopes.push(Vec::new());
        for (i, statement) in statements.iter().enumerate() {
            let rest = &statements[i + 1..];
            self.statement(statement, rest, gives && rest.is_empty());
        }
        self.scopes.pop();
    }

    fn statement(&mut self, statement: &Stmt, rest: &[Stmt], gives: bool) {
        match statement {
            Stmt::Expr(expression) => {
                if !gives {
                    self.thrown(expression);
                }
                self.expression(expression, gives);
            }
            Stmt::FnCall(call, position) => {
                if !gives {
                    self.thrown_call(call, *position);
                }
                self.call(call);
            }
            Stmt::Var(parts, ..) => {
                let (name, value, _) = &**parts;
                self.variable(&name.name, name.pos, value, rest);
                self.expression(value, true);
                if let Some(scope) = self.scopes.last_mut() {
                    scope.push(name.name.to_string());
                }
            }
            Stmt::Assignment(parts) => self.expression(&parts.1.rhs, true),
            Stmt::If(flow, _) => {
                self.expression(&flow.expr, true);
                self.block(flow.body.statements(), gives);
                self.block(flow.branch.statements(), gives);
            }
            Stmt::While(flow, _) | Stmt::Do(flow, ..) => self.repeated(flow),
            Stmt::For(parts, _) => self.repeated(&parts.2),
            Stmt::Block(block) => self.block(block.statements(), gives),
            Stmt::TryCatch(flow, _) => {
                self.block(flow.body.statements(), gives);
                self.block(flow.branch.statements(), gives);
            }
            Stmt::Return(Some(value), ..) => self.expression(value, true),
            Stmt::Switch(parts, _) => self.expression(&parts.0, true),
            _ => {}
        }
    }

    fn repeated(&mut self, flow: &FlowControl) {
        self.expression(&flow.expr, true);
        self.block(flow.body.statements(), false);
    }

    /// What stands inside an expression; whether its value is used.
    fn expression(&mut self, expression: &Expr, gives: bool) {
        match expression {
            Expr::Stmt(block) => self.block(block.statements(), gives),
            Expr::FnCall(call, _) | Expr::MethodCall(call, _) => self.call(call),
            Expr::Dot(both, ..) | Expr::Index(both, ..) => {
                self.expression(&both.lhs, true);
                self.expression(&both.rhs, true);
            }
            Expr::And(all, _) | Expr::Or(all, _) | Expr::Coalesce(all, _) => {
                for one in all.iter() {
                    self.expression(one, true);
                }
            }
            Expr::Array(all, _) | Expr::InterpolatedString(all, _) => {
                for one in all {
                    self.expression(one, true);
                }
            }
            Expr::Map(parts, _) => {
                for (_, one) in &parts.0 {
                    self.expression(one, true);
                }
            }
            _ => {}
        }
    }

    fn call(&mut self, call: &FnCallExpr) {
        if call.name.as_str() == "fill" {
            for given in &call.args {
                if let Some((rule, position)) = nameless(given)
                    && self.ignores_cell(&rule)
                {
                    self.doubt(Doubt::IgnoresCell, position);
                }
            }
        }
        if call.name.as_str() == "+"
            && let [
                Expr::StringConstant(text, position),
                Expr::IntegerConstant(..) | Expr::FloatConstant(..),
            ] = &call.args[..]
            && text.trim().parse::<f64>().is_ok()
        {
            let text = text.to_string();
            self.doubt(Doubt::JoinsNumber { text }, *position);
        }
        for given in &call.args {
            self.expression(given, true);
        }
    }

    fn variable(&mut self, name: &str, position: Position, value: &Expr, rest: &[Stmt]) {
        let name = name.to_owned();
        if without_else(value) {
            self.doubt(Doubt::NoElse { name: name.clone() }, position);
        }
        if let Some((word, _)) = last_call(value)
            && gives_nothing(&word)
            && !self.is_own(&word)
        {
            let name = name.clone();
            self.doubt(Doubt::GivesNothing { name, word }, position);
        }
        let outside = self.scopes.split_last().map_or(&[][..], |(_, rest)| rest);
        let is_outside = outside.iter().any(|scope| scope.contains(&name));
        if is_outside && !rest.iter().any(|statement| mentions(statement, &name)) {
            self.doubt(Doubt::NewInside { name }, position);
        }
    }

    /// A statement whose value nothing uses.
    fn thrown(&mut self, expression: &Expr) {
        match expression {
            Expr::FnCall(call, position) => self.thrown_call(call, *position),
            Expr::Variable(parts, _, position) if parts.2.is_empty() => {
                let word = parts.1.to_string();
                self.doubt(Doubt::ThrownAway { word }, *position);
            }
            Expr::Dot(..) => {
                if let Some((word, position)) = last_call(expression)
                    && gives_only(&word)
                    && !self.is_own(&word)
                {
                    self.doubt(Doubt::ThrownAway { word }, position);
                }
            }
            _ => {}
        }
    }

    fn thrown_call(&mut self, call: &FnCallExpr, position: Position) {
        let name = call.name.as_str();
        if matches!(
            name.trim_end_matches('?'),
            "==" | "!=" | "<" | "<=" | ">" | ">="
        ) {
            self.doubt(Doubt::ComparedForNothing, position);
        } else if call.is_operator_call() || gives_only(name) && !self.is_own(name) {
            let word = name.to_owned();
            self.doubt(Doubt::ThrownAway { word }, position);
        }
    }

    /// Whether the recipe has a function of this name.
    fn is_own(&self, name: &str) -> bool {
        self.ast.iter_functions().any(|own| own.name == name)
    }

    /// Whether an anonymous function uses nothing that changes from cell to cell.
    fn ignores_cell(&self, rule: &FnPtr) -> bool {
        if pure::pure(self.ast, rule).is_none() {
            return false;
        }
        let function = self
            .ast
            .iter_functions()
            .find(|own| own.name == rule.fn_name());
        let Some(cell) = function.and_then(|own| own.params.last().map(|name| (*name).to_owned()))
        else {
            return false;
        };
        !body(self.ast, rule.fn_name())
            .iter()
            .any(|statement| mentions(statement, &cell))
    }

    fn never_called(&mut self) {
        let names = names_in(&self.source.text);
        let own: Vec<String> = self
            .ast
            .iter_functions()
            .map(|own| own.name.to_owned())
            .collect();
        for name in own {
            if name.starts_with(NAMELESS) || names.iter().filter(|used| **used == name).count() > 1
            {
                continue;
            }
            // A call by a text, as `Fn("name")` makes it.
            if self.source.text.contains(&format!("\"{name}\"")) {
                continue;
            }
            let Some(span) = defined(&self.source.text, &name) else {
                continue;
            };
            let place = Location {
                source: Arc::clone(self.source),
                span,
            };
            let doubt = Doubt::NeverCalled { name };
            self.found.push(Doubtful { doubt, place });
        }
    }
}

/// The bytes of the name where a function is defined.
fn defined(text: &str, name: &str) -> Option<std::ops::Range<usize>> {
    use crate::recipe::diagnostics::tokens::tokens;
    let list = tokens(text);
    let pair = list
        .windows(2)
        .find(|pair| text[pair[0].span.clone()] == *"fn" && text[pair[1].span.clone()] == *name)?;
    Some(pair[1].span.clone())
}

/// The function without a name that stands in an expression, and where.
fn nameless(expression: &Expr) -> Option<(FnPtr, Position)> {
    match expression {
        Expr::DynamicConstant(value, position) => {
            let function = Dynamic::clone(value).try_cast::<FnPtr>()?;
            Some((function, *position))
        }
        // What it captures is shared, and put into it first.
        Expr::Stmt(block) => match block.statements().last()? {
            Stmt::Expr(last) => nameless(last),
            Stmt::FnCall(call, _) if call.name.as_str() == "curry" => nameless(call.args.first()?),
            _ => None,
        },
        Expr::FnCall(call, _) if call.name.as_str() == "curry" => nameless(call.args.first()?),
        _ => None,
    }
}

/// The last word of a chain, or the word of a call, and where it stands.
fn last_call(expression: &Expr) -> Option<(String, Position)> {
    match expression {
        Expr::Dot(both, ..) => last_call(&both.rhs),
        Expr::MethodCall(call, position) | Expr::FnCall(call, position)
            if !call.is_operator_call() && !call.is_qualified() =>
        {
            Some((call.name.to_string(), *position))
        }
        _ => None,
    }
}

/// Whether a value is an `if` that has none where its condition does not hold.
fn without_else(value: &Expr) -> bool {
    fn open(statements: &[Stmt]) -> bool {
        match statements {
            [Stmt::If(flow, _)] => {
                let otherwise = flow.branch.statements();
                otherwise.is_empty() || open(otherwise)
            }
            _ => false,
        }
    }
    matches!(value, Expr::Stmt(block) if open(block.statements()))
}

fn mentions(statement: &Stmt, name: &str) -> bool {
    let mut found = false;
    statement.walk(&mut Vec::new(), &mut |path: &[ASTNode<'_>]| {
        let here = match path.last() {
            Some(ASTNode::Expr(Expr::Variable(parts, ..))) => parts.1.as_str() == name,
            // What a function captures is shared first.
            Some(ASTNode::Stmt(Stmt::Share(shared))) => shared
                .iter()
                .any(|(shared, _)| shared.name.as_str() == name),
            _ => false,
        };
        found |= here;
        !found
    });
    found
}

/// Words of the vocabulary by what they return: the names of those that only return a value, and of those
/// that return nothing.
fn vocabulary() -> &'static (Vec<String>, Vec<String>) {
    static WORDS: OnceLock<(Vec<String>, Vec<String>)> = OnceLock::new();
    WORDS.get_or_init(|| {
        let (mut give, mut change) = (Vec::new(), Vec::new());
        for word in words() {
            let nothing = |gives: &str| matches!(gives, "nothing" | "");
            let all = |is: &dyn Fn(&str) -> bool| word.forms.iter().all(|form| is(&form.gives));
            if all(&nothing) {
                change.push(word.name);
            } else if all(&|gives| !nothing(gives) && gives != "panel")
                && !ACT.contains(&word.name.as_str())
            {
                give.push(word.name);
            }
        }
        (give, change)
    })
}

fn gives_only(word: &str) -> bool {
    GIVE.contains(&word) || vocabulary().0.iter().any(|known| known == word)
}

fn gives_nothing(word: &str) -> bool {
    CHANGE.contains(&word) || vocabulary().1.iter().any(|known| known == word)
}
