"""The outside world: HTTP, the solve pool, the database, settings and the command line.

The wiring is `service.app`, and nowhere else. What is asked and how it is answered is
`service.questions.question`; the answers themselves come from `models` and `solver`.
"""

import os

# Before anything loads NumPy: its products are small here, and threads that wait for one another
# take the cores from the solves beside them.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
