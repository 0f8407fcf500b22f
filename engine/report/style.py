"""The report's one style sheet: a quiet page for print first, and for a narrow screen."""

PAPERS = {"Letter": "letter", "A4": "A4"}

_SHEET = """
:root { color-scheme: light dark; --ink: #111; --soft: #444; --rule: #999; --wash: #f1efe8; --page: #fff; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #f4f1e6; --soft: #cfcbbc; --rule: #77756b; --wash: #26251f; --page: #16160f; }
}
* { box-sizing: border-box; }
html { background: var(--page); color: var(--ink); font: 1rem/1.4 "Iowan Old Style", Charter, "Bitstream Charter",
  "Noto Serif", Cambria, Georgia, serif; -webkit-text-size-adjust: 100%; text-size-adjust: 100%; }
body { margin: 0 auto; max-width: 56rem; padding: 1rem; overflow-wrap: anywhere; }
h1, h2, h3, th, .verdict, .running, .label { font-family: system-ui, "Segoe UI", Roboto, "Noto Sans", sans-serif; }
h1 { font-size: 1.6em; line-height: 1.15; margin: 0 0 .2em; }
h2 { font-size: 1.2em; margin: 1.6em 0 .4em; padding-bottom: .15em; border-bottom: 2px solid var(--ink); }
h3 { font-size: 1em; margin: 1.1em 0 .2em; }
p { margin: .3em 0; }
ul, ol { margin: .3em 0; padding-left: 1.4em; }
.lead { font-size: 1.1em; }
.soft, .section, .note { color: var(--soft); }
.section { white-space: normal; }
.small { font-size: .88em; }
table.sheet, table.sheet > tbody, table.sheet > tbody > tr, table.sheet > tbody > tr > td { display: block; padding: 0; }
table.sheet > thead { display: none; }
dl.facts { display: grid; grid-template-columns: max-content 1fr; gap: .15em 1em; margin: .6em 0; }
dl.facts > div { display: contents; }
dl.facts dt { color: var(--soft); }
dl.facts dd { margin: 0; }
.overall { border: 2px solid var(--ink); padding: .6em .8em; margin: .8em 0; }
.overall p { margin: .15em 0; }
.verdict { font-weight: 700; }
.shape { vertical-align: -.18em; width: 1.05em; height: 1.05em; margin-right: .35em; overflow: visible; }
.shape path { fill: none; stroke: currentColor; stroke-width: 2.4; }
.shape.does_not_meet .edge { fill: currentColor; }
.shape.does_not_meet .mark { stroke: var(--page); stroke-width: 3; }
.shape.cannot_tell .edge { stroke-dasharray: 4 2; }
.conflict { border-left: 4px solid var(--ink); padding: 0 0 0 .8em; margin: .9em 0; }
.conflict h3 { margin-top: 0; }
.conflict dl { margin-bottom: 0; }
table.rows { width: 100%; border-collapse: collapse; font-size: .92em; table-layout: fixed; }
table.rows th, table.rows td { text-align: left; vertical-align: top; padding: .3em .8em .3em 0;
  border-bottom: 1px solid var(--rule); }
table.rows thead th { border-bottom: 2px solid var(--ink); font-size: .9em; }
table.rows th.group { background: var(--wash); padding: .3em .4em; font-size: .95em; }
table.rows tbody th[scope="row"] { font-weight: 600; }
table.rows p { margin: 0 0 .15em; }
.gear { columns: 2; column-gap: 2em; }
table.sizes { width: 100%; border-collapse: collapse; break-inside: avoid; margin-bottom: .8em; }
table.sizes caption { text-align: left; font-weight: 700; padding: 0 0 .2em; }
table.sizes th, table.sizes td { padding: .2em 0 .2em .6em; border-bottom: 1px solid var(--rule); text-align: right;
  vertical-align: baseline; overflow-wrap: normal; }
table.sizes tbody th { padding-left: 0; font-weight: 400; text-align: left; }
table.sizes thead th { font-weight: 400; font-size: .9em; color: var(--soft); }
table.sizes td { font-weight: 700; white-space: nowrap; }
table.sizes.wordy td { white-space: normal; }
.columns { columns: 2; column-gap: 2em; }
.columns h3 { margin: 0 0 .1em; border-bottom: 1px solid var(--rule); break-after: avoid; }
.columns section { margin-bottom: .9em; }
.columns dl.facts { grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); margin: .2em 0; gap: .1em .8em; }
ul.columns { list-style: none; padding: 0; }
ul.columns:not(:has(li + li)) { columns: 1; }
ul.columns li { margin-bottom: .2em; break-inside: avoid; }
table.rows th .section { font: .92em/1.3 "Iowan Old Style", Charter, "Noto Serif", Georgia, serif; }
.blank { height: 2.2em; }
figure { margin: 0; }
.drawing { display: grid; grid-template-columns: minmax(0, 1.15fr) minmax(0, 1fr); gap: 1.2em; align-items: start; }
.drawing svg { width: 100%; height: auto; max-width: 30rem; display: block; }
.photos { display: grid; grid-template-columns: 1fr 1fr; gap: 1em; }
.photos img { max-width: 100%; max-height: 22rem; display: block; border: 1px solid var(--rule); }
.arithmetic { columns: 2; column-gap: 2em; font-size: .85em; }
.arithmetic section { margin-bottom: .8em; }
.arithmetic h3 { margin: 0; font-size: 1.05em; }
.arithmetic p { margin: 0 0 .15em; break-after: avoid; }
.arithmetic ol { padding-left: 2em; }
.signing { display: grid; grid-template-columns: 2fr 2fr 1fr; gap: 1.5em; margin-top: 1.5em; align-items: end; }
.signing .line { border-bottom: 1px solid var(--ink); min-height: 3.2em; display: flex; align-items: flex-end;
  padding-bottom: 2px; }
.signing img { max-height: 5em; max-width: 100%; background: #fff; }
.next-transformer { border-top: 4px double var(--ink); margin-top: 2em; padding-top: 1em; }
@media screen and (max-width: 44rem) {
  .drawing, .photos, .signing { grid-template-columns: minmax(0, 1fr); }
  .arithmetic, .columns, .gear { columns: 1; }
  dl.facts { grid-template-columns: minmax(4.5em, max-content) minmax(0, 1fr); gap: .15em .7em; }
  table.rows, table.rows tbody, table.rows tr, table.rows th, table.rows td { display: block; width: auto; border: 0;
    padding: .05em 0; }
  table.rows colgroup, table.rows thead { display: none; }
  table.rows tr { border-bottom: 1px solid var(--rule); padding: .5em 0; }
  table.rows td[data-label]:not(:empty)::before { content: attr(data-label) ": "; color: var(--soft); }
  table.rows td > p { display: inline; }
  table.rows th.group { padding: .3em .4em; }
  .blank { display: none !important; }
}
@media print {
  :root { color-scheme: light; --ink: #000; --soft: #333; --rule: #888; --wash: #eee; --page: #fff; }
  html { font-size: 9.5pt; line-height: 1.3; }
  body { max-width: none; padding: 0; }
  table.sheet { display: table; width: 100%; border-collapse: collapse; table-layout: fixed; }
  table.sheet > tbody { display: table-row-group; }
  table.sheet > tbody > tr { display: table-row; }
  table.sheet > tbody > tr > td { display: table-cell; }
  table.sheet > thead { display: table-header-group; }
  .running { font-size: 8pt; font-weight: 400; color: var(--soft); text-align: left; padding: 0 0 1.2em; }
  .running span { display: flex; justify-content: space-between; gap: 2em; border-bottom: 1px solid var(--rule);
    padding-bottom: .3em; }
  h2, h3, .note { break-after: avoid; break-inside: avoid; }
  table.rows tr, .gear, table.sizes, .conflict, .overall, figure, .closing, .signing, li, header dl.facts,
  .conflict dl.facts, .arithmetic section { break-inside: avoid; }
  table.rows tr.group-row { break-after: avoid; }
  .running bdi:last-child { flex: none; max-width: 60%; }
  .running bdi:first-child { display: -webkit-box; -webkit-box-orient: vertical; -webkit-line-clamp: 2;
    overflow: hidden; }
  .drawing svg { max-width: 100%; max-height: 195mm; }
  div.columns { columns: 3; column-gap: 1.4em; }
  .columns dl.facts { display: block; line-height: 1.2; }
  .columns dl.facts dt, .columns dl.facts dd { display: inline; overflow-wrap: normal; }
  .columns dl.facts dt::after { content: ": "; }
  .columns dl.facts bdi { font-weight: 600; }
  .columns dl.facts > div { display: block; break-inside: avoid; }
  .photos img { max-height: 85mm; }
  .next-transformer { break-before: page; border: 0; margin: 0; padding: 0; }
  p, li { orphans: 2; widows: 2; }
}
"""


def style_sheet(paper: str) -> str:
    """The style sheet for one paper size; nothing in it comes from a job. Unit: none. Section: none."""
    return f"""{_SHEET}
@page {{
  size: {PAPERS[paper]};
  margin: 14mm 15mm 16mm;
  @bottom-left {{
    content: "Aid to licensed practice; the authority having jurisdiction decides.";
    font: 8pt system-ui, sans-serif;
  }}
  @bottom-right {{ content: "Page " counter(page) " of " counter(pages); font: 8pt system-ui, sans-serif; }}
}}
"""
