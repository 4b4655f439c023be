"""The look of the triage page, on screen and on paper.

Takes nothing, gives a style sheet; imports nothing.
"""

STYLE = """
:root { color-scheme: light; --ink: #1c2127; --soft: #5a6470; --line: #d9dee4; --pale: #f5f7f9;
  --now: #a63a00; --shift: #8a5a00; --blue: #0a5a8c; }
* { box-sizing: border-box; }
body { font: .9375rem/1.45 system-ui, sans-serif; color: var(--ink); background: #fff; max-width: 68rem;
  margin: 0 auto; padding: 1.2rem; overflow-wrap: break-word; }
h1 { font-size: 1.5rem; margin: 0 0 .3rem; } h2 { font-size: 1.2rem; margin: 0 0 .5rem; }
h3 { font-size: 1rem; margin: 1rem 0 .3rem; } p { margin: .35rem 0; }
section { margin-top: 2rem; padding-top: 1rem; border-top: 2px solid var(--line); }
.small { font-size: .84rem; color: var(--soft); }
.cards { display: flex; flex-wrap: wrap; gap: .6rem; margin: .8rem 0; }
.card { flex: 1 1 8rem; border: 1px solid var(--line); border-top: 4px solid var(--blue); border-radius: 4px;
  padding: .5rem .7rem; }
.card b { display: block; font-size: 1.5rem; font-variant-numeric: tabular-nums; }
.card span { color: var(--soft); font-size: .84rem; }
.card.now { border-top-color: var(--now); } .card.next_shift { border-top-color: var(--shift); }
nav { display: flex; flex-wrap: wrap; gap: .3rem 1rem; margin-top: .6rem; }
nav a { color: var(--blue); }
.wide { overflow-x: auto; margin: .5rem 0; }
table { border-collapse: collapse; width: 100%; font-size: .875rem; }
th { text-align: left; border-bottom: 2px solid var(--ink); padding: .3rem .9rem .3rem 0; vertical-align: bottom; }
td { overflow-wrap: anywhere; min-width: 5.8rem; border-top: 1px solid var(--line); padding: .3rem .9rem .3rem 0; vertical-align: top; }
tbody tr:nth-child(even) { background: var(--pale); }
.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.day { white-space: nowrap; }
.level { display: inline-block; white-space: nowrap; border: 1px solid var(--soft); border-radius: 3px;
  padding: 0 .35rem; font-size: .8rem; }
.level.now { background: var(--now); border-color: var(--now); color: #fff; font-weight: 600; }
.level.next_shift { border: 2px solid var(--shift); color: var(--shift); font-weight: 600; }
figure { margin: .8rem 0; } figure svg { display: block; height: auto; max-width: 100%; }
.visit { border: 1px solid var(--line); border-radius: 4px; padding: .2rem .8rem .5rem; margin: .8rem 0; }
.cautions { columns: 2 22rem; column-gap: 2rem; padding-left: 1.6rem; font-weight: 600; font-size: .875rem; }
.cautions li { margin: .25rem 0; break-inside: avoid; }
.two { display: grid; grid-template-columns: repeat(auto-fit, minmax(18rem, 1fr)); gap: 0 2rem; }
footer { margin-top: 2rem; border-top: 2px solid var(--line); padding-top: .6rem; }
.caution { border-left: .35rem solid currentColor; padding: .1rem .7rem; font-weight: 600; }
@media print {
  @page { margin: 14mm; }
  body { max-width: none; padding: 0; font-size: 9.5pt; }
  nav { display: none; } .wide { overflow: visible; } thead { display: table-header-group; }
  section { break-before: auto; } tr, figure, .card { break-inside: avoid; }
  h2, h3 { break-after: avoid; } .visit { break-inside: auto; }
  .level.now, .card, tbody tr { -webkit-print-color-adjust: exact; print-color-adjust: exact; }
}
"""
