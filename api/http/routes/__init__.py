"""The routes of the HTTP service, a file for each kind of request."""
