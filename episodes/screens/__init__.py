"""The terminal screens: what the answers say, drawn and steered from the keyboard.

In: a season folder and an engine that answers (`engine.Engine`). Out: what the user sees, and
facts handed to `files.editing`. Nothing is worked out here: a figure on a screen is a figure of an
answer. The app is Textual's; one body widget draws every page line by line (`body`), the pages
(`tonight`, `runup`, `door`) say what stands on each line, `frame` keeps the verdict in sight.

Nothing here is imported by the commands until a screen is opened: `launch.run` is the way in.
"""
