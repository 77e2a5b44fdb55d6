"""The layout: every pivot and seat from the readings, left and right on their own.

One file a subject gives its relations; ``solving`` puts a job's together and answers for every
name; ``diagnoses`` says in sentences what does not fit and the least change that cures it;
``surety`` how sure an answer is. A job comes in, with results given as measured.
"""

from .solving import LayoutRow, given_and_solved, names, of_side, relations, solve

__all__ = ["LayoutRow", "given_and_solved", "names", "of_side", "relations", "solve"]
