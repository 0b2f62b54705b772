"""What is slow to load waits until it is needed."""

import subprocess
import sys

PROGRAM = "import sys, service, solver.reformulate, solver.ladder; print('scipy' in sys.modules)"


def test_a_recipe_without_a_form_waits_for_no_scipy():
    """SciPy takes longer to load than most answers take: the front doors open without it."""
    ended = subprocess.run([sys.executable, "-c", PROGRAM], capture_output=True, text=True)
    assert ended.stdout.strip() == "False", ended.stderr
