//! Takes the comments out of the viewer's JavaScript, so that the modules can be written for who reads them and shipped
//! for who waits for them.
//!
//! Only as much of the language is read as tells a comment from a string, a template or a regular expression. The rules
//! are those of ECMA-262, section 12 (lexical grammar): `/` after something that has a value divides, otherwise it begins
//! a regular expression.

/// The same module without its comments, blank lines, and blanks that tell no two tokens apart. Every line break that a
/// statement might end at is kept, and strings and templates stay as they are.
pub(super) fn strip(source: &str) -> String {
    let mut stripper = Stripper { source, at: 0, out: String::with_capacity(source.len()), ..Stripper::default() };
    stripper.code();
    stripper.out
}

/// What stood before, as far as it decides what a `/` means.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
enum Before {
    /// An operator, a keyword that wants a value, or nothing at all.
    #[default]
    WantsValue,
    /// The full stop before a property's name.
    Dot,
    /// `if`, `for`, `while` or `with`, whose brackets a statement follows.
    Condition,
    /// A name, a number, a string, a closing bracket.
    Value,
}

/// An opened bracket.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Open {
    Round {
        after_condition: bool,
    },
    Curly,
    /// `${` inside a template.
    Substitution,
}

#[derive(Default)]
struct Stripper<'a> {
    source: &'a str,
    at: usize,
    out: String,
    before: Before,
    open: Vec<Open>,
    /// A blank or a comment stands before what comes next.
    blank: bool,
}

impl Stripper<'_> {
    fn rest(&self) -> &str {
        &self.source[self.at..]
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    /// Copies so many bytes.
    fn copy(&mut self, bytes: usize) {
        if std::mem::take(&mut self.blank)
            && let (Some(last), Some(next)) = (self.out.chars().next_back(), self.peek())
            && is_told_apart(last, next)
        {
            self.out.push(' ');
        }
        self.out.push_str(&self.source[self.at..self.at + bytes]);
        self.at += bytes;
    }

    fn code(&mut self) {
        while let Some(next) = self.peek() {
            match next {
                _ if self.rest().starts_with("//") => self.line_comment(),
                _ if self.rest().starts_with("/*") => self.block_comment(),
                '\n' => self.line_break(),
                '\'' | '"' => self.string(next),
                '`' => self.template(),
                '/' if self.before != Before::Value => self.regular_expression(),
                _ if next.is_whitespace() => self.skip_blank(next),
                _ if is_word(next) => self.word(),
                _ => self.punctuation(next),
            }
        }
    }

    fn line_comment(&mut self) {
        self.at += self.rest().find(['\n', '\r', '\u{2028}', '\u{2029}']).unwrap_or(self.rest().len());
    }

    /// Counts as a blank, or as a line break if it holds one.
    fn block_comment(&mut self) {
        let length = self.rest()[2..].find("*/").map_or(self.rest().len(), |end| end + 4);
        let spans_lines = self.rest()[..length].contains(['\n', '\r', '\u{2028}', '\u{2029}']);
        self.at += length;
        if spans_lines { self.end_line() } else { self.blank = true }
    }

    fn line_break(&mut self) {
        self.at += 1;
        self.end_line();
    }

    fn end_line(&mut self) {
        self.blank = false;
        if !self.out.is_empty() && !self.out.ends_with('\n') {
            self.out.push('\n');
        }
    }

    fn skip_blank(&mut self, next: char) {
        self.at += next.len_utf8();
        self.blank = true;
    }

    fn string(&mut self, quote: char) {
        let length = quoted_length(self.rest(), quote);
        self.copy(length);
        self.before = Before::Value;
    }

    /// From a backtick, or from the brace that ends a substitution, to the closing backtick or the next `${`.
    fn template(&mut self) {
        let text = self.rest();
        let mut length = 1;
        while length < text.len() {
            match text.as_bytes()[length] {
                b'\\' => length += 2,
                b'`' => {
                    self.copy(length + 1);
                    self.before = Before::Value;
                    return;
                }
                b'$' if text[length..].starts_with("${") => {
                    self.copy(length + 2);
                    self.open.push(Open::Substitution);
                    self.before = Before::WantsValue;
                    return;
                }
                _ => length += 1,
            }
        }
        self.copy(text.len());
    }

    /// A `/` inside square brackets does not end it.
    fn regular_expression(&mut self) {
        let text = self.rest().as_bytes();
        let (mut length, mut in_class) = (1, false);
        while length < text.len() && text[length] != b'\n' {
            match text[length] {
                b'\\' => length += 1,
                b'[' => in_class = true,
                b']' => in_class = false,
                b'/' if !in_class => break,
                _ => {}
            }
            length += 1;
        }
        self.copy((length + 1).min(self.rest().len()));
        // Its flags are read as a word, which has a value too.
        self.before = Before::Value;
    }

    fn word(&mut self) {
        let is_number = self.peek().is_some_and(|first| first.is_ascii_digit());
        let belongs = |next: char| is_word(next) || (is_number && next == '.');
        let length = self.rest().find(|next| !belongs(next)).unwrap_or(self.rest().len());
        let is_property = self.before == Before::Dot;
        self.before = match &self.rest()[..length] {
            _ if is_property => Before::Value,
            "if" | "for" | "while" | "with" => Before::Condition,
            // `for await (…)`.
            "await" if self.before == Before::Condition => Before::Condition,
            "return" | "typeof" | "case" | "in" | "of" | "delete" | "void" | "throw" | "new" | "do" | "else"
            | "instanceof" | "yield" | "await" | "extends" | "default" => Before::WantsValue,
            _ => Before::Value,
        };
        self.copy(length);
    }

    fn punctuation(&mut self, next: char) {
        let step = self.rest().starts_with("++") || self.rest().starts_with("--");
        match next {
            // After a value they belong to it, before one they wait for it: either way nothing changes.
            '+' | '-' if step => return self.copy(2),
            '(' => self.opened(Open::Round { after_condition: self.before == Before::Condition }),
            '{' => self.opened(Open::Curly),
            ')' => {
                let after_condition = self.open.pop() == Some(Open::Round { after_condition: true });
                self.before = if after_condition { Before::WantsValue } else { Before::Value };
            }
            '}' if self.open.pop() == Some(Open::Substitution) => return self.template(),
            // What follows a block is a statement; nobody divides an object literal.
            '}' => self.before = Before::WantsValue,
            ']' => self.before = Before::Value,
            '.' if !self.rest().starts_with("...") => self.before = Before::Dot,
            '.' => {
                self.before = Before::WantsValue;
                return self.copy(3);
            }
            _ => self.before = Before::WantsValue,
        }
        self.copy(next.len_utf8());
    }

    fn opened(&mut self, bracket: Open) {
        self.open.push(bracket);
        self.before = Before::WantsValue;
    }
}

/// Whether two characters would be read as one token, or as other ones, if nothing stood between them. More often said than
/// needed where a `/` is one of them.
fn is_told_apart(last: char, next: char) -> bool {
    let makes_a_step = matches!(last, '+' | '-') && last == next;
    let makes_a_fraction = last.is_ascii_digit() && next == '.';
    (is_word(last) && is_word(next)) || last == '/' || next == '/' || makes_a_step || makes_a_fraction
}

/// Part of a name, a keyword or a number.
fn is_word(next: char) -> bool {
    next.is_alphanumeric() || matches!(next, '_' | '$' | '#' | '\\' | '\u{200c}' | '\u{200d}')
}

/// Bytes of the string that `text` begins with, quotes included.
pub(super) fn quoted_length(text: &str, quote: char) -> usize {
    let mut escaped = false;
    for (index, next) in text.char_indices().skip(1) {
        match next {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            _ if next == quote => return index + next.len_utf8(),
            _ => {}
        }
    }
    text.len()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn comments_go_and_lines_stay() {
        assert_eq!(
            strip("/* licence */\n\nlet a = 1; // one\n\n/** two\n lines */let b = 2;\n"),
            "let a=1;\nlet b=2;\n"
        );
        assert_eq!(strip("return /* nothing\n*/ 1"), "return\n1");
        assert_eq!(strip("a /*x*/ + b"), "a+b");
        assert_eq!(strip("let a/**/b"), "let a b");
    }

    #[test]
    fn blanks_go_except_where_they_are_text_or_tell_tokens_apart() {
        assert_eq!(strip("{\n  a();\n\tb( c );\n}\n"), "{\na();\nb(c);\n}\n");
        assert_eq!(strip("import { a } from \"./a.js\";"), "import{a}from\"./a.js\";");
        assert_eq!(strip("const a = b + +c - -d + ++e;"), "const a=b+ +c- -d+ ++e;");
        assert_eq!(strip("case 'a  b': return a in b;"), "case'a  b':return a in b;");
        assert_eq!(strip("a = 1 .toFixed() + 1. / 2;"), "a=1 .toFixed()+1. / 2;");
        assert_eq!(strip("class A { get #b() {} static c = 1 }"), "class A{get #b(){}static c=1}");
        assert_eq!(strip("a = b / /c d/ / e;"), "a=b / /c d/ / e;");
    }

    #[test]
    fn templates_and_strings_are_kept_whole() {
        assert_eq!(
            strip("a = `x\n  y ${\n  b +\n    `\n  z`}\n  `;\n  c;\n"),
            "a=`x\n  y ${\nb+\n`\n  z`}\n  `;\nc;\n"
        );
        assert_eq!(strip("a = `\n`\n  b;\n"), "a=`\n`\nb;\n");
        assert_eq!(strip("a = `b\n${ c }\n`;"), "a=`b\n${c}\n`;");
        assert_eq!(strip("a = 'b\\\n  c';"), "a='b\\\n  c';");
    }

    #[test]
    fn what_only_looks_like_a_comment_stays() {
        for source in [
            "const a = 'http://a/*b*/';",
            r#"const a = "\"//\\";"#,
            "const a = `//${b}/*${`//${c /2}`}*/`;",
            "const a = /[/]\\/*'/g;",
            "if (a) /'\\/\\/\"/.test(b);",
            "a = b / c; d = '/ //';",
            "a = (b) / c + '//' / d;",
            "a = b[0] / c; e = \"//\";",
            "a = b++ / c; e = \"//\";",
            "x = a.return / b; e = '//' / 2;",
            "a = 1. / b; e = '/*';",
            "return /\\/*/.test(a)",
            "f(/`/, `/* ${ { a: '}' }.a } */`)",
            "const f = () => { return 1 }\n/'/.test(a)",
            "a = [...b] / c; e = '//';",
            "export default /\\/\\//;",
            "a = b ? /'/ : /\"/;",
            "a = `\\`//`;",
            "for await (const a of b) /'\\/\\//.exec(a);",
            "class A { #b = 1; c() { return this.#b / 2 + '//'.length; } }",
        ] {
            assert_eq!(without_blanks(&strip(source)), without_blanks(source));
        }
    }

    #[test]
    fn unfinished_text_is_no_panic() {
        for source in ["'abc", "`abc", "`a${b", "/* a", "/a", "/a\\", "'a\\", "`a\\", "}", ")", "", "`é\\é", "/é\\é"]
        {
            strip(source);
        }
    }

    /// A value, as its tokens.
    fn value() -> impl Strategy<Value = Vec<String>> {
        let leaf = prop::sample::select(vec![
            "name",
            "12.5",
            "0x1f",
            "'//'",
            "'/*'",
            "\"it's\"",
            "'\\''",
            "`//`",
            "`'${a}/*`",
            "/[/'\"]/",
            "/\\/\\*`/g",
            "a.of",
            "this",
            "b[0]",
        ])
        .prop_map(|text| vec![text.to_string()]);
        leaf.prop_recursive(4, 24, 3, |inner| {
            let pair = (inner.clone(), inner.clone(), prop::sample::select(vec!["/", "+", "in", "=>", "??", ","]));
            prop_oneof![
                pair.prop_map(|(a, b, operator)| [a, vec![operator.into()], b].concat()),
                inner.clone().prop_map(|a| [vec!["(".into()], a, vec![")".into()]].concat()),
                inner.clone().prop_map(|a| [vec!["f".into(), "(".into()], a, vec![")".into()]].concat()),
                inner.clone().prop_map(|a| [vec!["[".into()], a, vec!["]".into()]].concat()),
                inner.clone().prop_map(|a| [vec!["typeof".into()], a].concat()),
                inner.prop_map(|a| [vec!["`//${".into()], a, vec!["}/*`".into()]].concat()),
            ]
        })
    }

    fn statement() -> impl Strategy<Value = Vec<String>> {
        (value(), 0..4).prop_map(|(value, kind)| {
            let words = |text: &str| text.split(' ').map(str::to_string).collect::<Vec<_>>();
            match kind {
                0 => [words("const a ="), value, words(";")].concat(),
                1 => [words("if ( a ) { return"), value, words("}")].concat(),
                2 => [words("while ( a ) /'/ . test ("), value, words(") ;")].concat(),
                _ => [words("a ++ / 2 ; throw"), value, words(";")].concat(),
            }
        })
    }

    fn gap() -> impl Strategy<Value = &'static str> {
        prop::sample::select(vec![" ", "/* ' */", "/*`*/", "// \" it's\n", "/** a\n/ b */", "\n\n", "/**/", "//`${\n"])
    }

    fn without_blanks(text: &str) -> String {
        text.chars().filter(|next| !next.is_whitespace()).collect()
    }

    proptest! {
        /// Whatever comments stand between the tokens, the tokens come out as they were.
        #[test]
        fn tokens_survive_any_comments(
            tokens in prop::collection::vec(statement(), 1..5).prop_map(|statements| statements.concat()),
            gaps in prop::collection::vec(gap(), 64),
        ) {
            // A blank follows each token, so that `/` and a comment never make another token.
            let commented: String =
                tokens.iter().zip(gaps.iter().cycle()).map(|(token, gap)| format!("{token} {gap}")).collect();
            let stripped = strip(&commented);
            prop_assert_eq!(without_blanks(&stripped), without_blanks(&tokens.concat()));
            prop_assert_eq!(strip(&stripped), stripped.clone());
        }
    }
}
