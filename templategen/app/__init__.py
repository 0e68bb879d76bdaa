"""One function a task: what the commands and the page have in common."""
