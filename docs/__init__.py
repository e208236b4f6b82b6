"""The documents, and the script that makes the parts of them that come from the code."""
