"""What an action does with food: which batch it takes, how a run begins and ends, how long it keeps."""
