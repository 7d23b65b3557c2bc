"""The course in a real JupyterLab in a real browser."""
