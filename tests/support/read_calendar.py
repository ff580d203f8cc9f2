"""Loads a calendar with python3-icalendar, checks what that does not of RFC 5545, and prints each event as
   UID|STATUS|SEQUENCE|DTSTART|SUMMARY|DESCRIPTION.   read_calendar.py FILE.ics"""
import sys

import icalendar

data = open(sys.argv[1], "rb").read()
assert data.endswith(b"\r\n") and data.count(b"\n") == data.count(b"\r\n") == data.count(b"\r")
for line in data.split(b"\r\n"):
    assert len(line) <= 75, line  # section 3.1
    line.decode("utf-8")
calendar = icalendar.Calendar.from_ical(data)
assert calendar.name == "VCALENDAR" and calendar["VERSION"] == "2.0" and calendar["PRODID"]
seen = set()
for event in calendar.subcomponents:
    assert event.name == "VEVENT" and not event.errors, event.errors
    for once in ("UID", "DTSTAMP", "DTSTART", "SEQUENCE", "SUMMARY", "DESCRIPTION", "STATUS", "DURATION"):
        assert once in event and not isinstance(event[once], list), once  # section 3.6.1
    assert event["UID"] not in seen
    seen.add(event["UID"])
    assert event["DTSTAMP"].dt.utcoffset().total_seconds() == 0
    assert event["STATUS"] in ("TENTATIVE", "CONFIRMED")
    print("|".join([event["UID"], event["STATUS"], str(event["SEQUENCE"]), event["DTSTART"].dt.isoformat(),
                    event["SUMMARY"].replace("\n", "\\n"), event["DESCRIPTION"].replace("\n", "\\n")]))
