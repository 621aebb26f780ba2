"""Published rules and the trade's arithmetic: plain numbers in, plain numbers out, no book and no screen.

Rules are found through `herdbook.science.registry`, where every one of them is registered once with its
arguments, units, range, source and a worked check. Importing this package brings in nothing else.
"""
