#!/usr/bin/env python3
"""An SMTP server on loopback, with TLS and login (Debian: python3-aiosmtpd), that logs each message.

Prints its port first. The script has one word per transaction, then 250:
  250              accepted
  450 550 ...      that reply after the message
  mail:450 ...     that reply to MAIL
  rcpt:550 ...     that reply to the first RCPT; the others are accepted
  drop             logged; closes the connection instead of replying
  hang             logged; never replies
Each log line: n, key (Message-ID), seen (earlier messages with this key), answer (the word), time, from, to, tls,
user, mail (read_mail.py), raw. Messages refused before DATA are not logged.
"""

import argparse
import asyncio
import ssl
import sys

from aiosmtpd.smtp import SMTP, AuthResult, LoginPassword
from read_mail import described
from sink_log import Log, Script

TEXTS = {"4": "try again later", "5": "not wanted here"}


def reply(code):
    return f"{code} {TEXTS.get(code[0], 'ok')}"


class Handler:
    def __init__(self, log, script):
        self.log = log
        self.script = script

    async def handle_MAIL(self, server, session, envelope, address, options):
        session.word = self.script.next()
        if session.word.startswith("mail:"):
            return reply(session.word[5:])
        envelope.mail_from = address
        envelope.mail_options.extend(options)
        return "250 ok"

    async def handle_RCPT(self, server, session, envelope, address, options):
        if session.word.startswith("rcpt:"):
            code, session.word = session.word[5:], "250"
            return reply(code)
        envelope.rcpt_tos.append(address)
        return "250 ok"

    async def handle_DATA(self, server, session, envelope):
        mail = described(envelope.original_content)
        self.log.add(
            mail["message_id"],
            session.word,
            {
                "from": envelope.mail_from,
                "to": envelope.rcpt_tos,
                "tls": server.transport.get_extra_info("ssl_object") is not None,
                "user": getattr(session, "user", None),
                "mail": mail,
                "raw": envelope.original_content.decode("utf-8", "replace"),
            },
        )
        if session.word == "hang":
            await asyncio.Event().wait()
        if session.word == "drop":
            server.transport.abort()
            return "250 not heard"
        return reply(session.word)


async def serve(chosen):
    context = None
    if chosen.certificate:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(chosen.certificate)

    def login(server, session, envelope, mechanism, data):
        good = (
            isinstance(data, LoginPassword)
            and data.login.decode() == chosen.user
            and data.password.decode() == chosen.password
        )
        session.user = chosen.user if good else None
        return AuthResult(success=good, handled=False)

    handler = Handler(Log(chosen.log), Script(chosen.script, chosen.usual))

    def protocol():
        return SMTP(
            handler,
            hostname="sink.example",
            tls_context=None if chosen.implicit_tls else context,
            require_starttls=context is not None and not chosen.implicit_tls,
            authenticator=login if chosen.user else None,
            auth_required=bool(chosen.user),
            # aiosmtpd does not recognise implicit TLS as encrypted.
            auth_require_tls=not chosen.implicit_tls,
        )

    server = await asyncio.get_running_loop().create_server(
        protocol, "127.0.0.1", chosen.port, ssl=context if chosen.implicit_tls else None
    )
    print(server.sockets[0].getsockname()[1], flush=True)
    await server.serve_forever()


def main():
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--log", required=True)
    options.add_argument("--script", default="")
    options.add_argument("--usual", default="250", help="the word after the end of the script")
    options.add_argument("--port", type=int, default=0)
    options.add_argument("--user", default="")
    options.add_argument("--password", default="")
    options.add_argument("--certificate", help="PEM with key and certificate; without: neither STARTTLS nor TLS")
    options.add_argument("--implicit-tls", action="store_true")
    asyncio.run(serve(options.parse_args()))


if __name__ == "__main__":
    sys.exit(main())
