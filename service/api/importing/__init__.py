"""What people have, brought in and given out as files: workbooks, CSV, and splice points on a map."""
