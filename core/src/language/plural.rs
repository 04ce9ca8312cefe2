//! Which form of a plural a number takes: the expression in the head of a catalogue, as gettext's manual describes it
//! (<https://www.gnu.org/software/gettext/manual/html_node/Plural-forms.html>).

/// More nested than this no rule of a language is.
const DEEPEST: usize = 64;

/// The rule of a language.
#[derive(Debug)]
pub(super) struct Plural {
    rule: Expr,
    forms: usize,
}

#[derive(Debug)]
enum Expr {
    N,
    Number(u64),
    Not(Box<Expr>),
    Two(&'static str, Box<Expr>, Box<Expr>),
    If(Box<Expr>, Box<Expr>, Box<Expr>),
}

/// Operators of two sides, the loosest first; of those that begin alike the longer first.
const LEVELS: [&[&str]; 6] =
    [&["||"], &["&&"], &["==", "!="], &["<=", ">=", "<", ">"], &["+", "-"], &["*", "/", "%"]];

impl Plural {
    /// Reads a rule of so many forms.
    pub(super) fn read(rule: &str, forms: usize) -> Result<Self, String> {
        let wrong = || format!("the rule of the plural cannot be read: {rule}");
        let mut reader = Reader { rest: rule, deep: 0 };
        let rule = reader.choice().ok_or_else(wrong)?;
        reader.skip();
        if !reader.rest.is_empty() || forms == 0 {
            return Err(wrong());
        }
        Ok(Self { rule, forms })
    }

    /// The form a number takes, from nought.
    pub(super) fn of(&self, n: u64) -> usize {
        usize::try_from(self.rule.value(n)).unwrap_or(usize::MAX).min(self.forms - 1)
    }
}

impl Expr {
    fn value(&self, n: u64) -> u64 {
        match self {
            Self::N => n,
            Self::Number(x) => *x,
            Self::Not(e) => u64::from(e.value(n) == 0),
            Self::If(cond, yes, no) => if cond.value(n) != 0 { yes } else { no }.value(n),
            Self::Two(sign, a, b) => {
                let (a, b) = (a.value(n), b.value(n));
                match *sign {
                    "||" => u64::from(a != 0 || b != 0),
                    "&&" => u64::from(a != 0 && b != 0),
                    "==" => u64::from(a == b),
                    "!=" => u64::from(a != b),
                    "<=" => u64::from(a <= b),
                    ">=" => u64::from(a >= b),
                    "<" => u64::from(a < b),
                    ">" => u64::from(a > b),
                    "+" => a.wrapping_add(b),
                    "-" => a.wrapping_sub(b),
                    "*" => a.wrapping_mul(b),
                    // What cannot be divided is of the first form.
                    "/" => a.checked_div(b).unwrap_or(0),
                    _ => a.checked_rem(b).unwrap_or(0),
                }
            }
        }
    }
}

struct Reader<'a> {
    rest: &'a str,
    deep: usize,
}

impl Reader<'_> {
    fn skip(&mut self) {
        self.rest = self.rest.trim_start();
    }

    fn takes(&mut self, sign: &str) -> bool {
        self.skip();
        match self.rest.strip_prefix(sign) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    fn choice(&mut self) -> Option<Expr> {
        self.deep += 1;
        if self.deep > DEEPEST {
            return None;
        }
        let cond = self.level(0)?;
        let whole = if self.takes("?") {
            let yes = self.choice()?;
            if !self.takes(":") {
                return None;
            }
            Expr::If(Box::new(cond), Box::new(yes), Box::new(self.choice()?))
        } else {
            cond
        };
        self.deep -= 1;
        Some(whole)
    }

    fn level(&mut self, level: usize) -> Option<Expr> {
        let Some(signs) = LEVELS.get(level) else { return self.one() };
        let mut left = self.level(level + 1)?;
        while let Some(sign) = signs.iter().copied().find(|sign| self.takes(sign)) {
            self.deep += 1;
            if self.deep > DEEPEST {
                return None;
            }
            left = Expr::Two(sign, Box::new(left), Box::new(self.level(level + 1)?));
        }
        Some(left)
    }

    fn one(&mut self) -> Option<Expr> {
        if self.takes("(") {
            let inner = self.choice()?;
            return self.takes(")").then_some(inner);
        }
        if self.takes("!") {
            self.deep += 1;
            if self.deep > DEEPEST {
                return None;
            }
            return Some(Expr::Not(Box::new(self.one()?)));
        }
        if self.takes("n") {
            return Some(Expr::N);
        }
        self.skip();
        let end = self.rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(self.rest.len());
        let number = self.rest[..end].parse().ok()?;
        self.rest = &self.rest[end..];
        Some(Expr::Number(number))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rules as gettext's manual lists them ('Plural forms', 11.2.6), with what CLDR's table of plurals says of the
    /// numbers (from memory).
    #[test]
    fn the_rules_of_the_manual() {
        for (rule, forms, of) in [
            ("0", 1, &[(0, 0), (1, 0), (7, 0)][..]),
            ("n != 1", 2, &[(0, 1), (1, 0), (2, 1)]),
            ("n>1", 2, &[(0, 0), (1, 0), (2, 1)]),
            ("n%10==1 && n%100!=11 ? 0 : n != 0 ? 1 : 2", 3, &[(0, 2), (1, 0), (11, 1), (21, 0), (30, 1)]),
            ("n==1 ? 0 : n==2 ? 1 : 2", 3, &[(1, 0), (2, 1), (0, 2), (12, 2)]),
            (
                "n%10==1 && n%100!=11 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2",
                3,
                &[(1, 0), (3, 1), (5, 2), (11, 2), (12, 2), (22, 1), (101, 0), (112, 2)],
            ),
            (
                "n==0 ? 0 : n==1 ? 1 : n==2 ? 2 : n%100>=3 && n%100<=10 ? 3 : n%100>=11 ? 4 : 5",
                6,
                &[(0, 0), (1, 1), (2, 2), (6, 3), (110, 3), (99, 4), (100, 5)],
            ),
        ] {
            let plural = Plural::read(rule, forms).unwrap();
            for (n, form) in of {
                assert_eq!(plural.of(*n), *form, "{rule}: {n}");
            }
        }
    }

    #[test]
    fn what_is_no_rule_is_refused_and_a_bad_one_stays_within_its_forms() {
        for wrong in [
            "",
            "n ==",
            "(n",
            "n ? 1",
            "m",
            "n n",
            "99999999999999999999999",
            &"(".repeat(9_000),
            &"!".repeat(9_000),
        ] {
            assert!(Plural::read(wrong, 2).is_err(), "{wrong}");
        }
        assert!(Plural::read("n", 0).is_err());
        assert!(Plural::read(&"n+".repeat(100_000), 2).is_err());
        assert_eq!(Plural::read("n", 2).unwrap().of(u64::MAX), 1);
        assert_eq!(Plural::read("n/0", 2).unwrap().of(5), 0);
        assert_eq!(Plural::read("!n", 2).unwrap().of(0), 1);
    }
}
