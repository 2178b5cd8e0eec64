"""What is looked at: pictures, tables and pages; values until the last step."""
