"""The windows. The only package that imports Qt."""
