"""A service of its own for a measurement, and what it takes while it runs."""

import http.client
import os
import shutil
import socket
import subprocess
import tempfile
import threading
import time

MIB = 1 << 20


class Service:
    """`vetplate serve` on a free port, in a folder that goes with it."""

    def __init__(self, args, register=False, flags=()):
        self.folder = tempfile.mkdtemp(prefix="vetplate-load-")
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.host = "127.0.0.1:%d" % probe.getsockname()[1]
        self.archive = os.path.join(self.folder, "archive")
        os.mkdir(self.archive)
        pinned = ["taskset", "-c", args.cores] if args.cores else []
        program = [*pinned, os.path.abspath(args.program)]
        command = [*program, "serve", "--listen", self.host, "--workers", str(args.workers), *flags]
        if register:
            path = os.path.join(self.folder, "register.vetplate")
            # The first import makes the register.
            subprocess.run([*program, "import", self.archive, "--register", path], check=True,
                           stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            command += ["--register", path, "--import-from", self.archive]
        self.log = open(os.path.join(self.folder, "log"), "w+b")
        self.begun = time.monotonic()
        self.process = subprocess.Popen(command, stdout=self.log, stderr=self.log)
        self.samples = []
        self._stop = threading.Event()
        self._sampler = threading.Thread(target=self._sample, daemon=True)
        self._sampler.start()
        self.ready()

    def __enter__(self):
        return self

    def __exit__(self, kind, *_):
        self._stop.set()
        self.process.terminate()
        try:
            self.process.wait(40)
        except subprocess.TimeoutExpired:
            self.process.kill()
        self.log.seek(0)
        tail = self.log.read().decode(errors="replace").splitlines()
        faults = [line for line in tail if " ERROR " in line or "panicked" in line]
        for line in faults[:10]:
            print("log:", line)
        if kind:
            print("\n".join(tail[-10:]))
        self.log.close()
        shutil.rmtree(self.folder, ignore_errors=True)

    def ready(self):
        """Waits until it says that it takes work."""
        while time.monotonic() - self.begun < 120:
            if self.process.poll() is not None:
                raise SystemExit("the service ended by itself")
            try:
                if self.get("/readyz")[0] == 200:
                    return
            except OSError:
                pass
            time.sleep(0.01)
        raise SystemExit("the service was not ready within two minutes")

    def get(self, path):
        connection = http.client.HTTPConnection(self.host, timeout=90)
        try:
            connection.request("GET", path)
            answer = connection.getresponse()
            return answer.status, answer.read()
        finally:
            connection.close()

    def memory(self):
        """Resident memory now and at its worst, MiB."""
        found = {}
        with open(f"/proc/{self.process.pid}/status") as file:
            for line in file:
                if line.startswith(("VmRSS", "VmHWM")):
                    found[line[:5]] = int(line.split()[1]) / 1024
        return found["VmRSS"], found["VmHWM"]

    def files(self):
        return len(os.listdir(f"/proc/{self.process.pid}/fd"))

    def threads(self):
        return len(os.listdir(f"/proc/{self.process.pid}/task"))

    def _sample(self):
        while not self._stop.wait(0.5):
            try:
                self.samples.append((time.monotonic(), self.memory()[0], self.files(), self.threads()))
            except (OSError, KeyError):
                pass

    def grown(self, since, until):
        """MiB a minute that the resident memory grew by, as the straight line through it says."""
        points = [(at / 60, mib) for at, mib, _, _ in self.samples if since <= at <= until]
        if len(points) < 3:
            return 0.0
        mean_x = sum(x for x, _ in points) / len(points)
        mean_y = sum(y for _, y in points) / len(points)
        spread = sum((x - mean_x) ** 2 for x, _ in points)
        return sum((x - mean_x) * (y - mean_y) for x, y in points) / spread
