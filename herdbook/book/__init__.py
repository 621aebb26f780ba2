"""The book itself: the only place that speaks SQL."""
