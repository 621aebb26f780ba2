"""The full-screen side of the book: Textual lives here and nowhere else."""
