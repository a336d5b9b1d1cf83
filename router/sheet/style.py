"""How the sheet looks: on a screen by day and by night, on a phone, and on paper in black and white."""

from __future__ import annotations

CSS = """
:root{color-scheme:light dark;--paper:#fff;--ink:#16181a;--soft:#4b5157;--line:#b9bfc5;
--tint:#f1f3f5;--link:#0b4f8a;
--must:#a30016;--should:#7a4300}
@media (prefers-color-scheme:dark){:root{--paper:#15181b;--ink:#eceff1;--soft:#b6bdc4;--line:#4a5158;
--tint:#20252a;
--link:#8fc4f5;--must:#ff9a9a;--should:#ffc27a}}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0 auto;max-width:62rem;padding:1rem;background:var(--paper);color:var(--ink);
font:1rem/1.45 Arial,Helvetica,"Liberation Sans",sans-serif;overflow-wrap:break-word}
h1{font-size:1.7rem;line-height:1.2;margin:.2rem 0 .4rem}
h2{font-size:1.3rem;margin:2rem 0 .6rem;padding-top:.5rem;border-top:3px solid var(--ink)}
h3{font-size:1.08rem;margin:1.2rem 0 .4rem}
p{margin:.4rem 0}
a{color:var(--link)}
nav ul{display:flex;flex-wrap:wrap;gap:.3rem 1rem;list-style:none;padding:0;margin:.6rem 0}
nav a{display:inline-block;padding:.35rem 0}
.facts{display:grid;grid-template-columns:repeat(auto-fill,minmax(9.5rem,1fr));
gap:.5rem 1.2rem;margin:.6rem 0}
.facts div{border-left:3px solid var(--line);padding-left:.6rem;break-inside:avoid}
.facts dt{color:var(--soft);font-size:.84rem}
.facts dd{margin:0;font-weight:700}
.caution{display:grid;grid-template-columns:7rem 1fr;border:2px solid var(--ink);margin:.45rem 0;
break-inside:avoid}
.caution strong{display:flex;align-items:center;justify-content:center;padding:.3rem;letter-spacing:.03em}
.caution p{margin:0;padding:.45rem .7rem}
.DANGER{background:#b00020;color:#fff}.WARNING{background:#f7a600;color:#000}
.CAUTION{background:#ffe14d;color:#000}.NOTICE{background:#1f4e79;color:#fff}
.table{margin:.6rem 0 1rem}
table{border-collapse:collapse;width:100%}
caption{text-align:left;font-weight:700;padding:.2rem 0 .3rem}
th,td{border-bottom:1px solid var(--line);padding:.32rem .5rem;text-align:left;vertical-align:top}
th{background:var(--tint);font-size:.86rem}
.number{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}
.soft{color:var(--soft);font-size:.9em}
.must{color:var(--must);font-weight:700}.should{color:var(--should);font-weight:700}
ul.plain{list-style:none;padding:0}
.findings li{margin:.45rem 0;padding-left:.6rem;border-left:3px solid var(--line)}
ul.plain>li{break-inside:avoid}
.work strong{display:block;break-after:avoid}
ol.work{padding-left:1.6rem}
ol.work>li{break-inside:auto;margin:.5rem 0}
ol.work>li::marker{font-weight:700}
.work ul{list-style:none;padding:0;margin:.2rem 0}
.tick{display:flex;gap:.6rem;align-items:flex-start;padding:.24rem 0;break-inside:avoid}
.tick input{flex:none;width:1.15rem;height:1.15rem;margin:.12rem 0 0;accent-color:var(--link)}
.map{margin:.6rem 0;overflow-x:auto;background:#fff;border:1px solid var(--line)}
.map svg{display:block;width:100%;min-width:54rem;height:auto}
.sign{display:grid;grid-template-columns:repeat(auto-fill,minmax(15rem,1fr));gap:1.6rem;margin-top:2rem}
.sign div{border-top:1px solid var(--ink);padding-top:.2rem;font-size:.86rem}
@media (max-width:38rem){
body{padding:.7rem}
.caution{grid-template-columns:1fr}
thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
table,tbody,tr,td,caption{display:block;width:100%}
tr{border:1px solid var(--line);border-radius:.3rem;margin:.45rem 0;padding:.2rem .5rem}
td{border:0;padding:.14rem 0;display:flex;justify-content:space-between;gap:1rem;text-align:right;
white-space:normal}
td:empty{display:none}
td::before{content:attr(data-name);color:var(--soft);font-size:.86rem;text-align:left;flex:0 0 38%}
.hint{display:block}
}
@media (min-width:38.01rem){.hint{display:none}}
@media print{
:root{color-scheme:light;--paper:#fff;--ink:#000;--soft:#333;--line:#777;--tint:#eee;--link:#000;--must:#000;--should:#000}
html{font-size:8.5pt}
body{max-width:none;padding:0;font-size:8.5pt;line-height:1.25}
h1{font-size:17pt}h2{font-size:12pt;margin:4mm 0 1.5mm;padding-top:1mm}h3{font-size:10pt;margin:2mm 0 .8mm}
h2,h3,caption{break-after:avoid}
thead{display:table-header-group}
tr,.facts div,figure,.keep li{break-inside:avoid}
.keep p{break-after:avoid}
tbody tr:first-child,tbody tr:last-child{break-before:avoid}
nav,.screen,.hint{display:none}
th,td{padding:.45mm 1.2mm}.table{margin:1.5mm 0 2.5mm}.tick{padding:.4mm 0}.facts{gap:1mm 3mm;margin:1.5mm 0}
.keep ul{columns:2;margin:.5mm 0}p{margin:.8mm 0}
.DANGER,.WARNING,.CAUTION,.NOTICE,th{-webkit-print-color-adjust:exact;print-color-adjust:exact}
.caution{border-width:.5mm;margin:1.2mm 0}
.tick input{appearance:none;-webkit-appearance:none;border:.35mm solid #000;width:3.6mm;height:3.6mm;
margin-top:.4mm}
.map{border:0;margin:0;overflow:visible;page:map;break-before:page;break-inside:avoid}
.map svg{width:var(--sheet-width);height:var(--sheet-height);min-width:0}
}
@page{margin:11mm}
"""


def page_rule(width_mm: float, height_mm: float) -> str:
    """Return the rule that prints every sheet of the map on its own page in its true size.

    A hair is taken off the height so that rounding never makes a sheet spill on to a second page.
    """
    return (
        f":root{{--sheet-width:{width_mm:g}mm;--sheet-height:{height_mm - 0.3:g}mm}}"
        f"@page map{{size:{width_mm:g}mm {height_mm:g}mm;margin:0}}"
    )
