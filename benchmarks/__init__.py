"""Speed, memory and coverage, measured side by side in one run."""
