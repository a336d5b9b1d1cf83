"""What no path can beat: the graph that proves how good a found path is."""
