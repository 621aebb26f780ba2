"""Rations found by linear programming on HiGHS: the cheapest, the least changed, and what stands in the way."""
