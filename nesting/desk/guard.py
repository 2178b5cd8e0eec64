"""Who may ask: only a browser on this machine that was sent here by the address the program printed.

In: a request. Out: None, or a sentence why it is refused. The facts it serves: any web page can make a browser ask
127.0.0.1; a name on the internet can be made to point there; and cookies know no ports. So every request shows the
host it was meant for, a secret of this sitting, and, where it changes anything, the page it came from.
"""

from __future__ import annotations

import hmac
import secrets

from werkzeug.wrappers import Request, Response

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self';"
    " form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
OWN = ("same-origin", "none")
OPENED_FROM_HERE = "Open this page by the address that “nesting desk” printed when it began."


class Guard:
    """The secret of one sitting on one port."""

    def __init__(self, port: int, token: str = "") -> None:
        self.port = port
        self.token = token or secrets.token_urlsafe(32)
        self.cookie = f"nesting_desk_{port}"
        self.hosts = (f"127.0.0.1:{port}", f"localhost:{port}")

    @property
    def address(self) -> str:
        """What opens the page."""
        return f"http://127.0.0.1:{self.port}/open?token={self.token}"

    def refusal(self, request: Request) -> str | None:
        """Why this request gets nothing, None where it may go on."""
        if request.environ.get("HTTP_HOST", "") not in self.hosts:
            return "This page answers to 127.0.0.1 alone."
        if request.path == "/open":
            return None if self._same(request.args.get("token", "")) else OPENED_FROM_HERE
        if not self._same(request.cookies.get(self.cookie, "")):
            return OPENED_FROM_HERE
        if request.headers.get("Sec-Fetch-Site", "none") not in OWN:
            return "Another page asked for this; nothing was done."
        if request.method not in ("GET", "HEAD"):
            origin = request.headers.get("Origin", "")
            if origin != f"http://{request.environ['HTTP_HOST']}":
                return "Another page asked for this; nothing was done."
        return None

    def let_in(self, response: Response) -> None:
        """Give the browser the secret, for this site alone and out of reach of scripts."""
        response.set_cookie(self.cookie, self.token, httponly=True, samesite="Strict", path="/")

    def _same(self, said: str) -> bool:
        return hmac.compare_digest(said.encode("utf-8", "replace"), self.token.encode())
