"""A host of our own that takes messages over TLS, and says what it was told to say."""

import socket
import ssl
import subprocess
import threading

NAME = "hooks.alder-court.com"
URL = f"https://{NAME}/ceiling?from=shop"


def certificate(folder):
    """A key and a certificate for NAME that signs itself, good for a day."""
    key, cert = folder / "key.pem", folder / "cert.pem"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "1", "-subj", f"/CN={NAME}",
         "-addext", f"subjectAltName=DNS:{NAME}", "-keyout", key, "-out", cert],
        check=True, capture_output=True,
    )  # fmt: skip
    return key, cert


class Host:
    """answers: for each message in turn what is written back, or a function of the line; the last one stays."""

    def __init__(self, key, cert, *answers):
        self.answers, self.got, self.lines = list(answers), [], 0
        self._context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        self._context.load_cert_chain(cert, key)
        self._door = socket.create_server(("127.0.0.1", 0))
        self.port = self._door.getsockname()[1]
        self._open = []
        threading.Thread(target=self._serve, daemon=True).start()

    def _serve(self):
        while True:
            try:
                bare, _from = self._door.accept()
            except OSError:
                return
            self.lines += 1
            threading.Thread(target=self._talk, args=(bare,), daemon=True).start()

    def _talk(self, bare):
        try:
            with self._context.wrap_socket(bare, server_side=True) as line:
                self.got.append(_request(line))
                answer = self.answers.pop(0) if len(self.answers) > 1 else self.answers[0]
                if callable(answer):
                    answer(line)
                else:
                    line.sendall(answer)
        except OSError:
            pass  # whoever asked hung up

    def close(self):
        self._door.close()


def _request(line):
    """(first line, headers, body)."""
    got = b""
    while b"\r\n\r\n" not in got:
        got += line.recv(4096)
    head, _end, body = got.partition(b"\r\n\r\n")
    first, *rest = head.decode("ascii").split("\r\n")
    headers = {name.lower(): value for name, value in (each.split(": ", 1) for each in rest)}
    while len(body) < int(headers["content-length"]):
        body += line.recv(4096)
    return first, headers, body


def says(status, body=b"", **headers):
    lines = [f"HTTP/1.1 {status}", f"Content-Length: {len(body)}", *(f"{k}: {v}" for k, v in headers.items()), "", ""]
    return "\r\n".join(lines).encode() + body
