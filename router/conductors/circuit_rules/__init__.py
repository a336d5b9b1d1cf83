"""The circuit that a job makes, judged: plus never meets minus, every source has its fuse, all gets back."""
