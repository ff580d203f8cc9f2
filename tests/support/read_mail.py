#!/usr/bin/env python3
"""Messages as read by Python's mail parser (standard library, policy "default"), as JSON.

read_mail.py FILE... prints an array with one object per file."""

import email
import email.policy
import json
import sys


def described(raw):
    message = email.message_from_bytes(raw, policy=email.policy.default)
    parts = list(message.walk())
    body = message.get_body(preferencelist=("plain",))
    attachments = [
        {"type": part.get_content_type(), "name": part.get_filename(), "content": part.get_content()}
        for part in message.iter_attachments()
    ]
    for one in attachments:
        if isinstance(one["content"], bytes):
            one["content"] = one["content"].decode("utf-8", "replace")
    return {
        "headers": [[name.lower(), str(value)] for name, value in message.items()],
        "subject": message["subject"],
        "from": message["from"],
        "to": [address.addr_spec for address in message["to"].addresses],
        "date": message["date"].datetime.isoformat(),
        "message_id": message["message-id"],
        "auto_submitted": message["auto-submitted"],
        "type": message.get_content_type(),
        "text": body.get_content().replace("\r\n", "\n") if body else None,
        "attachments": attachments,
        "defects": [repr(defect) for part in parts for defect in part.defects]
        + [repr(defect) for part in parts for value in part.values() for defect in value.defects],
        "longest_line": max(len(line) for line in raw.split(b"\r\n")),
        "bare_line_ends": raw.replace(b"\r\n", b"").count(b"\n") + raw.replace(b"\r\n", b"").count(b"\r"),
    }


if __name__ == "__main__":
    messages = []
    for path in sys.argv[1:]:
        with open(path, "rb") as file:
            messages.append(described(file.read()))
    print(json.dumps(messages))
