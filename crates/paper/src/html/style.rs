//! The style sheet of the HTML page.
//!
//! What it owns: type, rules and white, on the screen and in print. What goes out: text that stands in the
//! page itself. Not known here: the words. It holds no `<` and no `&`, so that it is the same text
//! to an HTML reader and to an XML reader.

use std::fmt::Write;

use crate::document::Orientation;
use crate::picture::Ink;

/// The style sheet: inks by name for light and for dark screens, and the rules that use them. On paper it is light.
pub(super) fn css() -> String {
    let names = [
        (Ink::Black, "ink"),
        (Ink::Dark, "soft"),
        (Ink::Mid, "rule"),
        (Ink::Tint, "tint"),
        (Ink::Paper, "paper"),
    ];
    let list = |value: fn(Ink) -> String| -> String {
        let pairs = names.map(|(ink, name)| format!("--{name}: {};", value(ink)));
        pairs.join(" ")
    };
    let mut out = format!(
        "\n:root {{ color-scheme: light dark; {} }}\n{RULES}@media screen and (prefers-color-scheme: dark) {{\n  :root {{ {} }}\n",
        list(Ink::hex),
        list(Ink::dark_hex)
    );
    // Pictures carry their inks themselves; a rule of the page is stronger than that.
    for ink in Ink::ALL {
        let (light, dark) = (ink.hex(), ink.dark_hex());
        let _ = writeln!(
            out,
            "  svg [fill='{light}'] {{ fill: {dark}; }} svg [stroke='{light}'] {{ stroke: {dark}; }}"
        );
    }
    out.push_str("}\n");
    out
}

const RULES: &str = "
@page { size: auto; margin: 16mm; @bottom-right { content: 'page ' counter(page) ' of ' counter(pages); font: 8pt sans-serif; color: #4a4a4a; } }
html { font: 16px/1.45 'DejaVu Sans Condensed','Liberation Sans Narrow',Arial,sans-serif; color: var(--ink); background: var(--paper); }
body { max-width: 62em; margin: 2em auto; padding: 0 1.2em; font-variant-numeric: tabular-nums; overflow-wrap: break-word; }
.running { display: flex; justify-content: space-between; gap: 1em; color: var(--soft); font-size: .85em; border-bottom: 1px solid var(--rule); }
h1.title { font-size: 1.7em; line-height: 1.2; margin: .8em 0 0; }
.subtitle { margin: .1em 0 0; color: var(--soft); }
header { border-bottom: 1.5px solid var(--ink); padding-bottom: .4em; margin-bottom: 1em; }
h2 { font-size: 1.3em; margin: 1.6em 0 .3em; } h3 { font-size: 1.1em; margin: 1.3em 0 .3em; } h4 { font-size: 1em; margin: 1em 0 .2em; }
h2, h3, h4 { line-height: 1.25; break-after: avoid; }
p { margin: .5em 0; orphans: 2; widows: 2; }
ol, ul { padding-left: 1.8em; } li { margin: .25em 0; }
table { border-collapse: collapse; width: 100%; margin: 1.1em 0; border-top: 1.5px solid var(--ink); border-bottom: 1.5px solid var(--ink); }
caption { text-align: left; font-weight: bold; padding-bottom: .3em; break-after: avoid; }
thead { display: table-header-group; border-bottom: 1px solid var(--ink); }
th { font-weight: bold; text-align: left; vertical-align: bottom; } .unit { display: block; font-weight: normal; color: var(--soft); }
td, th { padding: .25em .4em; } td, tbody th { vertical-align: top; } tbody th { font-weight: inherit; }
tr { break-inside: avoid; } tbody tr { border-bottom: 1px solid var(--rule); } thead tr { border: 0; }
.group th { background: var(--tint); break-after: avoid; font-weight: bold; } .group { break-after: avoid; }
.l { text-align: left; } .r { text-align: right; } .c { text-align: center; } .v { font-size: 1.15em; } .d, .n { white-space: nowrap; }
.f { display: inline-block; text-align: left; }
.p svg { float: left; margin-right: .4em; } .p div { overflow: hidden; }
.blank div { border: 1px solid var(--soft); min-height: 9mm; min-width: 16mm; box-sizing: border-box; }
.details { font-size: .92em; }
.facts { display: block; columns: 2; column-gap: 2em; margin: .8em 0; }
.facts div { display: flex; gap: .7em; break-inside: avoid; } dt { color: var(--soft); min-width: 8em; max-width: 45%; } dd { margin: 0; flex: 1; min-width: 0; }
.note { display: flex; gap: .8em; border: 1px solid var(--soft); padding: .5em .8em; margin: 1em 0; break-inside: avoid; }
.caution { border: 2px solid var(--ink); } .note p { margin: .15em 0; } .sign { flex: none; padding-top: .15em; }
figure { margin: 1em 0; break-inside: avoid; overflow-x: auto; } svg { max-width: 100%; height: auto; }
figure svg { min-width: calc(.75 * var(--w, 0pt)); }
.pictures { display: flex; flex-wrap: wrap; gap: 1em 2em; } .pictures figure { margin: 0; max-width: 100%; }
.keep { break-inside: avoid; } .lead { break-after: avoid; } .newpage { break-before: page; }
hr { border: 0; border-top: 1px solid var(--soft); margin: 1em 0; }
.line { height: 9mm; border-bottom: 1px solid var(--rule); } .write { break-inside: avoid; }
footer { margin-top: 2em; padding-top: .3em; border-top: 1px solid var(--rule); color: var(--soft); font-size: .85em; }
@media screen and (max-width: 700px) {
  body { margin: 1em auto; padding: 0 .8em; } .facts { columns: 1; } .running { flex-wrap: wrap; }
  table, caption, tbody, tbody tr, tbody th, tbody td { display: block; width: auto; }
  colgroup { display: none; }
  thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  table { border: 0; } tbody tr { border: 1px solid var(--rule); border-radius: .3em; padding: .3em .5em; margin: .6em 0; }
  tbody tr.group { border: 0; padding: 0; margin: 1em 0 0; }
  tbody th[scope=row] { font-weight: bold; font-size: 1.1em; text-align: left; white-space: normal; }
  tbody td { display: flow-root; padding-left: 40%; min-height: 1.45em; text-align: left !important; white-space: normal; font-size: 1em; }
  tbody td::before { content: attr(data-label); float: left; width: 60%; margin-left: -66%; color: var(--soft); font-weight: normal; font-size: 1rem; }
  tbody td.e { display: none; }
  .f { min-width: 0; }
}
@media print {
  html { font-size: 11pt; } body { max-width: none; margin: 0; padding: 0; } figure { overflow: visible; } figure svg { min-width: 0; }
  .group th { -webkit-print-color-adjust: exact; print-color-adjust: exact; }
}
";

/// The rule for paper in landscape format.
pub(super) fn turned(orientation: Orientation) -> &'static str {
    match orientation {
        Orientation::Portrait => "",
        Orientation::Landscape => "@page { size: landscape; margin: 12mm; }\n",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_reads_the_same_as_html_and_as_xml() {
        let css = css();
        assert!(!css.contains(['<', '&']));
        assert_eq!(css.matches('{').count(), css.matches('}').count());
        assert!(!css.contains("url(") && !css.contains("@import"));
    }

    #[test]
    fn every_ink_of_a_picture_has_one_for_a_dark_screen() {
        let css = css();
        let dark = css.split("prefers-color-scheme: dark").nth(1).unwrap();
        for ink in Ink::ALL {
            assert!(
                dark.contains(&format!("fill: {}", ink.dark_hex())),
                "{ink:?}"
            );
        }
    }

    #[test]
    fn rules_name_their_colours() {
        // The page number, which a browser sets outside of the page's own rules, is on paper only.
        let plain = RULES.replace("color: #4a4a4a", "");
        assert!(!plain.contains('#'), "{plain}");
    }
}
