"""What is made of splice records: acceptance against limits, and remake rates with what is known of them."""
