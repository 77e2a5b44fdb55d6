"""What makes any family a set of finished parts: the side it is shown, sizing, mirroring,
interlocks, lettering, part numbers.

May use model, rules, stock, words and geometry; knows no family by name.
"""
