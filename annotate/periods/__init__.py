"""Where one activity ends and the next begins, and which planned period each one is."""
