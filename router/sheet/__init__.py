"""The sheet: one self-contained page that is printed or read on a phone, and worked from.

Cautions first, then what to fetch, the map, the work in its order, each run's figures, the checks, and the
sources of every rule used. The same plan and map give the same page, byte for byte.
"""
