"""Ask a running service every recorded case and compare the answers.

    python -m openapi_examples.run http://127.0.0.1:8000

Cases that need unusual settings are passed over and said; those that store something are asked of
nobody but the recorder, so that a service in use keeps what it has and nothing else.
"""

import json
import sys

import httpx

from openapi_examples.asking import answer_of, as_text
from openapi_examples.cases import CASES
from openapi_examples.record import on_file
from openapi_examples.steady import Names


def main(arguments: list[str]) -> int:
    """Return 0 where every answer is the recorded one, 1 where one is not, 2 if misused."""
    if len(arguments) != 1:
        print("usage: python -m openapi_examples.run BASE_URL", file=sys.stderr)
        return 2
    different = 0
    with httpx.Client(base_url=arguments[0], timeout=60) as client:
        for case in CASES:
            if case.settings:
                print(f"passed over  {case.name} (needs {dict(case.settings)})")
                continue
            answer = client.request(
                case.method, case.path, content=case.body, headers=dict(case.headers)
            )
            recorded = _recorded(case.name)
            same = (answer.status_code, as_text(answer_of(answer, Names()))) == recorded
            different += not same
            print(f"{'same' if same else 'DIFFERENT':11}  {case.name}")
    return 1 if different else 0


def _recorded(name: str) -> tuple[int, str]:
    pair = json.loads(on_file(f"{name}.json"))
    return pair["response"]["status"], as_text(pair["response"]["body"])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
