"""The course on a real JupyterHub, on this computer alone."""
