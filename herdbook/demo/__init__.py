"""The made-up farm: simulated day by day and written through the chores, so that every screen has something to show."""
