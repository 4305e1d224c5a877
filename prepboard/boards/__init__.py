"""The boards on the screen: they draw what the plan says and call an action of the store; they compute nothing."""
