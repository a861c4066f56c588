"""Clients that send what they are told and write down what came back."""

import http.client
import random
import socket
import statistics
import threading
import time

READING = "/v1/readings?zone=1&gas=ethanol"
REFUSED = (429, 503)


class Results:
    """Kind, status, seconds, Retry-After and end of every request."""

    def __init__(self):
        self.rows = []
        self._lock = threading.Lock()

    def add(self, kind, status, took, later):
        with self._lock:
            self.rows.append((kind, status, took, later, time.monotonic()))

    def counts(self):
        counts = {}
        for _, status, *_ in self.rows:
            counts[status] = counts.get(status, 0) + 1
        return counts

    def times(self, kind=None, since=0.0, until=float("inf")):
        return sorted(took for k, status, took, _, end in self.rows
                      if isinstance(status, int) and 200 <= status < 300
                      and (kind is None or k == kind) and since <= end <= until)

    def faults(self):
        """What no client should see, a sentence each."""
        bad = {status: n for status, n in self.counts().items()
               if not (isinstance(status, int) and 200 <= status < 300)
               and status not in REFUSED and status != "aborted"}
        found = [f"{n} answers {status}" for status, n in sorted(bad.items(), key=str)]
        mute = sum(1 for _, status, _, later, _ in self.rows if status in REFUSED and not later)
        return found + ([f"{mute} refusals without Retry-After"] if mute else [])

    def print(self, title, seconds, kind=None):
        counts = ", ".join(f"{status}: {n}" for status, n in sorted(self.counts().items(), key=str))
        times = self.times(kind)
        print(f"{title}: {counts or 'nothing'}")
        if times:
            print(f"  {len(times) / seconds:.2f} a second; median {statistics.median(times):.3f} s, "
                  f"p95 {share(times, 0.95):.3f} s, p99 {share(times, 0.99):.3f} s", flush=True)


def share(times, part):
    """The time that this part of all stays below; `times` is sorted."""
    return times[min(len(times) - 1, int(len(times) * part))] if times else float("nan")


def send(host, method, path, body=None, headers=None, connection=None):
    """One request; status, Retry-After, and the connection where it can be used again."""
    connection = connection or http.client.HTTPConnection(host, timeout=120)
    try:
        connection.request(method, path, body, headers or {})
        answer = connection.getresponse()
        answer.read()
    except (OSError, http.client.HTTPException) as error:
        connection.close()
        return type(error).__name__, None, None
    return answer.status, answer.headers.get("Retry-After"), connection


def closed(host, photos, clients, seconds, patient=True):
    """So many clients, each sending its next photo when it has the answer to the one before. A
    client that is sent away waits as long as it is told to, a little apart from the others."""
    results = Results()
    until = time.monotonic() + seconds

    def client(number):
        dice, connection = random.Random(number), None
        while time.monotonic() < until:
            start = time.monotonic()
            photo = dice.choice(photos)
            status, later, connection = send(host, "POST", READING, photo, {"Content-Type": "image/jpeg"}, connection)
            results.add("photo", status, time.monotonic() - start, later)
            if status in REFUSED and patient:
                rest = max(0.0, until - time.monotonic())
                time.sleep(min(float(later or 1) * dice.uniform(0.5, 1.5), rest))

    begin = time.monotonic()
    threads = [threading.Thread(target=client, args=(n,), daemon=True) for n in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results, time.monotonic() - begin


def open_loop(rate, seconds, act, seed):
    """Calls `act(dice)` so often a second at random moments, whether or not the ones before have
    ended. Answers when all have; the longest that one more took after the end is added."""
    dice = random.Random(seed)
    begin = time.monotonic()
    due, threads = begin, []
    while True:
        due += dice.expovariate(rate)
        if due - begin > seconds:
            break
        time.sleep(max(0.0, due - time.monotonic()))
        thread = threading.Thread(target=act, args=(random.Random(dice.random()),), daemon=True)
        thread.start()
        threads = [t for t in threads if t.is_alive()] + [thread]
    for thread in threads:
        thread.join(150)
    return [t for t in threads if t.is_alive()]


def broken_off(host, photo, dice):
    """Sends a part of a photo, or all of it, and goes away without waiting for the answer."""
    name, port = host.split(":")
    try:
        with socket.create_connection((name, int(port)), timeout=30) as line:
            head = (f"POST {READING} HTTP/1.1\r\nHost: {host}\r\nContent-Type: image/jpeg\r\n"
                    f"Content-Length: {len(photo)}\r\n\r\n").encode()
            line.sendall(head + photo[:dice.randrange(len(photo) + 1)])
            time.sleep(dice.uniform(0, 0.5))
    except OSError:
        pass
