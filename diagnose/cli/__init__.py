"""Arguments, environment and clock: the only room that hands values from one door to another."""
