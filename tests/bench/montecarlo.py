"""The runs of an uncertain network in numpy: the same sampling and the same passes, an array of runs for each node.

Reads the network as JSON on standard input, in topological order, and writes one JSON object: seconds of each round,
and mean and 4-in-5 quantile of the end in working hours, mean criticality of the arrivals.
"""
import json
import sys
import time

import numpy as np

CHUNK = 1024  # runs side by side: more of them fall out of the cache


def pass_forward(network, start, finish, hours, release, end):
    """Forward pass; `end` is raised to the latest finish of each run."""
    for v, (before, lag) in enumerate(network):
        s = release[v]
        for a, wait in zip(before, lag):
            s = np.maximum(s, finish[a] + wait if wait else finish[a])
        start[v] = s
        np.add(start[v], hours[v], out=finish[v])
        np.maximum(end, finish[v], out=end)


def runs(asked, rng, count):
    """Draws `count` runs and returns their ends, and how often each arrival lies on a longest path."""
    size = len(asked["links"])
    network = asked["links"]
    usable = np.array(asked["usable"])
    arrivals = asked["arrivals"]
    hours = np.zeros((size, count))
    release = np.zeros((size, count))
    for v, (low, width, a, b) in asked["estimates"]:
        hours[v] = low + width * rng.beta(a, b, count)
    for v, (mu, sigma) in arrivals:
        days = np.ceil(rng.lognormal(mu, sigma, count) - 1e-9).astype(np.int64)
        release[v] = usable[np.minimum(days, len(usable) - 1)]
    start = np.empty((size, count))
    finish = np.empty((size, count))
    end = np.zeros(count)
    pass_forward(network, start, finish, hours, release, end)

    # Marks from the ends of the longest paths.
    critical = finish >= end - 1e-7
    for v in range(size - 1, -1, -1):
        marked = critical[v]
        if not marked.any():
            continue
        for a, wait in zip(*network[v]):
            critical[a] |= marked & (finish[a] + wait >= start[v] - 1e-7)
    where = np.array([v for v, _ in arrivals])
    binds = critical[where] & (start[where] > 1e-7)

    # Once more with the only arrival that binds in hand.
    alone = binds.sum(axis=0) == 1
    first = where[np.argmax(binds, axis=0)]
    release[first[alone], np.nonzero(alone)[0]] = 0
    without = np.zeros(count)
    pass_forward(network, start, finish, hours, release, without)
    return end, binds.sum(axis=1), (end - without)[alone].sum()


def main():
    asked = json.load(sys.stdin)
    rng = np.random.default_rng(1)
    samples = asked["samples"]
    seconds = []
    for _ in range(asked["rounds"]):
        began = time.perf_counter()
        ends = []
        binds = 0
        for at in range(0, samples, CHUNK):
            end, bound, _ = runs(asked, rng, min(CHUNK, samples - at))
            ends.append(end)
            binds = binds + bound
        all_ends = np.concatenate(ends)
        figures = (float(all_ends.mean()), float(np.quantile(all_ends, 0.8)), float((binds / samples).sum()))
        seconds.append(time.perf_counter() - began)
    print(json.dumps({"seconds": seconds, "mean": figures[0], "fourInFive": figures[1], "binding": figures[2]}))


main()
