"""The circuit diagram: one line a conductor, boxes in one column; drawn with the map's pen and letters."""
