"""How the summary page looks: its styles, all in the page; black on white, since it is sent and printed."""

__all__ = ["STYLE"]

STYLE = """
:root { color-scheme: light; --ink: #15201b; --quiet: #4c5a53; --line: #c9d1cc; --edge: #66736c; --soft: #eef1ef; --accent: #1b6b47; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 68rem; padding: 1.5rem 1rem 4rem; color: var(--ink); background: #fff;
  font: 1.0625rem/1.5 system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", "Liberation Sans", sans-serif; }
h1 { font-size: clamp(1.625rem, 1.35rem + 1.3vw, 2.25rem); line-height: 1.2; margin: 0 0 .5rem; overflow-wrap: anywhere; }
h2 { font-size: 1.3125rem; margin: 2.5rem 0 .25rem; }
p { max-width: 65ch; margin: .25rem 0 .75rem; overflow-wrap: anywhere; }
.lead { font-size: 1.1875rem; }
.quiet, caption, .unit { color: var(--quiet); font-size: .9375rem; }
.notice { border-left: 4px solid var(--accent); padding: .25rem .75rem; background: var(--soft); max-width: 65ch; }
.notice p { margin: .25rem 0; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: middle; padding: .35rem .5rem; border-bottom: 1px solid var(--line); overflow-wrap: anywhere; }
thead th { border-bottom: 2px solid var(--ink); vertical-align: bottom; overflow-wrap: normal; }
td.n { white-space: nowrap; font-variant-numeric: tabular-nums; }
.every > * { font-weight: 600; border-top: 2px solid var(--edge); }
.spread th[scope=row] { width: 22%; overflow-wrap: break-word; }
.spread .picture { width: 40%; padding-block: .5rem .1rem; }
svg { display: block; width: 100%; height: 3.25rem; overflow: visible; }
svg line { vector-effect: non-scaling-stroke; }
.band { fill: #dfe9e3; } .grid { stroke: var(--line); stroke-width: 1; }
.value { stroke: var(--edge); stroke-width: 1.5; } .many { fill: var(--edge); }
.half { fill: #aab5af; stroke: var(--ink); stroke-width: 1; vector-effect: non-scaling-stroke; }
.median { stroke: var(--ink); stroke-width: 4; } .interval { stroke: var(--accent); stroke-width: 3; } .end { stroke: var(--accent); stroke-width: 2; }
.figures { position: relative; height: 1.4rem; font-size: .8125rem; color: var(--quiet); font-variant-numeric: tabular-nums; }
.figures span { position: absolute; transform: translateX(-50%); white-space: nowrap; }
.figures span:first-child { transform: none; } .figures span:last-child { transform: translateX(-100%); }
.key { display: grid; grid-template-columns: 7rem 1fr; gap: .5rem 1rem; align-items: center; max-width: 65ch; }
.key svg { height: 2rem; }
summary { cursor: pointer; min-height: 48px; display: list-item; line-height: 48px; font-weight: 600; }
@media screen and (min-width: 720px) { .spread tr:not(:last-child) .figures { display: none; } }
@media screen and (max-width: 719px) {
  table, tbody { display: block; }
  thead { position: absolute; clip-path: inset(50%); }
  tr { display: grid; grid-template-columns: repeat(3, minmax(0, 1fr)); gap: 0 .75rem; padding-block: .6rem; border-bottom: 1px solid var(--line); }
  th, td { border: 0; padding: 2px 0; }
  .spread th[scope=row], .spread .picture { width: auto; }
  th[scope=row], .picture, .whole { grid-column: 1 / -1; }
  td[data-head]::before { content: attr(data-head); display: block; color: var(--quiet); font-size: .875rem; font-weight: 400; }
  td.n { white-space: normal; }
  td.wide { grid-column: span 2; }
  .every > * { border-top: 0; }
  .key { grid-template-columns: 1fr; } .key svg { height: 3.25rem; }
}
@media print {
  @page { margin: 14mm; }
  body { max-width: none; padding: 0; font-size: 9.5pt; }
  .spread .picture { width: 34%; } th, td { padding: .25rem .3rem; }
  h2 { break-after: avoid; } tr, .key { break-inside: avoid; } thead { display: table-header-group; }
  svg { height: 2.6rem; }
  .spread tr:not(:last-child) .figures { display: none; }
  * { -webkit-print-color-adjust: exact; print-color-adjust: exact; }
}
"""
