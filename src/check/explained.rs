//! The page of a check together with what its tables admit.

use std::fmt::Write as _;

use super::Meta;
use crate::table;

/// How a page names tables: the command with the first, and more names right after it.
const COMMAND: &str = "`keyoff tables";

impl Meta {
    /// The page, and below it what the tables that it names hold from memory, by derivation or as common practice.
    #[must_use]
    pub fn explained(&self) -> String {
        let mut page = format!("{}\n", self.page.trim_end());
        let named = self.tables();
        let views = table::all();
        let mut lines: Vec<String> = Vec::new();
        for view in views.iter().filter(|view| named.contains(&view.name)) {
            lines.extend(
                view.not_read()
                    .map(|source| format!("- {}: {source}", view.name)),
            );
        }
        if !lines.is_empty() {
            page.push_str("\n## In its tables, and not as read in a publication\n\n");
            let _ = writeln!(page, "{}", lines.join("\n"));
        }
        page
    }

    /// Names of the tables that its page names.
    fn tables(&self) -> Vec<&'static str> {
        let mut found = Vec::new();
        for (at, _) in self.page.match_indices(COMMAND) {
            let rest = &self.page[at + COMMAND.len()..];
            let mut words = rest.split('`');
            found.extend(words.next().map(str::trim));
            while let (Some(between), Some(name)) = (words.next(), words.next()) {
                if between.trim() != "," {
                    break;
                }
                found.push(name.trim());
            }
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::ALL;

    #[test]
    fn every_table_that_a_page_names_is_there() {
        let views: Vec<&str> = table::all().iter().map(|view| view.name).collect();
        let mut named = 0;
        for check in ALL {
            for table in check.meta.tables() {
                assert!(views.contains(&table), "{}: `{table}`", check.meta.name);
                named += 1;
            }
        }
        assert!(named > 30);
    }

    #[test]
    fn what_is_from_memory_is_passed_on() {
        let page = |name: &str| {
            let check = ALL.iter().find(|check| check.meta.name == name);
            check.unwrap().meta.explained()
        };
        assert!(
            page("fuse-opens-on-inrush")
                .contains("- inrush: typical range from the trade (from memory)")
        );
        assert!(page("short-not-cleared").contains("- fuse-time: "));
        assert!(
            !page("rating-not-made")
                .contains("## In its tables, and not as read in a publication\n\n\n")
        );
    }
}
