"""Herdbook: one book for a dairy farm's two flows, feed in and milk out."""

__version__ = "0.1.0"
