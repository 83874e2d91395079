//! What a page is made of, put together: its modules in one file, its styles in another. A browser takes some milliseconds for each file
//! that it asks for, and the worktable has more than fifty.

use std::collections::BTreeMap;
use std::fmt::Write as _;

/// A page and the two files it asks for.
pub(crate) struct Bundle {
    /// The page, which names the two files in place of those they are made of.
    pub(crate) page: String,
    /// The name of the file of modules under `/web/`, and its text.
    pub(crate) script: (String, String),
    /// The name of the file of styles, and its text.
    pub(crate) style: (String, String),
}

/// The bundle of the page called `name`, such as `shelf.html`. `text_of` gives the text of a file by its name under `/web/`.
pub(crate) fn bundled(name: &str, page: &str, text_of: impl Fn(&str) -> String) -> Bundle {
    let stem = name.trim_end_matches(".html");
    // Beside the styles it is made of, so that it finds the fonts where they do.
    let (script_name, style_name) = (format!("{stem}.page.js"), format!("{stem}.page.css"));
    let (mut lines, mut modules, mut style) = (String::new(), Modules::default(), String::new());
    for line in page.split_inclusive('\n') {
        if let Some(sheet) = between(line, "<link rel=\"stylesheet\" href=\"/web/", "\">") {
            if style.is_empty() {
                let _ = writeln!(lines, "<link rel=\"stylesheet\" href=\"/web/{style_name}\">");
            }
            style.push_str(&text_of(sheet));
        } else if let Some(first) = between(line, "<script type=\"module\" src=\"/web/", "\"></script>") {
            modules.add(first, &text_of);
            let _ = writeln!(lines, "<script type=\"module\" src=\"/web/{script_name}\"></script>");
        } else {
            lines.push_str(line);
        }
    }
    Bundle { page: lines, script: (script_name, modules.text), style: (style_name, style) }
}

/// Modules one behind another, each behind those it imports. Each is a function that is called at once and whose result is what the
/// module exports, so that each keeps its own names. So modules may not import each other in a circle, an import takes one line, and
/// what is exported is a single declaration; the tests see to it.
#[derive(Default)]
struct Modules {
    text: String,
    places: BTreeMap<String, usize>,
}

impl Modules {
    /// Adds a module and what it imports; gives the constant that holds its exports.
    fn add(&mut self, name: &str, text_of: &impl Fn(&str) -> String) -> String {
        let constant = |place| format!("module{place}");
        if let Some(place) = self.places.get(name) {
            return constant(*place);
        }
        let constant = constant(self.places.len());
        self.places.insert(name.to_owned(), self.places.len());
        let text = text_of(name);
        let (mut body, mut exported) = (String::new(), Vec::new());
        for line in text.lines() {
            if let Some((what, path)) = imported(line) {
                let from = beside(name, path).map(|path| self.add(&path, text_of)).unwrap_or_default();
                let what = what.trim_start_matches("* as ").replace(" as ", ": ");
                let _ = writeln!(body, "const {what} = {from};");
            } else if let Some(declared) = line.strip_prefix("export ") {
                exported.extend(declared_name(declared));
                let _ = writeln!(body, "{declared}");
            } else {
                let _ = writeln!(body, "{line}");
            }
        }
        let exported = exported.join(", ");
        let _ = writeln!(
            self.text,
            "// {name}\nconst {constant} = (() => {{\n{body}return {{ {exported} }};\n}})();"
        );
        constant
    }
}

/// What a line of a module imports, and from where, if it does.
fn imported(line: &str) -> Option<(&str, &str)> {
    let (what, path) = line.strip_prefix("import ")?.split_once(" from '")?;
    Some((what, path.strip_suffix("';")?))
}

/// The name that a declaration gives.
fn declared_name(declaration: &str) -> Option<&str> {
    let kinds = ["const ", "class ", "async function ", "function "];
    let named = kinds.iter().find_map(|kind| declaration.strip_prefix(kind))?;
    let end = named.find(|sign: char| !sign.is_alphanumeric() && sign != '_' && sign != '$')?;
    named.get(..end).filter(|name| !name.is_empty())
}

/// The name of the file that `path` leads to from the file `name`; `None` when it leads out of the folder.
fn beside(name: &str, path: &str) -> Option<String> {
    let mut parts: Vec<&str> = name.split('/').collect();
    parts.pop();
    for part in path.split('/') {
        match part {
            "." => {}
            ".." => drop(parts.pop()?),
            part => parts.push(part),
        }
    }
    Some(parts.join("/"))
}

/// What stands between two texts that a line begins and ends with.
fn between<'line>(line: &'line str, before: &str, behind: &str) -> Option<&'line str> {
    line.trim_end().strip_prefix(before)?.strip_suffix(behind)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::fs;
    use std::path::Path;

    use super::*;

    fn text_of(name: &str) -> String {
        let text = match name {
            "page.js" => {
                "import { a as first } from './steps/a.js';\nimport * as b from './b.js';\nfirst(b.B);\n"
            }
            "steps/a.js" => {
                "import { B } from '../b.js';\nexport const a = () => B;\nexport async function c() {}\n"
            }
            "b.js" => "/** One. */\nexport const B = 1;\n",
            "one.css" => "a { color: red; }\n",
            "two.css" => "b { color: blue; }\n",
            other => panic!("{other} is nowhere asked for"),
        };
        text.to_owned()
    }

    #[test]
    fn a_page_asks_for_one_file_of_each_kind() {
        let page = "<link rel=\"stylesheet\" href=\"/web/one.css\">\n<link rel=\"stylesheet\" href=\"/web/two.css\">\n\
                    <script type=\"module\" src=\"/web/page.js\"></script>\n<body></body>\n";
        let Bundle { page, script, style } = bundled("shelf.html", page, text_of);
        assert_eq!(
            page,
            "<link rel=\"stylesheet\" href=\"/web/shelf.page.css\">\n\
             <script type=\"module\" src=\"/web/shelf.page.js\"></script>\n<body></body>\n"
        );
        assert_eq!(style, ("shelf.page.css".into(), "a { color: red; }\nb { color: blue; }\n".into()));
        assert_eq!(script.0, "shelf.page.js");
        let expected = "\
// b.js
const module2 = (() => {
/** One. */
const B = 1;
return { B };
})();
// steps/a.js
const module1 = (() => {
const { B } = module2;
const a = () => B;
async function c() {}
return { a, c };
})();
// page.js
const module0 = (() => {
const { a: first } = module1;
const b = module2;
first(b.B);
return {  };
})();
";
        assert_eq!(script.1, expected);
    }

    const WEB: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/web");

    #[test]
    fn every_module_of_the_pages_has_the_form_that_can_be_bundled() {
        for page in ["shelf", "worktable", "easel", "pair"] {
            let text_of = |name: &str| fs::read_to_string(Path::new(WEB).join(name)).unwrap();
            let forms = |name: &str| {
                let text = text_of(name);
                for line in text.lines() {
                    if line.starts_with("import") {
                        assert!(imported(line).is_some(), "{name}: an import takes one line: {line}");
                    } else if let Some(declaration) = line.strip_prefix("export") {
                        let named = declared_name(declaration.trim_start());
                        assert!(named.is_some(), "{name}: what is exported is one declaration: {line}");
                    }
                }
                text
            };
            let page = format!("{page}.html");
            let script = bundled(&page, &text_of(&page), forms).script.1;
            let mut above = BTreeSet::new();
            for line in script.lines() {
                if let Some(constant) =
                    line.strip_prefix("const ").and_then(|line| line.strip_suffix(" = (() => {"))
                {
                    above.insert(constant);
                } else if let Some((_, constant)) = line.split_once(" = module") {
                    let constant = format!("module{}", constant.trim_end_matches(';'));
                    assert!(
                        above.contains(&*constant),
                        "{page}: modules import each other in a circle: {line}"
                    );
                }
            }
            assert!(above.len() > 3, "{page}: {above:?}");
        }
    }

    #[test]
    fn no_path_leads_out_of_the_folder() {
        assert_eq!(beside("steps/a.js", "../b.js").as_deref(), Some("b.js"));
        assert_eq!(beside("a.js", "../../etc/passwd"), None);
    }
}
