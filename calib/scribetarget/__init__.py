"""The printed scale target and the camera that sees it; knows nothing about scribing."""
