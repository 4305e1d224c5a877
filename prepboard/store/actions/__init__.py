"""What a person does: one function and one transaction for each."""
