"""One command a file, named as it is typed; ``cli.main`` finds them by themselves.

Each has a function of the file's name and ``PLACE``, its place in ``--help``. May use everything
but each other; nothing but ``cli.main`` uses a command.
"""
