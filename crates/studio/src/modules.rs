//! The modules of a page: found by following what each imports, so that the page can name them all in its head. A browser then fetches
//! them at once, in place of finding each only when the one before has come.

use std::collections::BTreeSet;
use std::fmt::Write as _;

/// The page with a `modulepreload` link (HTML Living Standard, 4.6.7.12) for every module that its scripts import, one behind another.
/// `text_of` gives the text of a file by its name under `/web/`.
pub(crate) fn with_modules_named(page: &str, text_of: impl Fn(&str) -> Option<String>) -> String {
    let mut found = BTreeSet::new();
    let scripts = page.split("<script type=\"module\" src=\"/web/").skip(1);
    let mut to_read: Vec<String> =
        scripts.filter_map(|rest| Some(rest.split_once('"')?.0.to_owned())).collect();
    while let Some(name) = to_read.pop() {
        let Some(text) = text_of(&name) else { continue };
        let imported = text.lines().filter_map(imported).filter_map(|path| beside(&name, path));
        to_read.extend(imported.filter(|module| found.insert(module.clone())));
    }
    let mut links = String::new();
    for name in &found {
        let _ = writeln!(links, "<link rel=\"modulepreload\" href=\"/web/{name}\">");
    }
    page.replacen("</head>", &format!("{links}</head>"), 1)
}

/// What a line of a module imports, if it does.
fn imported(line: &str) -> Option<&str> {
    let (_, path) = line.strip_prefix("import ")?.split_once(" from '")?;
    path.strip_suffix("';")
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_module_is_named_once_however_far_behind_it_is() {
        let text_of = |name: &str| {
            let text = match name {
                "page.js" => "// A page.\nimport { a } from './steps/a.js';\nimport * as b from './b.js';\n",
                "steps/a.js" => "import { b } from '../b.js';\nimport { c } from './c.js';\n",
                "b.js" | "steps/c.js" => "export const one = 1;\n",
                other => panic!("{other} is nowhere imported"),
            };
            Some(text.to_owned())
        };
        let page = "<head>\n<script type=\"module\" src=\"/web/page.js\"></script>\n</head>\n<body></body>";
        let link = |name| format!("<link rel=\"modulepreload\" href=\"/web/{name}\">\n");
        let named = with_modules_named(page, text_of);
        assert_eq!(
            named,
            page.replace("</head>", &(link("b.js") + &link("steps/a.js") + &link("steps/c.js") + "</head>"))
        );
        assert_eq!(beside("a.js", "../../etc/passwd"), None);
    }
}
