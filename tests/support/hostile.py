"""A name that tries everything that a text in SVG or HTML could be broken by."""

HOSTILE = '<script>alert(1)</script>"\' onload="x" &amp; ]]> \x00\x1b\u202e\ud800'
