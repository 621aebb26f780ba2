"""Questions put to the book, one subject a file: plain SQL over sqlite3, plain rows back, no ORM.

Everything here sees only what stands (whose entry was not struck) unless it says otherwise. The functions take
a plain connection, so the same question can be asked in a reader's look and inside a chore's own turn.
"""
