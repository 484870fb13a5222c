//! A formula's one-line text as MathML: fractions, roots, powers, indices.
//!
//! Understands the notation of [`crate::physics::formula`] and nothing of its meaning; what it cannot read it gives back
//! as plain text.

use super::svg::escape;

/// Nesting beyond which a text is left as it is.
const DEPTH_MAX: usize = 24;

/// A token.
#[derive(Clone, Debug, PartialEq)]
enum Token {
    Name(String),
    Number(String),
    Sign(char),
    Power(String),
}

/// Typesets one symbol.
pub fn symbol(name: &str) -> String {
    format!("<math><mrow>{}</mrow></math>", name_of(name))
}

/// Typesets a formula; `None` where it is not one.
pub fn render(text: &str) -> Option<String> {
    let mut reader = Reader { tokens: tokens(text), at: 0, depth: 0 };
    let body = reader.sum()?;
    (reader.at == reader.tokens.len() && !body.is_empty())
        .then(|| format!("<math display=\"block\"><mrow>{body}</mrow></math>"))
}

fn tokens(text: &str) -> Vec<Token> {
    let mut found = Vec::new();
    let mut rest = text.chars().peekable();
    let take = |rest: &mut std::iter::Peekable<std::str::Chars<'_>>, first: char, keep: fn(char) -> bool| {
        let mut word = String::from(first);
        while let Some(c) = rest.next_if(|c| keep(*c)) {
            word.push(c);
        }
        word
    };
    while let Some(c) = rest.next() {
        if c.is_whitespace() {
            continue;
        }
        found.push(if let Some(digit) = raised(c) {
            let mut word = String::from(digit);
            while let Some(digit) = rest.peek().copied().and_then(raised) {
                rest.next();
                word.push(digit);
            }
            Token::Power(word)
        } else if c.is_ascii_digit() {
            Token::Number(take(&mut rest, c, |c| c.is_ascii_digit() || c == '.'))
        } else if c.is_alphabetic() || matches!(c, '°' | 'Σ' | '∫' | '∞') {
            Token::Name(take(&mut rest, c, |c| {
                c.is_alphanumeric() && raised(c).is_none() || matches!(c, '_' | '\'' | '′' | '̂')
            }))
        } else {
            Token::Sign(c)
        });
    }
    found
}

fn raised(c: char) -> Option<char> {
    Some(match c {
        '⁰' => '0',
        '¹' => '1',
        '²' => '2',
        '³' => '3',
        '⁴' => '4',
        '⁵' => '5',
        '⁶' => '6',
        '⁷' => '7',
        '⁸' => '8',
        '⁹' => '9',
        '⁻' => '−',
        _ => return None,
    })
}

struct Reader {
    tokens: Vec<Token>,
    at: usize,
    depth: usize,
}

impl Reader {
    fn sign(&self) -> Option<char> {
        match self.tokens.get(self.at) {
            Some(Token::Sign(c)) => Some(*c),
            _ => None,
        }
    }

    fn take(&mut self, c: char) -> bool {
        let there = self.sign() == Some(c);
        if there {
            self.at += 1;
        }
        there
    }

    /// Terms joined by signs.
    fn sum(&mut self) -> Option<String> {
        self.depth += 1;
        if self.depth > DEPTH_MAX {
            return None;
        }
        let mut out = String::new();
        loop {
            while let Some(
                c @ ('+' | '-' | '−' | '±' | '=' | '≈' | '≤' | '≥' | '<' | '>' | ',' | ';' | ':' | '|' | '%'),
            ) = self.sign()
            {
                self.at += 1;
                out.push_str(&format!("<mo>{}</mo>", escape(&String::from(if c == '-' { '−' } else { c }))));
            }
            match self.tokens.get(self.at) {
                None | Some(Token::Sign(')')) => break,
                Some(_) => out.push_str(&self.product()?),
            }
        }
        self.depth -= 1;
        Some(out)
    }

    /// Factors side by side; what stands before a stroke is the numerator.
    fn product(&mut self) -> Option<String> {
        let mut above = String::new();
        let mut count = 0;
        loop {
            if self.take('/') {
                let below = self.factor(true)?;
                above = format!("<mfrac><mrow>{}</mrow><mrow>{below}</mrow></mfrac>", unwrapped(&above));
                count = 1;
                continue;
            }
            if self.take('·') || self.take('×') {
                above.push_str("<mo>·</mo>");
                continue;
            }
            match self.tokens.get(self.at) {
                Some(Token::Name(_) | Token::Number(_) | Token::Sign('(' | '√')) => {}
                Some(Token::Sign(c)) if count > 0 || is_joint(*c) => break,
                None => break,
                Some(_) => return None,
            }
            if count > 0 {
                above.push_str("<mspace width=\"0.17em\"/>");
            }
            above.push_str(&self.factor(false)?);
            count += 1;
        }
        (count > 0).then_some(above)
    }

    /// One factor with its power; a denominator loses its brackets.
    fn factor(&mut self, bare: bool) -> Option<String> {
        let base = match self.tokens.get(self.at)?.clone() {
            Token::Name(name) => {
                self.at += 1;
                name_of(&name)
            }
            Token::Number(number) => {
                self.at += 1;
                format!("<mn>{}</mn>", escape(&number))
            }
            Token::Sign('√') => {
                self.at += 1;
                format!("<msqrt>{}</msqrt>", self.factor(true)?)
            }
            Token::Sign('(') => {
                self.at += 1;
                let inner = self.sum()?;
                if !self.take(')') {
                    return None;
                }
                let followed =
                    self.sign() == Some('^') || matches!(self.tokens.get(self.at), Some(Token::Power(_)));
                if bare && !followed {
                    format!("<mrow>{inner}</mrow>")
                } else {
                    format!("<mrow><mo>(</mo>{inner}<mo>)</mo></mrow>")
                }
            }
            Token::Sign(_) | Token::Power(_) => return None,
        };
        if let Some(Token::Power(power)) = self.tokens.get(self.at).cloned() {
            self.at += 1;
            return Some(format!("<msup><mrow>{base}</mrow><mn>{}</mn></msup>", escape(&power)));
        }
        if self.take('^') {
            let minus = if self.take('-') || self.take('−') { "<mo>−</mo>" } else { "" };
            let power = self.factor(true)?;
            let integral =
                base.strip_prefix("<msub><mo>∫</mo>").and_then(|rest| rest.strip_suffix("</msub>"));
            if let Some(from) = integral {
                return Some(format!("<msubsup><mo>∫</mo>{from}<mrow>{minus}{power}</mrow></msubsup>"));
            }
            return Some(format!("<msup><mrow>{base}</mrow><mrow>{minus}{power}</mrow></msup>"));
        }
        Some(base)
    }
}

fn is_joint(c: char) -> bool {
    matches!(c, '+' | '-' | '−' | '±' | '=' | '≈' | '≤' | '≥' | '<' | '>' | ',' | ';' | ':' | '|' | '%' | ')')
}

/// A numerator without the brackets that the fraction's line makes needless.
fn unwrapped(text: &str) -> &str {
    let inner = text.strip_prefix("<mrow><mo>(</mo>").and_then(|rest| rest.strip_suffix("<mo>)</mo></mrow>"));
    inner.filter(|inner| !inner.contains("<mo>(</mo>")).unwrap_or(text)
}

/// A symbol: the first word, its index below.
fn name_of(name: &str) -> String {
    let (word, index) = name.split_once('_').unwrap_or((name, ""));
    let (index, prime) = match index.strip_suffix(['\'', '′']) {
        Some(rest) => (rest, "<mo>′</mo>"),
        None => (index, ""),
    };
    if word == "∫" {
        return format!("<msub><mo>∫</mo><mn>{}</mn></msub>", escape(index));
    }
    // A word is not a product of its letters.
    let upright = word.chars().count() > 2 && word.chars().all(char::is_lowercase);
    let base = if upright {
        format!("<mi mathvariant=\"normal\">{}</mi>", escape(word))
    } else {
        format!("<mi>{}</mi>", escape(word))
    };
    if index.is_empty() {
        format!("{base}{prime}")
    } else {
        format!("<msub>{base}<mtext>{}</mtext></msub>{prime}", escape(&index.replace('_', ",")))
    }
}

#[cfg(test)]
mod tests {
    use super::render;

    #[test]
    fn a_stroke_is_a_fraction_and_an_underscore_an_index() {
        let text = render("ΔV = I / (2 f C)").expect("a formula");
        assert!(
            text.contains("<mi>ΔV</mi><mo>=</mo><mfrac><mrow><mi>I</mi></mrow><mrow><mrow><mn>2</mn>"),
            "{text}"
        );
        assert!(!text.contains("<mo>(</mo>"), "{text}");
        let text = render("V_pk − ΔV / 2").expect("a formula");
        assert!(text.contains("<msub><mi>V</mi><mtext>pk</mtext></msub><mo>−</mo><mfrac>"), "{text}");
    }

    #[test]
    fn roots_and_powers_nest() {
        let text = render("√((k S / V_p + P_fe / V_p)² + I_mag²)").expect("a formula");
        assert_eq!(text.matches("<msqrt>").count(), 1);
        assert_eq!(text.matches("<msup>").count(), 2);
        assert_eq!(text.matches("<mfrac>").count(), 2);
        let text = render("V_r_in 10^(−A / 20)").expect("a formula");
        assert!(
            text.contains("<mtext>r,in</mtext>") && text.contains("<msup><mrow><mn>10</mn></mrow>"),
            "{text}"
        );
    }

    #[test]
    fn an_integral_carries_both_its_ends() {
        let text = render("V_avg = 1/π ∫_0^π V_pk sin² θ dθ").expect("a formula");
        assert!(text.contains("<msubsup><mo>∫</mo><mn>0</mn><mrow><mi>π</mi></mrow></msubsup>"), "{text}");
        assert!(
            text.contains("<msup><mrow><mi mathvariant=\"normal\">sin</mi></mrow><mn>2</mn></msup>"),
            "{text}"
        );
    }

    #[test]
    fn what_is_no_formula_is_left_alone_and_nothing_opens_a_tag() {
        for text in ["(a", "a)", "a / ", "^2", "", "√"] {
            assert_eq!(render(text), None, "{text}");
        }
        assert_eq!(render(&"(".repeat(4000)), None);
        let text = render("a < b_<script>").unwrap_or_default();
        assert!(!text.contains("<script"), "{text}");
    }
}
