"""Counted things in words.

Takes numbers and nouns, gives text; imports nothing of ours.
"""

from __future__ import annotations


def counted(number: int, noun: str) -> str:
    """Say how many, with the noun in its number: 1 gap, 2 gaps, 1,000 rows."""
    return f"{number:,} {noun}" if number == 1 else f"{number:,} {noun}s"
