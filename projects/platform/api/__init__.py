"""What every part's API shares: who may pass, how JSON is read, how errors are told. Knows no particular record."""
