"""The map's sheets as PNG pictures, where the optional renderer is installed."""

from __future__ import annotations

import re

DOTS_PER_INCH = 200.0
MISSING = "--png needs a renderer: pip install 'underbody-router[png]', or print the map from a browser"


class NoRendererError(Exception):
    """The optional renderer is not installed."""


def draw_pictures(map_svg: str) -> tuple[bytes, ...]:
    """Return every sheet of a map made by `draw_map` as one PNG picture, at 200 dots per inch.

    Raises
    ------
    NoRendererError
        Where the renderer is not installed; its words say what to do.
    """
    try:
        import resvg_py  # noqa: PLC0415 - optional, and not needed for anything else
    except ImportError as error:
        raise NoRendererError(MISSING) from error
    return tuple(
        bytes(resvg_py.svg_to_bytes(svg_string=sheet, dpi=DOTS_PER_INCH, background="#ffffff"))
        for sheet in sheets_apart(map_svg)
    )


def sheets_apart(map_svg: str) -> tuple[str, ...]:
    """Return every sheet of a map made by `draw_map` as a document of its own that shows this sheet alone.

    Raises
    ------
    ValueError
        Where the text is no map.
    """
    box = re.search(r'viewBox="0,0,([\d.]+),([\d.]+)"', map_svg)
    if box is None:
        raise ValueError("the map is no SVG with a view box")
    count = max(1, len(re.findall(r'<g id="sheet-\d+">', map_svg)))
    height = float(box[2]) / count
    head, rest = map_svg[: box.end()], map_svg[box.end() :]
    head = re.sub(r'(?<= height=")[\d.]+(?=mm")', f"{height:g}", head)
    views = [f'viewBox="0,{number * height:g},{box[1]},{height:g}"' for number in range(count)]
    return tuple(head.replace(box[0], view) + rest for view in views)
