"""The page of a chassis: one file that opens on a phone without a network.

The placed truck to turn and step through its travel; what matters, worst first; every part with its
picture, status and files, every weld and bolt, each by its stage; readings, results, checks, plan,
side view and plots, cautions. All of it folded under a field that finds a part, weld, bolt or
reading, and open on paper. May use everything of ``parts`` below it; no sheet and no command builds
on it.
"""
