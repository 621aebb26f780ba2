"""What people do, one chore a file: plain functions that screens and commands call alike."""
