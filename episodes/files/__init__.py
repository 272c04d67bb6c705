"""The edge where plans come in and facts go back.

In: TOML files of a season, iCalendar files of busy people, the user's caches. Out: the frozen
model of `episodes.model`, or every fault with its file, line and mend. Back: edits of a plan file
that keep its comments, with a journal to undo them. Knows nothing of schedules or answers.

`reading` is the way in, `editing` and `saving` the way back; `schema*` alone knows pydantic.
"""
