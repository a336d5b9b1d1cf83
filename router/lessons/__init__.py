"""Training: routes broken in one known way, and the sheets that ask what is wrong with them.

breaking   ways to break a good run, one a kind of finding
questions  a lesson: which of three ways, where to fix, what is wrong with this one
pages      its files
"""
