"""Posts a photo from many clients and counts what comes back; used by tests/load/run.

A client that is sent away (429, 503) waits as long as Retry-After says, a little apart from the
others, as a patient person's program would.
"""

import argparse
import http.client
import random
import statistics
import threading
import time
import urllib.parse


def post(connection, photo, headers=None):
    headers = {"Content-Type": "image/jpeg"} | (headers or {})
    connection.request("POST", "/v1/readings?zone=1&gas=ethanol", photo, headers)
    answer = connection.getresponse()
    answer.read()
    return answer.status, answer.headers.get("Retry-After")


def wait(host, photo):
    """Until the first photo is read; says how long that took from the start of this program."""
    start = time.monotonic()
    while time.monotonic() - start < 60:
        try:
            status, _ = post(http.client.HTTPConnection(host, timeout=60), photo)
        except OSError:
            status = 0
        if status == 200:
            print(f"first reading after {time.monotonic() - start:.2f} s")
            return
        time.sleep(0.005)
    raise SystemExit("no photo was read within a minute")


def client(host, photo, until, results, lock):
    connection = None
    while time.monotonic() < until:
        start = time.monotonic()
        try:
            connection = connection or http.client.HTTPConnection(host, timeout=90)
            status, later = post(connection, photo)
        except (OSError, http.client.HTTPException) as error:
            connection, status, later = None, type(error).__name__, None
        with lock:
            results.append((status, time.monotonic() - start, later))
        if status in (429, 503):
            time.sleep(min(float(later or 1) * random.uniform(0.5, 1.5), max(0, until - time.monotonic())))


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--address", required=True)
    parser.add_argument("--photo", required=True)
    parser.add_argument("--clients", type=int, default=64)
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--wait", action="store_true")
    args = parser.parse_args()
    host = urllib.parse.urlsplit(args.address).netloc
    with open(args.photo, "rb") as file:
        photo = file.read()
    if args.wait:
        return wait(host, photo)
    results, lock = [], threading.Lock()
    until = time.monotonic() + args.seconds
    threads = [threading.Thread(target=client, args=(host, photo, until, results, lock)) for _ in range(args.clients)]
    begin = time.monotonic()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    took = time.monotonic() - begin
    counts = {}
    for status, _, _ in results:
        counts[status] = counts.get(status, 0) + 1
    print("answers:", ", ".join(f"{status}: {n}" for status, n in sorted(counts.items(), key=str)))
    without = sum(1 for status, _, later in results if status in (429, 503) and not later)
    print(f"sent away without Retry-After: {without}")
    times = sorted(t for status, t, _ in results if status == 200)
    if times:
        p = lambda share: times[min(len(times) - 1, int(len(times) * share))]
        print(f"read: {len(times) / took:.2f} photos a second; median {statistics.median(times):.2f} s, "
              f"p95 {p(0.95):.2f} s, p99 {p(0.99):.2f} s")


main()
