"""Answers in plain text, one function an answer: the public face of the `text_*` modules."""

from episodes.exports.text_check import check_text
from episodes.exports.text_fact import fact_text
from episodes.exports.text_late import late_text
from episodes.exports.text_lists import orders_text, shots_text
from episodes.exports.text_today import today_text
from episodes.exports.text_why import why_text

__all__ = [
    "check_text",
    "fact_text",
    "late_text",
    "orders_text",
    "shots_text",
    "today_text",
    "why_text",
]
