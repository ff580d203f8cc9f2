"""The log of a test server as JSON lines, and the script of its answers."""

import json
import os
import threading
import time


class Log:
    """Appends one line per delivery, in one write, so that a reader (and a killed sender) sees all or nothing.

    `seen` counts earlier entries with the same key, also from before a restart.
    """

    def __init__(self, path):
        self._lock = threading.Lock()
        self._counts = {}
        self._n = 0
        if os.path.exists(path):
            with open(path, encoding="utf-8") as lines:
                for line in lines:
                    self._count(json.loads(line)["key"])
        self._file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)

    def _count(self, key):
        before = self._counts.get(key, 0)
        self._counts[key] = before + 1
        self._n += 1
        return before

    def add(self, key, answer, entry):
        with self._lock:
            n = self._n + 1
            entry = {"n": n, "key": key, "seen": self._count(key), "answer": answer, "time": time.time(), **entry}
            os.write(self._file, (json.dumps(entry) + "\n").encode())


class Script:
    """Words separated by commas, one per delivery; then `usual`."""

    def __init__(self, text, usual):
        self._lock = threading.Lock()
        self._words = [word.strip() for word in text.split(",") if word.strip()]
        self._usual = usual

    def next(self):
        with self._lock:
            return self._words.pop(0) if self._words else self._usual
