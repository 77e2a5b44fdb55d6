"""One command a file; ``main`` registers them."""
