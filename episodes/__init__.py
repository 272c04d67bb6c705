"""Back-schedule finished rooms from a fixed release: plan files in, verdicts and dates out."""

__version__ = "0.1.0"
