// How the pages of a brief look on paper: A4, black and white, three sizes of type, rules and space and nothing else.
// Inline, so that a page is one file that needs nothing.

/** Width of what is printed on. */
export const PAGE_WIDTH_MM = 186;

export const SHEET_CSS = `
@page { size: A4; margin: 10mm 9mm; }
* { box-sizing: border-box; }
html {
  font: 9.5pt/1.32 "IBM Plex Sans", system-ui, "Segoe UI", "Helvetica Neue", Arial, sans-serif;
  font-variant-numeric: tabular-nums lining-nums;
  color: #111;
  background: #fff;
  -webkit-print-color-adjust: exact;
  print-color-adjust: exact;
}
/* The bars of changed lines stand in the body's own edge: beyond it a printer prints nothing. */
body { margin: 0 auto; width: ${PAGE_WIDTH_MM + 6}mm; padding: 0 3mm; }
.page { break-after: page; }
.page:last-child { break-after: auto; }
@media screen {
  body { padding: 8mm 3mm; }
  .page { padding-bottom: 10mm; margin-bottom: 10mm; border-bottom: 0.3mm dashed #888; }
}
header {
  display: flex;
  justify-content: space-between;
  align-items: flex-start;
  gap: 6mm;
  border-bottom: 0.6mm solid #111;
  padding-bottom: 1.6mm;
}
h1 { font-size: 14pt; line-height: 1.15; font-weight: 600; margin: 0; }
header p { margin: 0.6mm 0 0; }
.version { text-align: right; white-space: nowrap; font-size: 8pt; line-height: 1.3; }
.version b { display: block; font-size: 14pt; line-height: 1.15; font-weight: 600; }
.verdict { display: flex; align-items: baseline; gap: 3mm; margin: 1.8mm 0 0; padding: 1mm 2mm; border: 0.5mm solid #111; }
.verdict b { font-size: 14pt; font-weight: 700; white-space: nowrap; }
.verdict.stop { background: #111; color: #fff; }
.two { display: grid; grid-template-columns: 1fr 1fr; column-gap: 6mm; }
h2 {
  font-size: 8pt;
  line-height: 1.2;
  font-weight: 600;
  letter-spacing: 0.04em;
  text-transform: uppercase;
  margin: 2.6mm 0 0.6mm;
  padding-bottom: 0.3mm;
  border-bottom: 0.2mm solid #111;
}
dl { margin: 0; display: grid; grid-template-columns: max-content 1fr; column-gap: 2.5mm; }
dt { color: #444; }
dd { margin: 0; }
.strong { font-weight: 600; }
table { border-collapse: collapse; width: 100%; }
th { text-align: left; font-weight: 400; color: #444; font-size: 8pt; padding: 0 2mm 0.2mm 0; vertical-align: bottom; }
td { padding: 0.35mm 2mm 0.35mm 0; border-top: 0.1mm solid #999; vertical-align: top; }
td:first-child { font-weight: 600; white-space: nowrap; }
.look td { padding-top: 0.2mm; padding-bottom: 0.2mm; }
.fix { white-space: nowrap; }
tr > :last-child { padding-right: 0; }
ul { margin: 0; padding: 0 0 0 3.4mm; }
.small, .look, .look th { font-size: 8pt; line-height: 1.25; }
.look { font-size: 7.4pt; line-height: 1.2; }
.look .was { font-size: 7pt; line-height: 1.15; }
.look h2 { margin-top: 2mm; }
.since { margin: 1.2mm 0 0; }
.map { margin: 2.4mm 0 0; }
.map svg { display: block; }
.key { display: flex; flex-wrap: wrap; gap: 0 4mm; font-size: 8pt; margin-top: 0.8mm; color: #333; }
.key span { white-space: nowrap; display: inline-flex; align-items: center; gap: 1mm; }
.changed { position: relative; }
.changed::before { content: ""; position: absolute; left: -2.2mm; top: 0; bottom: 0; width: 0.9mm; background: #111; }
td .was {
  white-space: normal;
}
.was { display: block; font-size: 8pt; font-weight: 400; color: #444; }
.was::before { content: "was "; font-style: italic; }
footer {
  margin-top: 2.4mm;
  padding-top: 0.8mm;
  border-top: 0.2mm solid #111;
  font-size: 8pt;
  color: #333;
  display: flex;
  justify-content: space-between;
  gap: 4mm;
}
.form td { height: 5.2mm; }
.form td:first-child { width: 45mm; font-weight: 400; color: #444; }
`;

/** What is looked up is set smaller where the face may be wider than the bundled one. */
export const OTHER_FACE_CSS = '.look, .look th { font-size: 6.8pt; line-height: 1.2; }';
