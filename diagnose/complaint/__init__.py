"""The customer's words become symptoms, with how sure and what was denied."""
