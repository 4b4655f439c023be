"""The doors of the program: command line, terminal session. Only here is anything printed."""
