"""One command a file; ``cli.main`` registers them.

May use everything; nothing but ``cli.main`` uses a command.
"""
