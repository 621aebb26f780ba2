"""The rules a book's facts must keep among each other, each a small function that lists what breaks it.

Chores refuse most of this when it is written; the rules find what came together from several entries, what a
correction left behind, and what another program wrote.
"""
