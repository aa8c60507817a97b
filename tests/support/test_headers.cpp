// Carries the precompiled header of the tests; nothing else is in it.
