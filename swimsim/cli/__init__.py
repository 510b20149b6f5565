"""The command line: plain words in, plain words out. Everything it does is one call of `swimsim.api`."""
