"""Documents as tables that people type, and back: workbooks with a sheet a list, CSV with all of it in one."""
