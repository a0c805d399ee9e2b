"""From a job to belief, from belief to a decision, to advice; and all of it in words."""
