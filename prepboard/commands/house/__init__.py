"""The house: setting up, the file and its copies, boards, browser, PINs, the guide, many commands in one."""
