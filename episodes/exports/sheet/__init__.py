"""The sheet: one room on paper, as one HTML file that needs nothing else and runs nothing."""
