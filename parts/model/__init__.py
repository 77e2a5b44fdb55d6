"""The assembly model: vectors, bodies, members with their bolts and welds, families, the closed
list of verdicts.

Uses nothing but ``layout`` quantities; every other room of ``parts`` speaks its words.
"""
