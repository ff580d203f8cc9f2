#!/usr/bin/env python3
"""Local times around changes of the clocks, as UTC: local_times.json, of the machine's IANA zones (zoneinfo of Python)."""
import json
import sys
from datetime import datetime, timedelta, timezone
from pathlib import Path
from zoneinfo import ZoneInfo

# One change forward and one back of each, found in the rules of tzdata (2025b): EU, US, LH (half an hour),
# Brazil (at midnight), Samoa (a whole day left out), Morocco (back for Ramadan), Nepal's quarter hour (none).
CHANGES = [
    ("Europe/Zurich", "2026-03-29 02:00"), ("Europe/Zurich", "2026-10-25 02:00"),
    ("America/New_York", "2026-03-08 02:00"), ("America/New_York", "2026-11-01 01:00"),
    ("Australia/Lord_Howe", "2026-10-04 02:00"), ("Australia/Lord_Howe", "2026-04-05 01:30"),
    ("America/Sao_Paulo", "2018-11-04 00:00"), ("America/Sao_Paulo", "2018-02-17 23:00"),
    ("Pacific/Apia", "2011-12-30 12:00"), ("Africa/Casablanca", "2026-02-15 02:00"),
    ("Asia/Kathmandu", "2026-03-29 02:00"), ("UTC", "2026-03-29 02:00"),
]
FORM = "%Y-%m-%d %H:%M"


def utc(local, zone, fold):
    return local.replace(tzinfo=zone, fold=fold).astimezone(timezone.utc)


rows = []
for name, change in CHANGES:
    zone = ZoneInfo(name)
    for quarter in range(-6, 11):
        local = datetime.strptime(change, FORM) + timedelta(minutes=15 * quarter)
        first, second = utc(local, zone, 0), utc(local, zone, 1)
        # PEP 495: what does not exist does not come back as it was.
        exists = first.astimezone(zone).replace(tzinfo=None) == local
        kind = "missing" if not exists else "once" if first == second else "twice"
        rows.append({"zone": name, "local": local.strftime(FORM), "kind": kind,
                     "utc": first.strftime("%Y-%m-%dT%H:%M:%SZ")})
Path(sys.argv[1]).write_text("[\n" + ",\n".join(json.dumps(row) for row in rows) + "\n]\n")
