"""The workspace in the browser: pages, parts and the HTTP interface, thin over the conductor."""
