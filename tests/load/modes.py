"""What is measured, and the floors. Each mode answers what it missed, a sentence each."""

import multiprocessing
import os
import random
import socket
import statistics
import threading
import time

from clients import READING, Results, broken_off, closed, open_loop, send, share
from service import MIB, Service

JPEG = {"Content-Type": "image/jpeg"}
MARKING = b'{"text": "II 2 G Ex db eb IIC T4 Gb", "place": {"zone": "1", "gas": ["ethanol"]}}'


def photos_of(args):
    names = sorted(name for name in os.listdir(args.photos) if name.endswith(".jpg"))
    found = []
    for name in names:
        with open(os.path.join(args.photos, name), "rb") as file:
            found.append(file.read())
    return found


def missed(*floors):
    return [text for holds, text in floors if not holds]


def start(args):
    """Cold start to first reading; idle memory; size."""
    photo, firsts = photos_of(args)[0], []
    for _ in range(5):
        # Asked for every 10 ms whether it is ready, since photos sent meanwhile would take its processors.
        with Service(args) as service:
            status, _, connection = send(service.host, "POST", READING, photo, JPEG)
            if status != 200:
                raise SystemExit(f"the first photo was answered {status}")
            firsts.append(time.monotonic() - service.begun)
            connection.close()
    first = statistics.median(firsts)
    print("first reading after " + ", ".join(f"{t:.3f}" for t in sorted(firsts)) + " s")
    with Service(args) as service:
        time.sleep(2)
        fresh = service.memory()[0]
        closed(service.host, photos_of(args), 1, 10)
        after = service.memory()[0]
        # The models rest after a minute, which is looked for every ten seconds.
        time.sleep(80)
        idle = service.memory()[0]
    size = os.path.getsize(args.program) / 1e6
    print(f"program {size:.1f} MB; resident memory {fresh:.0f} MiB when ready, {after:.0f} MiB after "
          f"10 s of readings, {idle:.0f} MiB 80 s later")
    return missed((first <= 0.5, f"first reading after {first:.3f} s, 0.5 s is allowed"),
                  (max(fresh, idle) * MIB <= 80e6, f"{max(fresh, idle) * MIB / 1e6:.0f} MB idle, 80 MB are allowed"),
                  (size <= 35, f"program of {size:.1f} MB, 35 MB are allowed"))


def asked(host, until, total):
    """Asks for the health check as fast as one connection goes."""
    name, port = host.split(":")
    request = f"GET /healthz HTTP/1.1\r\nHost: {host}\r\n\r\n".encode()
    count = 0
    with socket.create_connection((name, int(port))) as line:
        while time.monotonic() < until:
            line.sendall(request * 8)
            seen = b""
            while seen.count(b"HTTP/1.1 200") < 8 or seen.count(b'"ok"') < 8:
                piece = line.recv(65536)
                if not piece:
                    raise SystemExit("a connection was closed")
                seen += piece
            count += 8
    with total.get_lock():
        total.value += count


def health(args):
    """Answers of the health check, eight requests in flight on each of several connections."""
    seconds = min(args.seconds, 30)
    with Service(args) as service:
        total = multiprocessing.Value("q", 0)
        begin = time.monotonic()
        group = [multiprocessing.Process(target=asked, args=(service.host, begin + seconds, total))
                 for _ in range(min(8, os.cpu_count() or 1))]
        for one in group:
            one.start()
        for one in group:
            one.join()
        rate = total.value / (time.monotonic() - begin)
    print(f"{rate:,.0f} answers a second")
    return missed((rate >= 10_000, f"{rate:,.0f} answers a second, 10,000 are asked for"))


def steady(args):
    """One client, then many."""
    photos = photos_of(args)
    with Service(args) as service:
        closed(service.host, photos, args.workers, min(10, args.seconds))
        alone, took = closed(service.host, photos, 1, min(60, args.seconds))
        single = len(alone.times()) / took
        alone.print("one client", took)
        begin = time.monotonic()
        crowd, took = closed(service.host, photos, args.clients, args.seconds)
        end = time.monotonic()
        rate = len(crowd.times()) / took
        crowd.print(f"{args.clients} clients", took)
        # The first third fills caches and queues.
        slope = service.grown(begin + args.seconds / 3, end)
        peak = service.memory()[1]
    part = rate / (single * args.workers)
    print(f"{part:.0%} of {args.workers} single clients; peak {peak:.0f} MiB, {slope:+.2f} MiB a minute")
    return missed(*((False, fault) for fault in alone.faults() + crowd.faults()),
                  (part >= 0.9, f"{part:.0%} of the single clients' rate, 90 % are asked for"),
                  (peak * MIB <= 500e6, f"{peak * MIB / 1e6:.0f} MB at the peak, 500 MB are allowed"),
                  (slope <= 2 or args.seconds < 120, f"memory grows by {slope:.2f} MiB a minute"))


def field(args):
    """A person's requests, alone and while an import reads."""
    photos, dice = photos_of(args), random.Random(args.seed)

    def person(seconds):
        results, until = Results(), time.monotonic() + seconds
        while time.monotonic() < until:
            begin = time.monotonic()
            status, later, _ = send(service.host, "POST", READING, dice.choice(photos), JPEG)
            results.add("photo", status, time.monotonic() - begin, later)
            time.sleep(dice.uniform(0.2, 1.0))
        return results

    with Service(args, register=True) as service:
        person(3)
        alone = person(args.seconds)
        # Bytes behind the end of a JPEG make it another photo with the same picture.
        for number in range(int(args.seconds * args.workers * 12)):
            with open(os.path.join(service.archive, f"{number:06}.jpg"), "wb") as file:
                file.write(photos[number % len(photos)] + b"%d" % number)
        body = b'{"folder": ".", "who": "A. Inspector"}'
        # Files that may still be written to wait; these are done.
        old = time.time() - 3600
        for entry in os.scandir(service.archive):
            os.utime(entry.path, (old, old))
        status, _, _ = send(service.host, "POST", "/v1/imports", body, {"Content-Type": "application/json"})
        if status != 202:
            return [f"the import was answered {status}"]
        time.sleep(2)
        beside = person(args.seconds)
        running = b'"state":"running"' in service.get("/v1/imports/1")[1]
        send(service.host, "POST", "/v1/imports/1/cancel")
        read = int(service.get("/v1/imports/1")[1].split(b'"taken":')[1].split(b",")[0])
        peak = service.memory()[1]
    alone.print("alone", args.seconds)
    beside.print("beside an import", args.seconds)
    factor = statistics.median(beside.times() or [float("inf")]) / statistics.median(alone.times())
    print(f"{factor:.2f} times the median alone; the import took {read} photos; peak {peak:.0f} MiB")
    return missed(*((False, fault) for fault in alone.faults() + beside.faults()),
                  (running, "the import had ended before the measurement did"),
                  (read > 0, "the import made no progress"),
                  (factor <= 3, f"{factor:.2f} times the median alone, 3 are allowed"))


def saturation(service, args, photos, seconds):
    """Photos a second that the service reads at most, and p99 of their times while it just does."""
    # As many as there are places: workers and the queue before them.
    results, took = closed(service.host, photos, args.workers + 16, seconds)
    results.print("saturation", took)
    return len(results.times()) / took, share(results.times(), 0.99)


def soak(args):
    """Mixed traffic below saturation, with clients that break off; then idleness."""
    photos = photos_of(args)
    with Service(args, register=True) as service:
        rate, _ = saturation(service, args, photos, max(10, args.seconds / 20))
        time.sleep(min(30, args.seconds / 4))
        idle, files = service.memory()[0], service.files()
        results, sent = Results(), iter(range(1 << 40))
        begin = time.monotonic()
        light = [("GET", "/v1/plates?limit=20", None), ("GET", "/v1/review", None),
                 ("GET", "/v1/locations", None), ("GET", "/v1/substances?query=eth", None),
                 ("GET", "/metrics", None), ("GET", "/v1/plates/export?format=csv", None),
                 ("POST", "/v1/markings", MARKING)]

        def act(dice):
            start, photo = time.monotonic(), dice.choice(photos)
            draw = dice.random()
            if draw < 0.1:
                broken_off(service.host, photo, dice)
                return results.add("broken off", "aborted", 0.0, None)
            if draw < 0.2:
                kind, key = "kept", f"soak-{next(sent)}"
                status, later, _ = send(service.host, "POST", "/v1/plates?zone=1&gas=ethanol",
                                        photo + key.encode(), JPEG | {"Idempotency-Key": key})
            elif draw < 0.3:
                kind = "judged"
                status, later, _ = send(service.host, "POST", "/v1/photos/judgement", photo, JPEG)
            else:
                kind = "photo"
                status, later, _ = send(service.host, "POST", READING, photo, JPEG)
            results.add(kind, status, time.monotonic() - start, later)
            method, path, body = dice.choice(light)
            start = time.monotonic()
            headers = {"Content-Type": "application/json"} if body else {}
            status, later, _ = send(service.host, method, path, body, headers)
            results.add("light", status, time.monotonic() - start, later)

        stuck = open_loop(0.7 * rate, args.seconds, act, args.seed)
        end = time.monotonic()
        took = end - begin
        results.print("mixed", took)
        third = args.seconds / 3
        first = share(results.times("photo", begin, begin + third), 0.95)
        last = share(results.times("photo", end - third, end), 0.95)
        slope = service.grown(begin + min(120, args.seconds / 4), end)
        peak = service.memory()[1]
        time.sleep(min(180, max(20, args.seconds / 4)))
        after, files_after = service.memory()[0], service.files()
        waiting = [line for line in service.get("/metrics")[1].decode().splitlines()
                   if line.startswith("vetplate_waiting") and not line.endswith(" 0")]
        ready = service.get("/readyz")[0]
        threads = service.threads()
    print(f"p95 of photos {first:.2f} s in the first third, {last:.2f} s in the last; memory {idle:.0f} MiB idle "
          f"before, {peak:.0f} MiB peak, {slope:+.2f} MiB a minute, {after:.0f} MiB idle after; files {files} "
          f"before, {files_after} after; {threads} threads")
    is_long = args.seconds >= 600
    return missed(*((False, fault) for fault in results.faults()),
                  (not stuck, f"{len(stuck)} requests never ended"),
                  (not waiting and ready == 200, f"stuck: {waiting}, readyz {ready}"),
                  (last <= 1.2 * first or not is_long, f"p95 {last / first:.2f} times that of the first third"),
                  (slope <= 2 or not is_long, f"memory grows by {slope:.2f} MiB a minute"),
                  (after <= 1.1 * idle, f"memory {after / idle:.2f} times that before, idle"),
                  (files_after <= files + 2, f"{files_after} open files, {files} before"))


def overload(args):
    """Four times as much as can be read."""
    photos = photos_of(args)
    with Service(args) as service:
        rate, usual = saturation(service, args, photos, max(15, args.seconds / 2))
        results = Results()

        def act(dice):
            start = time.monotonic()
            status, later, _ = send(service.host, "POST", READING, dice.choice(photos), JPEG)
            results.add("photo", status, time.monotonic() - start, later)

        begin = time.monotonic()
        stuck = open_loop(4 * rate, args.seconds, act, args.seed)
        took = time.monotonic() - begin
        results.print("four times as much", took)
        p99, peak = share(results.times(), 0.99), service.memory()[1]
        refused = sorted(t for _, status, t, *_ in results.rows if status in (429, 503))
        time.sleep(1)
        ready = service.get("/readyz")[0]
    read = len(results.times()) / took
    print(f"p99 {p99 / usual:.2f} times that at saturation; {read / rate:.0%} of the rate; refused within "
          f"{share(refused, 0.99):.3f} s (p99); peak {peak:.0f} MiB")
    return missed(*((False, fault) for fault in results.faults()),
                  (not stuck, f"{len(stuck)} requests never ended"),
                  (ready == 200, f"readyz {ready} afterwards"),
                  (bool(refused), "nothing was refused, so this was no overload"),
                  (p99 <= 2 * usual, f"p99 {p99 / usual:.2f} times that at saturation, 2 are allowed"),
                  (peak * MIB <= 500e6, f"{peak * MIB / 1e6:.0f} MB at the peak, 500 MB are allowed"))


MODES = {"start": start, "health": health, "steady": steady, "field": field, "soak": soak, "overload": overload}
