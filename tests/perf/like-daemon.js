import { enableCompileCache } from 'node:module';
import '../../server/lean-heap.js';

// as server/launch.js starts the daemon
enableCompileCache();
