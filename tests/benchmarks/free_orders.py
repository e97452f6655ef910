"""How many orders in one breath, in people's own words, are understood as they are typed.

    python -m tests.benchmarks.free_orders [FILE.tsv ...] [--misses]

Columns of a file: see `tests/dialogue/free_orders.tsv`. Other values than those said are never used before their
read-back, but they cost an utterance.
"""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path

from tests.free_orders import ORDERS, Outcome, free_orders, outcome


def main() -> int:
    """Count the outcomes by collection, and list what was missed."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("files", type=Path, nargs="*", default=[ORDERS])
    parser.add_argument("--misses", action="store_true")
    args = parser.parse_args()
    found: dict[int, Counter[Outcome]] = {}
    for path in args.files:
        for order in free_orders(path):
            result = outcome(order)
            found.setdefault(order.collection, Counter())[result] += 1
            if args.misses and result is not Outcome.EXACT:
                print(f"{order.collection}, {result.value}: {order.text}")
    print("| collection | n | " + " | ".join(one.value for one in Outcome) + " |")
    print("|---" * (2 + len(Outcome)) + "|")
    for collection, counts in found.items():
        total = counts.total()
        shares = " | ".join(f"{100 * counts[one] / total:.1f} %" for one in Outcome)
        print(f"| {collection} | {total} | {shares} |")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
