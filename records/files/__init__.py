"""Files that belong to a record: certificates, owners' plans."""
