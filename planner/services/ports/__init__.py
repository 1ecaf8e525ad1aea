"""What the services need from the outside world; adapters fulfil it, tests fake it."""
