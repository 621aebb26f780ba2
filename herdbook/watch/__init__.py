"""The watcher: a program that runs day and night, looks at the book, and tells people."""
