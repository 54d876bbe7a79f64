//! The style sheet of the HTML page.
//!
//! What it owns: type, rules and white, on the screen and in print. What goes out: text that stands in the
//! page itself. What it refuses to know: the words. It holds no `<` and no `&`, so that it is the same text
//! to an HTML reader and to an XML reader.

use crate::document::Orientation;

/// The style sheet.
pub(super) const CSS: &str = "
@page { size: auto; margin: 16mm; }
html { font: 15px/1.45 'DejaVu Sans Condensed','Liberation Sans Narrow',Arial,sans-serif; color: #111; background: #fff; }
body { max-width: 60em; margin: 2em auto; padding: 0 1.2em; font-variant-numeric: tabular-nums; overflow-wrap: anywhere; }
.running { display: flex; justify-content: space-between; color: #4a4a4a; font-size: .82em; border-bottom: 1px solid #8c8c8c; }
h1.title { font-size: 1.7em; line-height: 1.2; margin: .8em 0 0; }
.subtitle { margin: .1em 0 0; color: #4a4a4a; }
header { border-bottom: 1.5px solid #111; padding-bottom: .4em; margin-bottom: 1em; }
h2 { font-size: 1.3em; margin: 1.6em 0 .3em; } h3 { font-size: 1.1em; margin: 1.3em 0 .3em; } h4 { font-size: 1em; margin: 1em 0 .2em; }
h2, h3, h4 { line-height: 1.25; break-after: avoid; }
p { margin: .5em 0; orphans: 2; widows: 2; }
ol { padding-left: 1.8em; } li { margin: .25em 0; }
table { border-collapse: collapse; width: 100%; margin: 1.1em 0; border-top: 1.5px solid #111; border-bottom: 1.5px solid #111; }
caption { text-align: left; font-weight: bold; padding-bottom: .3em; break-after: avoid; }
thead { display: table-header-group; border-bottom: 1px solid #111; }
th { font-weight: bold; text-align: left; vertical-align: bottom; }
td, th { padding: .25em .4em; } td { vertical-align: top; }
tr { break-inside: avoid; } tbody tr { border-bottom: 1px solid #c4c4c4; }
.units td { color: #4a4a4a; padding-top: 0; } thead tr { border: 0; }
.group th { background: #efefec; break-after: avoid; } .group { break-after: avoid; }
.l { text-align: left; } .r { text-align: right; } .c { text-align: center; } .v { font-size: 1.15em; } .d { white-space: nowrap; }
.f { display: inline-block; text-align: left; }
.blank div { border: 1px solid #4a4a4a; min-height: 9mm; box-sizing: border-box; }
.tick { display: inline-block; margin-right: .7em; font-size: 1.1em; }
.facts { display: block; columns: 2; column-gap: 2em; margin: .8em 0; }
.facts div { display: flex; gap: .7em; break-inside: avoid; } dt { color: #4a4a4a; min-width: 7em; max-width: 45%; } dd { margin: 0; flex: 1; min-width: 0; }
.note { display: flex; gap: .8em; border: 1px solid #4a4a4a; padding: .5em .8em; margin: 1em 0; break-inside: avoid; }
.caution { border: 2px solid #111; } .note p { margin: .15em 0; } .sign { flex: none; padding-top: .15em; }
figure { margin: 1em 0; break-inside: avoid; } svg { max-width: 100%; height: auto; }
.keep { break-inside: avoid; } .newpage { break-before: page; }
hr { border: 0; border-top: 1px solid #4a4a4a; margin: 1em 0; }
.line { height: 9mm; border-bottom: 1px solid #8c8c8c; } .write { break-inside: avoid; }
footer { margin-top: 2em; padding-top: .3em; border-top: 1px solid #8c8c8c; color: #4a4a4a; font-size: .82em; }
@media print {
  html { font-size: 9.75pt; } body { max-width: none; margin: 0; padding: 0; }
  .group th { -webkit-print-color-adjust: exact; print-color-adjust: exact; }
}
";

/// What turns the paper, where it does not stand upright.
pub(super) fn turned(orientation: Orientation) -> &'static str {
    match orientation {
        Orientation::Portrait => "",
        Orientation::Landscape => "@page { size: landscape; margin: 12mm; }\n",
    }
}

#[cfg(test)]
mod tests {
    use super::CSS;

    #[test]
    fn it_reads_the_same_as_html_and_as_xml() {
        assert!(!CSS.contains(['<', '&']));
        assert_eq!(CSS.matches('{').count(), CSS.matches('}').count());
        assert!(!CSS.contains("url(") && !CSS.contains("@import"));
    }
}
