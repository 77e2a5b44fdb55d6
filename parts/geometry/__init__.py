"""Exact shapes: outlines of lines and arcs, bends, rail sections, holes, letters of strokes, solids
without a kernel.

May use model, stock and words; knows no family, no load and no file format. Lengths in mm,
angles in rad; arrays of points are (n, 3) in truck axes unless a docstring says otherwise.
"""
