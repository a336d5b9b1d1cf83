"""How a page looks on paper: black, dense, nothing broken in the middle, and named on every page."""

from __future__ import annotations

PRINT = """
@media print{
:root{color-scheme:light;--paper:#fff;--ink:#000;--soft:#222;--line:#777;--tint:#eee;--link:#000;--must:#000;--should:#000}
html,body{font-size:9pt}
body{max-width:none;padding:0;line-height:1.22}
h1{font-size:17pt;margin:0 0 1mm}
h2{font-size:12pt;margin:2.6mm 0 1mm;padding-top:.6mm;border-top-width:.6mm}
h3{font-size:10pt;margin:1.6mm 0 .6mm}
h2,h3,caption,thead,.lead,.keep p{break-after:avoid}
p{margin:.6mm 0}ul,ol{margin:.6mm 0;padding-left:4.5mm}
nav,.screen,.hint,details:not([open]){display:none}
summary{display:none}
.soft,th,.facts dt,.sign div{font-size:9pt}
.facts dd{display:inline}
.facts{grid-template-columns:repeat(4,1fr);gap:.8mm 3mm;margin:1mm 0}
.facts div{padding-left:1.5mm;border-left-width:.5mm;break-inside:avoid}
.cautions{display:grid;grid-template-columns:1fr 1fr;gap:1mm 3mm}
.cautions{padding-right:.5mm}
.cautions h2{grid-column:1/-1;margin-bottom:0}
.caution{grid-template-columns:18mm 1fr;border-width:.4mm;margin:0;break-inside:avoid}
.caution:last-child:nth-child(even){grid-column:1/-1}
.caution p{padding:.6mm 1.2mm}
.DANGER,.WARNING,.CAUTION,.NOTICE,th{-webkit-print-color-adjust:exact;print-color-adjust:exact}
.table{margin:1mm 0 2mm}
caption{padding:.3mm 0}
th,td{padding:.35mm 1.2mm}
thead{display:table-header-group}
tr,figure,li,.tick,.short{break-inside:avoid}
ol.work{padding-left:6mm}
ol.work>li{break-inside:auto;margin:.6mm 0 1.2mm}
ol.work>li::marker{font-size:10pt}
tbody tr:first-child,tbody tr:last-child{break-before:avoid}
.columns{columns:2;column-gap:5mm}
.columns li{margin:.3mm 0}
.columns .short{break-inside:auto}
.pair{display:grid;grid-template-columns:1fr 1fr;gap:0 5mm}
.tick{padding:.25mm 0;gap:1.4mm}
.untick{padding-left:4.6mm}
.tick input{appearance:none;-webkit-appearance:none;border:.3mm solid #000;width:3.2mm;height:3.2mm;
margin:.1mm 0 0}
.findings li{margin:.6mm 0}
.sign{margin-top:8mm}
main{display:flex;flex-direction:column}
.last{order:9}
.map h2{display:none}
.map figure{border:0;margin:0;overflow:visible;page:map;break-before:page;break-inside:avoid}
.map svg{width:var(--sheet-width);height:var(--sheet-height);min-width:0}
}
"""


def page_rules(on_each_page: str, width_mm: float, height_mm: float) -> str:
    """Return the rules for pages: what stands on each, and each sheet of the map in its true size.

    A hair is taken off the height so that rounding never makes a sheet spill on to a second page.

    Parameters
    ----------
    on_each_page : str
        A CSS string, as `router.sheet.document.css_text` makes it.
    width_mm, height_mm : float
        Of one sheet of the map.
    """
    words = "font:8pt Arial,Helvetica,sans-serif;vertical-align:bottom;padding-bottom:1mm"
    return (
        f":root{{--sheet-width:{width_mm:g}mm;--sheet-height:{height_mm - 0.3:g}mm}}"
        f"@page{{margin:11mm 10mm 9mm;@top-left{{content:{on_each_page};white-space:nowrap;{words}}}"
        f'@top-right{{content:"page " counter(page) " of " counter(pages);white-space:nowrap;{words}}}}}'
        f"@page:first{{@top-left{{content:none}}}}"
        f"@page map{{size:{width_mm:g}mm {height_mm:g}mm;margin:0;@top-left{{content:none}}"
        f"@top-right{{content:none}}}}"
    )
