//! Licence expressions (SPDX 2.3, annex D), as far as crates use them: names, `OR`, `AND`, `WITH`, brackets, and the
//! slash that stood for `OR` before.

use std::fmt;

use anyhow::{Result, bail};

/// What can be linked into programs under our terms. MPL 2.0 covers only its own files, which we use as published.
const PERMISSIVE: [&str; 16] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "MPL-2.0",
    "OFL-1.1",
    "Ubuntu-font-1.0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// A licence, or several to choose from or to keep together.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Expression {
    /// One licence by its short name, an exception included.
    Name(String),
    /// All of them hold.
    All(Vec<Expression>),
    /// One may be chosen.
    Any(Vec<Expression>),
}

impl Expression {
    /// Whether a choice of licences exists that our own terms go with.
    pub fn is_permissive(&self) -> bool {
        match self {
            Expression::Name(name) => PERMISSIVE.contains(&name.as_str()),
            Expression::All(parts) => parts.iter().all(Expression::is_permissive),
            Expression::Any(parts) => parts.iter().any(Expression::is_permissive),
        }
    }
}

/// In one order, whatever order its authors chose, so that the same terms read the same.
impl fmt::Display for Expression {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (parts, word) = match self {
            Expression::Name(name) => return f.write_str(name),
            Expression::All(parts) => (parts, " AND "),
            Expression::Any(parts) => (parts, " OR "),
        };
        let mut words: Vec<String> = parts
            .iter()
            .map(|part| if matches!(part, Expression::Any(_)) { format!("({part})") } else { part.to_string() })
            .collect();
        words.sort();
        f.write_str(&words.join(word))
    }
}

/// Reads an expression.
///
/// # Errors
/// Where it doesn't follow the grammar, or is empty.
pub fn parse(text: &str) -> Result<Expression> {
    let spaced = text.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let mut words = spaced.split_whitespace().peekable();
    let expression = any(&mut words)?;
    match words.next() {
        None => Ok(expression),
        Some(word) => bail!("is not followed: \"{word}\" was not expected"),
    }
}

type Words<'a> = std::iter::Peekable<std::str::SplitWhitespace<'a>>;

fn any(words: &mut Words<'_>) -> Result<Expression> {
    let mut parts = vec![all(words)?];
    while words.next_if_eq(&"OR").is_some() {
        parts.push(all(words)?);
    }
    Ok(if parts.len() == 1 { parts.remove(0) } else { Expression::Any(parts) })
}

fn all(words: &mut Words<'_>) -> Result<Expression> {
    let mut parts = vec![one(words)?];
    while words.next_if_eq(&"AND").is_some() {
        parts.push(one(words)?);
    }
    Ok(if parts.len() == 1 { parts.remove(0) } else { Expression::All(parts) })
}

fn one(words: &mut Words<'_>) -> Result<Expression> {
    match words.next() {
        Some("(") => {
            let inner = any(words)?;
            match words.next() {
                Some(")") => Ok(inner),
                _ => bail!("is not followed: a bracket stays open"),
            }
        }
        None | Some("OR" | "AND" | "WITH" | ")") => bail!("is not followed: a licence's name was expected"),
        Some(name) if words.next_if_eq(&"WITH").is_some() => match words.next() {
            Some(exception) => Ok(Expression::Name(format!("{name} WITH {exception}"))),
            None => bail!("is not followed: an exception's name was expected"),
        },
        Some(name) => Ok(Expression::Name(name.to_owned())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, shown: &str, permissive: bool) {
        let expression = parse(text).unwrap();
        assert_eq!((expression.to_string().as_str(), expression.is_permissive()), (shown, permissive), "{text}");
    }

    /// SPDX 2.3, annex D: AND binds more tightly than OR, WITH more than both.
    #[test]
    fn expressions() {
        check("MIT", "MIT", true);
        check("MIT/Apache-2.0", "Apache-2.0 OR MIT", true);
        check("MIT OR Apache-2.0 OR GPL-2.0-only", "Apache-2.0 OR GPL-2.0-only OR MIT", true);
        check("(MIT OR Apache-2.0) AND Unicode-3.0", "(Apache-2.0 OR MIT) AND Unicode-3.0", true);
        check("GPL-3.0-only AND MIT OR MIT", "GPL-3.0-only AND MIT OR MIT", true);
        check("GPL-3.0-only AND (MIT OR ISC)", "(ISC OR MIT) AND GPL-3.0-only", false);
        check("Apache-2.0 WITH LLVM-exception", "Apache-2.0 WITH LLVM-exception", true);
        check("LGPL-3.0-only", "LGPL-3.0-only", false);
        for wrong in ["", "MIT OR", "(MIT", "MIT ISC", "MIT WITH"] {
            assert!(parse(wrong).is_err(), "{wrong}");
        }
    }
}
