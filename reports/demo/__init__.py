"""The demo: an invented shop, loaded through the services that pages use, and its papers."""
