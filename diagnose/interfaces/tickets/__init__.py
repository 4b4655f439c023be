"""Files of tickets: how they are read row by row, and how scored ones are written."""
