"""Part families, one a file, found by being here; files with a leading underscore are what several
families share.

May use design, geometry, rules, stock and words; nobody imports a family by its name.
"""
