"""Answers to bytes: JSON, text, calendar file; nothing is computed here.

In: an answer, the season it answers for, and `now` where a form carries a stamp. Out: text or
bytes, the same for the same input. Knows nothing of how an answer came about, writes no file and
reads no clock: `commands` does both.
"""
