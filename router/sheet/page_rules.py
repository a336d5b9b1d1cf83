"""CSS that depends on the page: its heading on every printed page, and the true size of the map's sheets."""

from __future__ import annotations


def page_rules(on_each_page: str, width_mm: float, height_mm: float) -> str:
    """Return the rules for pages: the heading of each, and each sheet of the map in its true size.

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
