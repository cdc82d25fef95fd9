import { setFlagsFromString } from 'node:v8';

// Left alone, node lets the space for new objects grow to 128 MiB once messages come thickly, though what the daemon
// holds is a tenth of that. Kept at its first size, garbage is gone through more often, in less time each.
setFlagsFromString('--semi-space-growth-factor=1');
