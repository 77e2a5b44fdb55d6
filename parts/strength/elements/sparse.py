"""What is asked of a sparse matrix and of its factor, whichever package keeps them."""

from __future__ import annotations

from typing import Protocol, overload

from ....layout.arrays import Array, Index


class Factor(Protocol):
    """A factored matrix: solves for one load after another."""

    def solve(self, load: Array) -> Array:
        """Unknowns (n,) under a load (n,), or (n, loads) under several."""


class Sparse(Protocol):
    """A matrix (rows, columns) of which only what is not nought is kept."""

    @property
    def T(self) -> Sparse:  # noqa: N802  # as numpy and scipy call it
        """Rows and columns changed over."""

    @overload
    def __matmul__(self, other: Sparse) -> Sparse: ...
    @overload
    def __matmul__(self, other: Array) -> Array: ...
    def __add__(self, other: Sparse) -> Sparse:
        """Sum of two of the same shape."""

    def __getitem__(self, rows: Index | tuple[slice, Index]) -> Sparse:
        """Some of its rows, or some of its columns."""

    def tocsc(self) -> Sparse:
        """Kept column by column, as it is factored."""

    def tocsr(self) -> Sparse:
        """Kept row by row, as rows are taken from it."""

    def toarray(self) -> Array:
        """With its noughts."""
