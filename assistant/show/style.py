"""How the diary page looks: a work sheet off the boat, on screen and on A4."""

from __future__ import annotations

from typing import Final

#: No font, picture or script comes from anywhere else; the colours are varnish, canal green and signal red.
CSS: Final = """
:root{--ink:#1c2a28;--soft:#5d6b66;--rule:#d5dbd3;--green:#1d5548;--amber:#b5651d;--red:#a3312a;--sheet:#fffefb;
--ground:#e4e9e2;color-scheme:light}
*{box-sizing:border-box}
body{margin:0;background:var(--ground);color:var(--ink);font:15px/1.5 "Gill Sans","Gill Sans MT",Seravek,"Noto Sans",
"DejaVu Sans",sans-serif;font-variant-numeric:tabular-nums}
main{max-width:1000px;margin:28px auto;padding:34px 44px 30px 56px;background:var(--sheet);position:relative;
box-shadow:0 1px 2px #0002,0 12px 40px #1c2a2814}
main::before{content:"";position:absolute;inset:0 auto 0 0;width:16px;background:linear-gradient(90deg,
#d59b55 0 4px,#c47f36 4px 8px,#b5651d 8px 12px,#914c12 12px 16px)}
header{border-bottom:3px solid var(--green);padding-bottom:12px;margin-bottom:18px}
.job{margin:0;color:var(--green);font-weight:700;letter-spacing:.16em;text-transform:uppercase;font-size:13px}
h1{margin:2px 0 8px;font-size:33px;line-height:1.1;font-weight:600;letter-spacing:-.01em}
.so-far{margin:0 0 6px;color:var(--red)}
.facts{display:flex;flex-wrap:wrap;gap:4px 30px;list-style:none;margin:0;padding:0;color:var(--soft)}
.facts b{color:var(--ink);font-size:20px;font-weight:600}
h2{font-size:17px;margin:0 0 6px;font-weight:600;color:var(--green)}
.space{color:var(--soft);font-weight:400;font-size:14px;margin-left:6px}
figure{margin:0 0 22px}
figcaption{color:var(--soft);font-size:12.5px;margin-top:4px}
.timeline{display:block;width:100%;height:auto}
.timeline text{font-family:inherit;fill:var(--ink)}
.timeline .clock{font-size:11px;fill:var(--soft)}
.timeline .piece{font-size:13.5px}
.timeline .n{font-size:11px;font-weight:700;fill:#fff;text-anchor:middle}
.timeline .hour{stroke:var(--rule);stroke-width:1}
.timeline .midnight{stroke:var(--soft);stroke-width:1;stroke-dasharray:3 3}
.timeline .now{stroke:var(--red);stroke-width:1.2}
.timeline .lane{stroke:var(--rule)}
.timeline .sand{stroke:#8b7a55;stroke-width:1.8;fill:none;stroke-linecap:round}
.timeline .fault{fill:var(--red)}
.timeline .other{fill:var(--green)}
.timeline .air{fill:none;stroke:var(--green);stroke-width:1.6}
.timeline .reading{fill:var(--green)}
.timeline .acts{fill:#d9c3a3}.timeline .coats{fill:var(--amber)}
.pieces{columns:2;column-gap:40px}
article{break-inside:avoid;padding:12px 0 14px;border-top:1px solid var(--rule)}
article ol,.besides ol{list-style:none;margin:0;padding:0}
article li,.besides li{display:grid;grid-template-columns:auto 1fr auto;gap:0 12px;align-items:baseline;padding:1px 0}
time{color:var(--soft)}
.swatches{display:flex;flex-wrap:wrap;gap:3px;margin:2px 0 8px!important}
.swatches li{position:relative;display:block!important;width:44px;height:40px;text-align:center;padding:0!important}
.swatches i{position:absolute;inset:0 0 15px 0;border-radius:2px;print-color-adjust:exact;-webkit-print-color-adjust:exact}
.swatches b{position:absolute;inset:2px 0 auto 0;font-size:13px;color:#fff;text-shadow:0 0 3px #0009}
.swatches small{position:absolute;inset:auto 0 0 0;font-size:10.5px;line-height:14px;color:var(--soft)}
.swatches .new small{color:var(--ink);font-weight:700}
li.fault span{color:var(--red)}
del{color:var(--soft)}
.corrected{font-style:normal;font-size:12.5px;color:var(--red);border-bottom:1px dotted var(--red)}
audio{height:26px;width:190px}
.clip{color:var(--soft);font-size:12px}
.besides{border-top:1px solid var(--rule);padding:12px 0}
.lists{display:grid;grid-template-columns:repeat(auto-fit,minmax(300px,1fr));gap:0 40px}
.lists section{border-top:1px solid var(--rule);padding:12px 0;break-inside:avoid}
.lists ul,.lists ol,.totals ul{margin:0;padding-left:19px}
.lists .day-by-day{grid-column:1/-1}
.day-by-day ul{columns:2;list-style:none;padding:0;font-size:13px}
.waiting li::marker{color:var(--amber)}
.first-moves li::marker{color:var(--green);font-weight:700}
.totals{display:grid;grid-template-columns:1fr 1fr;gap:0 40px;border-top:1px solid var(--rule);padding-top:12px}
table{border-collapse:collapse;width:100%}
caption{text-align:left;font-size:17px;font-weight:600;color:var(--green);padding-bottom:4px}
th{text-align:left;font-weight:400}
td{padding:1px 0 1px 14px;text-align:right;white-space:nowrap}
td:last-child{color:var(--soft);width:1%}
.totals p{margin:8px 0 0;color:var(--soft)}
.nothing{font-size:18px;color:var(--soft)}
footer{margin-top:26px;break-inside:avoid}
.sign{display:grid;grid-template-columns:2fr 2fr 1fr;gap:36px;margin-bottom:16px}
.line{border-bottom:1.5px solid var(--ink);height:56px;display:flex;align-items:flex-start}
.line span{color:var(--soft);font-size:12.5px}
footer p{margin:4px 0;color:var(--soft);font-size:12px}
.made{letter-spacing:.05em}
@media (max-width:760px){main{margin:0;padding:22px 18px 22px 32px}.pieces{columns:1}.totals,.sign{grid-template-columns:1fr}
figure{overflow-x:auto}.timeline{min-width:720px}.day-by-day ul{columns:1}}
@page{size:A4;margin:14mm 12mm}
@media print{body{background:#fff;font-size:10.5pt}main{box-shadow:none;margin:0;max-width:none;padding:0 0 0 22px}
main::before{width:8px;background:#b5651d;print-color-adjust:exact;-webkit-print-color-adjust:exact}
.timeline{print-color-adjust:exact;-webkit-print-color-adjust:exact}audio{display:none}a{color:inherit}}
"""
