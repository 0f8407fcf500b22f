"""The engine's start and what happens when it cannot start or dies."""

from tests.browser.states import shows_a_heading, take_away, wait_until
from tests.browser.walk import USUAL_NAMEPLATE, start, tap


def test_a_killed_worker_is_replaced(phone, server) -> None:
    page = phone.open(server.url)
    wait_until(page, engine="ready")
    (first,) = page.workers
    with first.expect_event("close"), page.expect_event("worker"):
        first.evaluate("setTimeout(() => self.close())")
    wait_until(page, trouble="", engine="ready")
    assert len(page.workers) == 1


def test_an_error_that_ends_the_worker_is_said_and_survived(phone, server) -> None:
    page = phone.open(server.url)
    wait_until(page, engine="ready")
    page.evaluate(
        """() => {
          window.troubles = [];
          new MutationObserver(() => window.troubles.push(document.documentElement.dataset.trouble))
            .observe(document.documentElement, { attributeFilter: ["data-trouble"] });
        }"""
    )
    with page.expect_event("worker"):
        page.workers[0].evaluate("setTimeout(() => { throw new RangeError('out of memory'); })")
    wait_until(page, trouble="", engine="ready")
    assert "stopped" in page.evaluate("window.troubles")


def test_a_question_asked_of_a_worker_that_dies_is_answered_by_the_next(phone, server) -> None:
    page = phone.open(server.url)
    wait_until(page, engine="ready")
    start(page)
    for label in (USUAL_NAMEPLATE, "75"):
        tap(page, label)
    # From here on the worker hears but never answers, and then it is gone.
    page.workers[0].evaluate("self.postMessage = () => undefined")
    tap(page, "125")
    page.wait_for_selector("h1:text-is('Limits')")
    assert page.locator(".value").count() == 0
    with page.expect_event("worker"):
        page.workers[0].evaluate("setTimeout(() => self.close())")
    page.wait_for_selector(".value")
    wait_until(page, trouble="", engine="ready")


def test_blocked_web_assembly_is_said_and_the_screen_still_works(phone, server) -> None:
    server.policy = server.headers()["Content-Security-Policy"].replace(" 'wasm-unsafe-eval'", "")
    page = phone.open(server.url)
    wait_until(page, engine="failed", trouble="web_assembly_blocked")
    assert shows_a_heading(page)
    page.wait_for_selector("[role=alert]")


def test_an_interpreter_that_is_gone_is_said_instead_of_waited_for(
    phone, server, built_app
) -> None:
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready", engine="ready", snapshot="kept")
    (interpreter,) = (built_app / "python").glob("pyodide.asm-*.wasm")
    take_away(page, interpreter)
    server.stop()
    page.reload()
    wait_until(page, engine="failed", trouble="parts_missing")
    assert shows_a_heading(page)


def test_a_worker_of_another_version_is_refused(phone, server, built_app, next_version) -> None:
    (theirs,) = next_version.glob("worker-*.js")

    def mixed(handler, path: str) -> bool:
        if not path.startswith("worker-"):
            return False
        content = theirs.read_bytes()
        handler.send_response(200)
        handler.send_header("Content-Type", "text/javascript")
        handler.send_header("Content-Length", str(len(content)))
        handler.end_headers()
        handler.wfile.write(content)
        return True

    # Without a service worker, as in a private window: there only the build id can tell.
    server.before = mixed
    page = phone.open("about:blank")
    page.add_init_script("delete Navigator.prototype.serviceWorker")
    page.goto(server.url)
    wait_until(page, offline="unsupported", engine="failed")
    assert page.get_attribute("html", "data-trouble") in {"mixed_versions", "parts_missing"}
