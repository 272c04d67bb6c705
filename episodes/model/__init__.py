"""What the user wrote, resolved and frozen: studio, episodes, season.

In: values already read, defaulted and checked by `files`. Out: immutable records in UTC minutes.
Knows nothing of files or of time passing.
"""
