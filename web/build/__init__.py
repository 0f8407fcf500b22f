"""The build of the static folder: parts, Python for the browser, screen, service worker."""
