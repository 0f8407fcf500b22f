"""Facts that cannot all be true: a file a topic, and in `listed` all of them.

Each entry names its facts, says in words why they cannot all be true, and tests for it. It is tested on known facts
alone, so an unknown one contradicts nothing. What is contradicted is taken out of the job before anything is judged:
no verdict rests on either side, and the result names both.
"""
