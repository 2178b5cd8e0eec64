"""What the user says: papers, card designs, the batch and the trimmer, read from a project folder."""
