"""The page of a chassis: one file that opens on a phone without a network.

The placed truck to turn and step through its travel, plan, side view and plots, every part with its
picture, status and files, checks by margin, cautions. May use everything of ``parts`` below it; no
sheet and no command builds on it.
"""
