//! The checks: their list, and the page of one.

use crate::check::Meta;
use crate::render::snippet::Look;
use crate::render::text::Page;
use crate::render::text::page::Column;
use crate::render::words;

/// All checks in one table.
#[must_use]
pub fn list(checks: &[&Meta], look: Look) -> String {
    let mut page = Page::new(look);
    let rows = checks
        .iter()
        .map(|check| {
            vec![
                check.name.to_owned(),
                words::level(check.level).to_owned(),
                words::harm(check.harm).to_owned(),
                check.summary.to_owned(),
            ]
        })
        .collect();
    page.table(
        0,
        &[
            Column::Words("Check"),
            Column::Words("Level"),
            Column::Words("Harm"),
            Column::Words("What it looks for"),
        ],
        rows,
    );
    page.blank();
    page.line(
        0,
        "`keyoff explain NAME` tells how each is decided, with its source and an example.",
    );
    page.into_text()
}

/// The page of a check, as it stands in the book, and what its tables hold that was not read in a publication; its words are
/// wrapped anew to the width, its examples stay as they are.
#[must_use]
pub fn page(check: &Meta, look: Look) -> String {
    let mut page = Page::new(look);
    let explained = check.explained();
    let mut words: Vec<&str> = Vec::new();
    let mut is_example = false;
    for line in explained.lines() {
        let is_fence = line.starts_with("```");
        let is_alone = is_fence || is_example || line.is_empty() || line.starts_with(['#', '|']);
        if is_alone || line.starts_with("- ") {
            say(&mut page, &mut words);
        }
        if is_alone {
            page.raw(line);
        } else {
            words.push(line.trim());
        }
        is_example ^= is_fence;
    }
    say(&mut page, &mut words);
    page.into_text()
}

/// A paragraph, or one item of a list.
fn say(page: &mut Page, words: &mut Vec<&str>) {
    if !words.is_empty() {
        let hang = if words[0].starts_with("- ") { 2 } else { 0 };
        page.item(0, hang, &words.join(" "));
        words.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_keeps_to_the_width_and_its_examples_stay() {
        for check in crate::check::ALL {
            let look = Look {
                width: 48,
                colour: false,
            };
            let page = page(&check.meta, look);
            let explained = check.meta.explained();
            let (mut wrapped, mut examples) = (0, 0);
            let mut is_example = false;
            for line in page.lines() {
                is_example ^= line.starts_with("```");
                if is_example {
                    assert!(explained.contains(line), "{}: {line}", check.meta.name);
                    examples += 1;
                } else if line.contains(' ') && !line.starts_with(['#', '|']) {
                    // A name longer than the page stays whole.
                    let last = line.trim_start().trim_start_matches("- ").rsplit_once(' ');
                    let is_whole = last.is_none_or(|(before, _)| before.len() > 48);
                    assert!(line.chars().count() <= 48 || !is_whole, "{line}");
                    wrapped += 1;
                }
            }
            assert!(wrapped > 4 && examples > 4, "{}", check.meta.name);
            let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
            assert_eq!(plain(&page), plain(&explained), "no word is lost");
        }
    }
}
