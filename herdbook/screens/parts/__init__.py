"""Shared parts of the screens: fields, slips, tables and drawings, each in its own file."""
