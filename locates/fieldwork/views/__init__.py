"""The pages of field work: the guide with its pieces, and the picture under the sketch."""
