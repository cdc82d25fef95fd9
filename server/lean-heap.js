import { setFlagsFromString } from 'node:v8';

// What the daemon holds is a fifth of what node takes once messages come thickly: it lets the space for new objects
// grow to 128 MiB, garbage to the size of all that lives, and buffers by 64 MiB before they count. All three are read
// whenever a limit is set anew, so they may be told at the start of a program.
for (const flag of [
  '--semi-space-growth-factor=1',
  '--heap-growing-percent=30',
  '--external-memory-accounted-in-global-limit',
])
  setFlagsFromString(flag);
