"""One job: its events, what they come to, and the gate before every deed."""
