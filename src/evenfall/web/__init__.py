"""The barn's pages: a view parses the request, calls one function, and renders; without script it still works."""
