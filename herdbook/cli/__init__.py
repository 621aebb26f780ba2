"""The same chores and reports as on the screens, in plain commands."""
