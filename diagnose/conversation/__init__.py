"""What is asked next, what a reply does to the job, and every act of the office on it."""
