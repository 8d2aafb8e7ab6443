//! Pages that a running program keeps up to date.

use maud::html;

use super::Section;
use super::frame::POLICY;
use super::frame::Page;

/// As [`POLICY`], but the page may run the script of the program that serves it, and ask that program whether to load anew.
const LIVE: &str =
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'self'; connect-src 'self'";

/// The script of a page that [`live`] made: asks every little while whether the record is still the one that is shown.
pub const SCRIPT: &str = include_str!("live.js");

/// Makes a page live: it loads [`SCRIPT`] from `/live.js` and compares `version` with what `/version` answers.
#[must_use]
pub fn live(page: &str, version: &str) -> String {
    let script = html! { script src="/live.js" data-version=(version) {} }.into_string();
    let policy = |text: &str| html! { meta content=(text); }.into_string();
    let inside = |text: &str| {
        let meta = policy(text);
        meta.trim_start_matches("<meta ")
            .trim_end_matches('>')
            .to_owned()
    };
    page.replacen(&inside(POLICY), &inside(LIVE), 1).replacen(
        "</body>",
        &format!("{script}</body>"),
        1,
    )
}

/// The page of a record that cannot be used: `words` say why, laid out already.
#[must_use]
pub fn trouble(name: &str, words: &str) -> String {
    let opening = html! { p class="about" { (name) } };
    let page = Page {
        title: "cannot be used",
        heading: "This record cannot be used",
        opening,
        contents: false,
        style: "pre{overflow-x:auto}",
    };
    page.write(&[Section::new(
        "faults",
        "What is wrong in it",
        html! { pre { (words) } },
    )])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_live_page_may_run_one_script_and_no_other() {
        let page = trouble(
            "truck <1>.yaml",
            "`rating` has no unit </pre><script>x</script>",
        );
        assert!(page.contains(POLICY_IN_HTML) && !page.contains("<script"));
        let live = live(&page, "7");
        assert!(
            live.contains("script-src &#39;self&#39;") || live.contains("script-src 'self'"),
            "{live}"
        );
        assert!(!live.contains(POLICY_IN_HTML));
        assert_eq!(live.matches("<script").count(), 1);
        assert!(live.contains("<script src=\"/live.js\" data-version=\"7\"></script></body>"));
    }

    /// As maud writes it into an attribute.
    const POLICY_IN_HTML: &str = "content=\"default-src 'none'; style-src 'unsafe-inline'\"";
}
