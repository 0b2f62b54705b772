"""What is kept between requests; SQL lives here only."""
