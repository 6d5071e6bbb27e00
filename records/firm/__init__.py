"""People (who are the site's users), sites, and the numbers in force at them."""
