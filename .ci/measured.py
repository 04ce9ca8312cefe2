"""Runs a command and prints how long it took and the most memory it held; fails beyond the bounds.

measured.py SECONDS MEGABYTES COMMAND...
"""

import resource
import subprocess
import sys
import time

seconds, megabytes = float(sys.argv[1]), float(sys.argv[2])
began = time.monotonic()
code = subprocess.run(sys.argv[3:], stdout=subprocess.DEVNULL, timeout=seconds * 4).returncode
took = time.monotonic() - began
held = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
print(f"{took:7.2f} s  {held:6.0f} MB  {' '.join(sys.argv[4:])}")
if code != 0:
    sys.exit(f"it ended with {code}")
if took > seconds:
    sys.exit(f"longer than {seconds} s")
if held > megabytes:
    sys.exit(f"more than {megabytes} MB")
