"""Forms over a page: adding to a plan and changing it, from the keyboard.

A form is a sheet of fields (`sheet`), drawn line by line like everything else here, each field a
line editor (`editor`) that shows hostile text as text and keeps it as it was typed. What a form
is for, which fields it has and what it writes stands in one module a form (`step`, `parcel`,
`shot` ..). Values are judged by nobody here: the season is read with the change, and the faults
that the reader finds are shown under the fields they stand at. `desk` has the plan files as a
form sees them, `writing` the keys.
"""
