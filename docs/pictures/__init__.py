"""The documents' pictures, and the script that makes them: ``make pictures``."""
