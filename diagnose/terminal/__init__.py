"""The screen and the keyboard: one way of asking for a terminal, one for plain lines."""
