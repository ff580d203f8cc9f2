#!/usr/bin/env python3
"""An HTTP(S) server on loopback that logs each request and answers by a script.

Prints its port first. The script has one word per request, then 200:
  NNN            that status; 401 answers "token missing" and repeats the request's Authorization and path
  NNN:7          with Retry-After: 7
  NNN:date+7     with Retry-After as an HTTP-date 7 s ahead
  redirect       307 to https://elsewhere.example/new
  redirect-here  308 to another path
  huge           500 with an endless body
  control        400 with control characters, markup and invalid UTF-8
  cut            200 and half of the body, then the connection is closed
  drop           nothing: the connection is closed
  hang           never answers
Each log line: n, key (Idempotency-Key), seen (earlier requests with this key), answer (the word), time,
method, path, headers (names in lower case), body.
"""

import argparse
import email.utils
import http.server
import socket
import ssl
import sys
import threading
import time

from sink_log import Log, Script


class Handler(http.server.BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"

    def log_message(self, *_):
        pass

    def do_POST(self):
        body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
        headers = {
            name.lower(): value.encode("latin-1").decode("utf-8", "replace") for name, value in self.headers.items()
        }
        word = self.server.script.next()
        self.server.log.add(
            headers.get("idempotency-key", ""),
            word,
            {"method": self.command, "path": self.path, "headers": headers, "body": body.decode("utf-8", "replace")},
        )
        self.close_connection = True
        if word == "hang":
            threading.Event().wait()
        if word != "drop":
            self.answer(word)

    do_GET = do_PUT = do_POST

    def answer(self, word):
        if word == "redirect":
            self.reply(307, b"", {"Location": "https://elsewhere.example/new?key=new-secret"})
        elif word == "redirect-here":
            self.reply(308, b"", {"Location": "/other"})
        elif word == "control":
            self.reply(400, b"bad\r\n\x1b[31mred\x00\xff\tvalue  \n")
        elif word == "cut":
            self.send_response(200)
            self.send_header("Content-Length", "1000")
            self.end_headers()
            self.wfile.write(b"x" * 500)
        elif word == "huge":
            self.send_response(500)
            self.end_headers()
            while True:
                self.wfile.write(b"too much " * 10000)
        else:
            status, _, pause = word.partition(":")
            more = {}
            if pause.startswith("date+"):
                more["Retry-After"] = email.utils.formatdate(time.time() + int(pause[5:]), usegmt=True)
            elif pause:
                more["Retry-After"] = pause
            text = "ok" if status == "200" else ""
            if status == "401":
                text = f"token missing: {self.headers.get('Authorization')} for {self.path}"
            self.reply(int(status), text.encode(), more)

    def reply(self, status, body, headers=()):
        self.send_response(status)
        for name, value in dict(headers).items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)


class Server(http.server.ThreadingHTTPServer):
    daemon_threads = True

    def handle_error(self, *_):
        pass  # tests disconnect on purpose

    def finish_request(self, request, client_address):
        # In the request's thread, so that a handshake that never ends does not block the others.
        if self.tls is not None:
            request = self.tls.wrap_socket(request, server_side=True)
        try:
            super().finish_request(request, client_address)
        finally:
            try:
                request.shutdown(socket.SHUT_RDWR)
            except OSError:
                pass
            request.close()


def main():
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--log", required=True)
    options.add_argument("--script", default="")
    options.add_argument("--usual", default="200", help="the word after the end of the script")
    options.add_argument("--port", type=int, default=0)
    options.add_argument("--certificate", help="PEM with key and certificate; without: plain HTTP")
    chosen = options.parse_args()
    server = Server(("127.0.0.1", chosen.port), Handler)
    server.log = Log(chosen.log)
    server.script = Script(chosen.script, chosen.usual)
    server.tls = None
    if chosen.certificate:
        server.tls = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        server.tls.load_cert_chain(chosen.certificate)
    print(server.server_address[1], flush=True)
    server.serve_forever()


if __name__ == "__main__":
    sys.exit(main())
