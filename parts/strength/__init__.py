"""The placed truck under its load cases, and the sizes that grow until what fails passes.

May use the truck, placed, rules and ``elements``; says nothing on paper.
"""
