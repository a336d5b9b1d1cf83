"""How a page looks on a screen, by day and by night, wide and on a phone."""

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
body{margin:0 auto;max-width:70rem;padding:1rem;background:var(--paper);color:var(--ink);
font:1rem/1.45 Arial,Helvetica,"Liberation Sans",sans-serif;overflow-wrap:break-word}
h1{font-size:1.7rem;line-height:1.2;margin:.2rem 0 .4rem}
h2{font-size:1.3rem;margin:2rem 0 .6rem;padding-top:.5rem;border-top:3px solid var(--ink)}
h3{font-size:1.08rem;margin:1.2rem 0 .4rem}
p{margin:.4rem 0}
a{color:var(--link)}
ul,ol{padding-left:1.4rem;margin:.4rem 0}
nav ul{display:flex;flex-wrap:wrap;gap:.3rem 1rem;list-style:none;padding:0;margin:.6rem 0}
nav a{display:inline-block;padding:.35rem 0}
.facts{display:grid;grid-template-columns:repeat(auto-fill,minmax(9.5rem,1fr));
gap:.5rem 1.2rem;margin:.6rem 0}
.facts div{border-left:3px solid var(--line);padding-left:.6rem}
.facts dt{color:var(--soft);font-size:.84rem}
.facts dd{margin:0;font-weight:700}
.caution{display:grid;grid-template-columns:7rem 1fr;border:2px solid var(--ink);margin:.45rem 0}
.caution strong{display:flex;align-items:center;justify-content:center;padding:.3rem;letter-spacing:.03em}
.caution p{margin:0;padding:.45rem .7rem}
.DANGER{background:#b00020;color:#fff}.WARNING{background:#f7a600;color:#000}
.CAUTION{background:#ffe14d;color:#000}.NOTICE{background:#1f4e79;color:#fff}
.table{margin:.6rem 0 1rem}
table{border-collapse:collapse;width:100%}
caption{text-align:left;font-weight:700;padding:.2rem 0 .3rem}
th,td{border-bottom:1px solid var(--line);padding:.32rem .5rem;text-align:left;vertical-align:top}
th{background:var(--tint);font-size:.86rem}
td{font-variant-numeric:tabular-nums}
.number{text-align:right;white-space:nowrap}
.soft{color:var(--soft);font-size:.9em}
.must{color:var(--must);font-weight:700}.should{color:var(--should);font-weight:700}
ul.plain{list-style:none;padding:0}
.findings li{margin:.45rem 0;padding-left:.6rem;border-left:3px solid var(--line)}
ol.work>li{margin:.5rem 0 1.2rem}
ol.work>li::marker{font-weight:700;font-size:1.08rem}
ol.work h3{margin:0 0 .3rem}
.tick{display:flex;gap:.6rem;align-items:flex-start;padding:.24rem 0}
td .tick{padding:0}
.untick{display:block;padding-left:1.75rem}
.tick input{flex:none;width:1.15rem;height:1.15rem;margin:.12rem 0 0;accent-color:var(--link)}
details{margin:.4rem 0}
summary{color:var(--link);cursor:pointer;padding:.3rem 0}
.map figure{margin:.6rem 0;overflow-x:auto;background:#fff;border:1px solid var(--line)}
.map svg{display:block;width:100%;min-width:54rem;height:auto}
.sign{display:grid;grid-template-columns:repeat(auto-fill,minmax(15rem,1fr));gap:1.6rem;margin-top:2.5rem}
.sign div{border-top:1px solid var(--ink);padding-top:.2rem;font-size:.86rem}
.hint{display:none}
@media (min-width:60rem){
.columns{columns:2;column-gap:2rem}
.columns>*,.columns tr{break-inside:avoid}
.columns>.table,.columns>details{break-inside:auto}
.pair{display:grid;grid-template-columns:1fr 1fr;gap:0 2rem}
}
@media screen and (max-width:38rem){
body{padding:.7rem}
.caution{grid-template-columns:1fr}
.wide thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.wide table,.wide tbody,.wide tr,.wide td,.wide caption{display:block;width:100%}
.wide tr{border:1px solid var(--line);border-radius:.3rem;margin:.45rem 0;padding:.2rem .5rem}
.wide td{border:0;padding:.14rem 0;display:grid;grid-template-columns:6.4rem minmax(0,1fr);gap:0 .6rem;
text-align:left;white-space:normal}
.wide td:empty{display:none}
.wide td::before{content:attr(data-name);color:var(--soft);font-size:.86rem}
.wide td.prose{display:block;padding:.3rem 0}
.wide td.prose::before{display:none}
.prose .soft{display:block}
.narrow th,.narrow td{padding:.32rem .3rem}
ol.work{padding-left:0;list-style-position:inside}
ol.work h3{display:inline}
.hint{display:block}
}
"""
