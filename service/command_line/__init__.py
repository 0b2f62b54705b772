"""The command line: the same questions as over HTTP, asked of files and answered as tables."""
