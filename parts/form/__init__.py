"""The form for a phone under the truck: the walk, its sketches and its checks in one file.

The same rows of ``Field`` as the job file and the measuring sheet, what must add up from
``layout.job.closures``; works without a network, keeps what was typed, hands back one file that
``layout.job.handed`` reads. No sheet builds on it.
"""
